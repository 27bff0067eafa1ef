"""Files made to burst, to climb and to lie: each is kept or refused, and the server goes on."""

import io
import zipfile

import pytest

from tests.dashboard.access.network import OWN, make_network
from tests.dashboard.access.test_uploads import SHEET, files_in, send

SETTINGS = "[intake]\nlargest_file_mb = 1\nlargest_unpacked_mb = 5\n[serving]\njudge_seconds = 20\n"


@pytest.fixture(scope="module")
def small(published, tmp_path_factory):
    """Give a network with narrow limits."""
    made = make_network(tmp_path_factory.mktemp("network") / "row", published, SETTINGS)
    yield made
    made.engine.dispose()


def workbook(members: dict[str, bytes]) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return packed.getvalue()


SHEET_XML = (
    b"<worksheet><sheetData>" + b"<row><c><v>1</v></c></row>" * 2_000_000 + b"</sheetData></worksheet>"
)
BILLION = (
    b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "ha">'
    + b"".join(b'<!ENTITY %c "%s">' % (ord("b") + at, b"&%c;" % (ord("a") + at) * 10) for at in range(9))
    + b"]><workbook>&j;</workbook>"
)
OUTSIDE = (
    b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/passwd">]><workbook>&a;</workbook>'
)
MADE = {
    "an unpacking bomb": ("bomb.xlsx", lambda: workbook({"xl/worksheets/sheet1.xml": SHEET_XML})),
    "ten thousand members": ("many.xlsx", lambda: workbook({f"xl/{at}.xml": b"x" for at in range(5_000)})),
    "entities that multiply": ("billion.xlsx", lambda: workbook({"xl/workbook.xml": BILLION})),
    "an entity from outside": ("outside.xlsx", lambda: workbook({"xl/workbook.xml": OUTSIDE})),
    "a member that climbs": ("climb.xlsx", lambda: workbook({"../../../evil.txt": b"x"})),
    "a cut archive": ("cut.xlsx", lambda: workbook({"xl/workbook.xml": b"<a/>"})[:40]),
    "a program": ("harvest.csv", lambda: b"\x7fELF" + b"\0" * 5_000),
    "a page": ("harvest.csv", lambda: b"<html><script>alert(1)</script></html>"),
    "nothing": ("harvest.csv", lambda: b""),
    "one endless line": ("harvest.csv", lambda: b"a," * 400_000),
    "quotes that never close": ("harvest.csv", lambda: b'site,plot,date,"' + b"x\n" * 300_000),
    "another type": ("harvest.csv", lambda: b"%PDF-1.7 " + b"0" * 1000),
}


@pytest.mark.parametrize("what", MADE)
def test_a_hostile_file_is_answered_and_the_next_one_is_read(small, what):
    name, make = MADE[what]
    client = small.signed_in("volunteer")
    answer = send(client, make(), name)
    assert answer.status_code in {200, 202}
    assert "root:" not in answer.text
    assert "Traceback" not in answer.text
    for sheet in answer.get_json().get("files", []):
        assert sheet["verdict"] == "refused"
    assert send(client).get_json()["verdict"] == "judged"
    assert not list(small.workspace.root.parent.rglob("evil.txt"))


def test_a_file_over_the_limit_is_not_kept(small):
    client = small.signed_in("volunteer")
    before = files_in(small.workspace.archive)
    answer = send(client, b"x" * 1_200_000)
    assert answer.status_code == 413
    assert "larger" in answer.get_json()["message"]
    assert files_in(small.workspace.archive) == before


@pytest.mark.parametrize(
    "name", ["../../../evil.csv", "..\\..\\evil.csv", "/etc/evil.csv", "%2e%2e/evil.csv"]
)
def test_a_files_name_puts_it_nowhere_else(fresh, name):
    send(fresh.signed_in("volunteer"), SHEET, name)
    assert all(place.startswith(f"{OWN}/") for place in files_in(fresh.workspace.inbox))
    assert not [path for path in fresh.workspace.root.parent.rglob("*evil*") if "inbox" not in path.parts]


@pytest.mark.parametrize("garden", ["../archive", "G05/../G07", "G05\x00", "", "g05", "%2e%2e"])
def test_a_gardens_name_puts_it_nowhere_else(fresh, garden):
    answer = send(fresh.signed_in("lead"), garden=garden)
    assert answer.status_code in {400, 404}
    assert files_in(fresh.workspace.inbox) == []


def test_what_was_sent_is_for_the_owner_of_the_server_alone(fresh):
    send(fresh.signed_in("volunteer"))
    for folder in (fresh.workspace.archive, fresh.workspace.inbox):
        for path in folder.rglob("*"):
            if path.is_file():
                assert path.stat().st_mode & 0o077 == 0
