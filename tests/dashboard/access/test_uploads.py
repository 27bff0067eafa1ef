"""Files sent over the web page: whose, how large, how many, and what is said of them."""

import hashlib
import io

import pytest
from werkzeug.datastructures import FileStorage
from werkzeug.test import stream_encode_multipart

from pipeline.apart import TakesTooMuchError, run_apart
from pipeline.inbox import fit_name
from sites.errors import InputError
from tests.dashboard.access.network import OTHER, OWN, make_network

SHEET = b"site,plot,date,marketable weight,unit\nG05,P1,2025-07-14,2.5,lb\nG05,P9,2025-07-14,2.5,lb\n"


def send(client, content: bytes = SHEET, name: str = "harvest.csv", garden: str = OWN, query: str = ""):
    # Werkzeug's test client would put a large form into a temporary file, and leave that open.
    form = {"file": FileStorage(io.BytesIO(content), filename=name)}
    stream, _, boundary = stream_encode_multipart(form, use_tempfile=False)
    return client.post(
        f"/upload?garden={garden}{query}",
        data=stream.read(),
        content_type=f'multipart/form-data; boundary="{boundary}"',
    )


def files_in(folder) -> list[str]:
    return sorted(str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file())


def test_a_file_is_kept_laid_into_the_inbox_and_judged(fresh):
    answer = send(fresh.signed_in("volunteer"))
    told = answer.get_json()
    digest = hashlib.sha256(SHEET).hexdigest()
    assert (answer.status_code, told["verdict"], told["sha256"]) == (200, "judged", digest)
    assert (fresh.workspace.archive / digest).read_bytes() == SHEET
    assert files_in(fresh.workspace.inbox) == [f"{OWN}/{digest[:12]}/harvest.csv"]
    sheet = told["files"][0]
    assert (sheet["sheet"], sheet["rows"], sheet["held"]) == ("harvest", 2, 1)
    assert sheet["findings"][0]["message"]


def test_a_garden_of_somebody_else_is_refused_and_nothing_is_kept(fresh):
    assert send(fresh.signed_in("volunteer"), garden=OTHER).status_code == 403
    assert files_in(fresh.workspace.inbox) == []
    assert files_in(fresh.workspace.archive) == []
    assert any("refused" in line and OTHER in line for line in fresh.audit())


@pytest.mark.parametrize(("role", "status"), [("lead", 200), ("administrator", 403)])
def test_the_lead_sends_for_any_garden_and_an_administrator_for_none(fresh, role, status):
    assert send(fresh.signed_in(role), garden=OTHER).status_code == status


def test_a_lead_who_types_for_somebody_keeps_both_names(fresh):
    send(fresh.signed_in("lead"), query="&for=Rosa Quist")
    with fresh.engine.connect() as connection:
        row = connection.exec_driver_sql(
            "SELECT a.name, w.on_behalf_of FROM web_upload w JOIN account a USING (account_id)"
        ).one()
    assert tuple(row) == ("Ada Lind", "Rosa Quist")


def test_a_garden_that_nobody_knows_is_not_found(fresh):
    assert send(fresh.signed_in("lead"), garden="G99").status_code == 404


def test_a_garden_sends_so_many_files_in_a_day(published, tmp_path):
    network = make_network(tmp_path / "row", published, "[serving]\nuploads_per_day = 2\n")
    client = network.signed_in("volunteer")
    statuses = [send(client, SHEET + bytes([at]) * 3).status_code for at in (65, 66, 67)]
    assert statuses == [200, 200, 429]
    network.clock.move(days=1)
    assert send(client).status_code == 200
    network.engine.dispose()


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("../../etc/passwd", "passwd"),
        ("..\\..\\boot.ini", "boot.ini"),
        ("/absolute.csv", "absolute.csv"),
        ("..", "sheet"),
        (".htaccess", "htaccess"),
        ("a\x00b\n.csv", "a b .csv"),
        ('<img src=x>".csv', "img src=x  .csv"),
        ("~$lock.xlsx", "lock.xlsx"),
        ("cosecha niño.csv", "cosecha niño.csv"),
        ("x" * 500 + ".csv", "x" * 116 + ".csv"),
    ],
)
def test_a_name_is_only_ever_a_name(name, expected):
    assert fit_name(name) == expected


def spin() -> None:
    while True:
        pass


def take_memory(count: int) -> int:
    return len(bytearray(count))


def complain() -> None:
    raise InputError("this cannot be read")


def test_work_apart_gives_its_result_and_its_complaint():
    assert run_apart(take_memory, 1000, seconds=60, memory_mb=300) == 1000
    with pytest.raises(InputError, match="cannot be read"):
        run_apart(complain, seconds=60, memory_mb=300)


def test_work_that_never_ends_is_ended():
    with pytest.raises(TakesTooMuchError, match="seconds"):
        run_apart(spin, seconds=0.5, memory_mb=300)


def test_work_that_takes_all_memory_is_ended():
    with pytest.raises(TakesTooMuchError):
        run_apart(take_memory, 2_000_000_000, seconds=60, memory_mb=300)


def test_a_file_that_takes_too_long_is_kept_for_the_night(published, tmp_path):
    network = make_network(tmp_path / "row", published, "[serving]\njudge_seconds = 0.001\n")
    answer = send(network.signed_in("volunteer"))
    assert answer.status_code == 202
    assert "at night" in answer.get_json()["message"]
    assert len(files_in(network.workspace.inbox)) == 1
    network.engine.dispose()
