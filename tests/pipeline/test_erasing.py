"""Erasing a person: the words go, the numbers stay."""

import hashlib
import io
import json

import pytest
import sqlalchemy as sa
from PIL import Image

from dashboard.access import people
from dashboard.desk import Desk
from pipeline.erasing import BLANK, erase_person, erase_picture, erase_row
from pipeline.nightly import run_night
from pipeline.personal import record_of
from pipeline.publish.snapshot import from_bytes
from pipeline.store.account_tables import web_uploads
from pipeline.store.engine import open_store, writing
from pipeline.store.tables import frames, uploads
from pipeline.workspace import open_workspace
from sites.errors import InputError
from tests.dashboard.access.network import KNOWN, START, write_registry

SHEET = """site,plot,date,marketable weight,unit,recorded by,note
G05,P1,2025-07-14,2.5,lb,Rosa Quist,Rosa Quist was here with her son
G05,P2,2025-07-14,3.5,lb,Max Orrin,a quiet day
G05,P1,2025-07-21,1.5,lb,ROSA QUIST,call me
"""
WHY = "asked by letter"


@pytest.fixture
def network(tmp_path):
    (tmp_path / "network.toml").write_text('name = "Row"\ntoday = 2025-08-12\n', encoding="utf-8")
    workspace = open_workspace(tmp_path)
    write_registry(workspace.registry)
    (workspace.inbox / "G05").mkdir()
    (workspace.inbox / "G05" / "harvest.csv").write_text(SHEET, encoding="utf-8")
    assert run_night(workspace).status == "published"
    (workspace.root / "outbox" / "letter.eml").write_text("To: x@trial.example\n\nHello Rosa Quist\n")
    engine = open_store(workspace.database_url)
    yield workspace, engine
    engine.dispose()


def everything(workspace, engine) -> str:
    """Return all that the store and the folders hold, as text."""
    with engine.connect() as connection:
        store = "\n".join(connection.connection.dbapi_connection.iterdump())
    folders = [workspace.archive, workspace.inbox, workspace.root / "outbox"]
    files = [path.read_text() for folder in folders for path in folder.rglob("*") if path.is_file()]
    return "\n".join([store, *files])


def rows(engine):
    with engine.connect() as connection:
        return connection.exec_driver_sql(
            "SELECT row_id, recorded_by, note, marketable_weight FROM harvest_row ORDER BY row_id"
        ).all()


def test_a_persons_name_and_notes_are_gone_everywhere_and_the_numbers_stay(network):
    workspace, engine = network
    before = [row.marketable_weight for row in rows(engine)]
    assert "rosa quist" in everything(workspace, engine).lower()
    erase_person(engine, workspace, "Rosa Quist", WHY, START)
    left = everything(workspace, engine)
    assert "rosa quist" not in left.lower()
    assert "her son" not in json.dumps([list(row) for row in rows(engine)])
    assert "call me" not in json.dumps([list(row) for row in rows(engine)])
    assert [row.marketable_weight for row in rows(engine)] == before
    assert "a quiet day" in left
    assert "Max Orrin" in left


def test_the_hash_the_day_and_the_reason_are_kept(network):
    workspace, engine = network
    names = {path.name for path in workspace.archive.iterdir()}
    done = erase_person(engine, workspace, "Rosa Quist", WHY, START)
    lines = [json.loads(line) for line in (workspace.archive / "erased.jsonl").read_text().splitlines()]
    assert {line["why"] for line in lines} == {WHY}
    assert {line["file"] for line in lines} == set(done.files)
    assert names <= {path.name for path in workspace.archive.iterdir()}


def test_the_file_that_was_erased_is_not_taken_as_new(network):
    workspace, engine = network
    erase_person(engine, workspace, "Rosa Quist", WHY, START)
    (workspace.inbox / "G05" / "harvest.csv").write_text(SHEET, encoding="utf-8")
    run_night(workspace)
    assert "Rosa Quist" not in json.dumps([list(row) for row in rows(engine)])


def test_the_words_of_one_row_can_be_erased(network):
    workspace, engine = network
    first, second, *_ = rows(engine)
    erase_row(engine, workspace, "harvest", first.row_id, WHY, START)
    now = rows(engine)
    assert (now[0].recorded_by, now[0].note) == (None, None)
    assert now[0].marketable_weight == first.marketable_weight
    assert now[1] == second


@pytest.mark.parametrize(("name", "why"), [("Al", WHY), ("Rosa Quist", "  ")])
def test_a_short_name_or_a_missing_reason_is_refused(network, name, why):
    workspace, engine = network
    with pytest.raises(InputError):
        erase_person(engine, workspace, name, why, START)
    assert "Rosa Quist" in everything(workspace, engine)


def test_backups_that_still_hold_the_words_are_named(network):
    workspace, engine = network
    backup = workspace.root / "backups" / "monday.zip"
    backup.parent.mkdir()
    backup.write_bytes(b"x")
    assert erase_person(engine, workspace, "Rosa Quist", WHY, START).backups == [str(backup)]


def test_a_part_of_another_name_is_left_alone(network):
    workspace, engine = network
    erase_person(engine, workspace, "Quis", WHY, START)
    assert BLANK not in everything(workspace, engine)


def test_what_is_kept_of_a_person_can_be_read_by_them(network):
    workspace, engine = network
    record = record_of(engine, workspace, "rosa quist")
    assert [(row["site"], row["note"]) for row in record["rows"]] == [
        ("G05", "Rosa Quist was here with her son"),
        ("G05", "call me"),
    ]
    assert record["gardens"] == []
    assert record_of(engine, workspace, "contact of G07")["gardens"][0]["site"] == "G07"


def test_archive_outbox_and_database_are_for_their_owner_alone(network):
    workspace, _ = network
    for path in (workspace.archive, workspace.root / "outbox", *workspace.root.glob("longrow.db*")):
        assert path.stat().st_mode & 0o077 == 0, path


def sent_picture(workspace, engine, sent_by: int) -> tuple[int, str]:
    """Send a picture of paper for G05 and run the night; return the number of its upload and its SHA-256."""
    out = io.BytesIO()
    Image.new("RGB", (8, 8), (120, 60, 30 + sent_by)).save(out, "PNG")
    content = out.getvalue()
    digest = hashlib.sha256(content).hexdigest()
    (workspace.inbox / "G05").mkdir(exist_ok=True)
    (workspace.inbox / "G05" / "paper.png").write_bytes(content)
    with writing(engine) as connection:
        connection.execute(
            sa.insert(web_uploads).values(
                at=START, account_id=sent_by, site="G05", sha256=digest, name="paper.png", bytes=len(content)
            )
        )
    run_night(workspace)
    waiting = Desk(workspace, engine).pictures()
    return int(waiting.loc[waiting["sha256"] == digest, "upload_id"].iloc[0]), digest


def add_rosa(engine) -> int:
    with writing(engine) as connection:
        lead = people.add(connection, "Ada Lind", "lead", [], known_gardens=KNOWN, made_by="test", now=START)
        assert lead.id == 1
        return people.add(
            connection, "Rosa Quist", "volunteer", ["G05"], known_gardens=KNOWN, made_by="test", now=START,
            mail="rosa@trial.example",
        ).id  # fmt: skip


def test_pictures_that_the_persons_account_sent_are_taken_out_and_that_they_came_is_kept(network):
    workspace, engine = network
    number, digest = sent_picture(workspace, engine, add_rosa(engine))
    done = erase_person(engine, workspace, "Rosa Quist", WHY, START)
    assert not (workspace.archive / digest).exists()
    assert done.files[f"archive/{digest}"] == "taken out"
    assert Desk(workspace, engine).pictures().empty
    with engine.connect() as connection:
        kept = connection.execute(sa.select(uploads.c.sha256).where(uploads.c.upload_id == number))
        assert kept.scalar_one() == digest
    assert run_night(workspace).status in {"published", "nothing new"}


def test_pictures_of_the_persons_garden_are_named_and_each_can_be_erased(network):
    workspace, engine = network
    number, digest = sent_picture(workspace, engine, 0)
    assert erase_person(engine, workspace, "contact of G05", WHY, START).pictures == [number]
    assert (workspace.archive / digest).exists()
    erase_picture(engine, workspace, number, WHY, START)
    assert not (workspace.archive / digest).exists()
    with pytest.raises(InputError, match="no picture"):
        erase_picture(engine, workspace, number, WHY, START)


def test_the_contact_in_the_registry_is_blanked_and_every_other_cell_stays(network):
    workspace, engine = network
    file = workspace.registry / "gardens.csv"
    before = file.read_text()
    (workspace.registry / "absences.csv").write_text(
        "site,from,to,stand_in\nG05,2025-07-01,2025-07-09,Contact of G05\n"
    )
    done = erase_person(engine, workspace, "contact of G05", WHY, START)
    assert file.read_text() == before.replace("contact of G05", "")
    assert "G05,2025-07-01,2025-07-09,\n" in (workspace.registry / "absences.csv").read_text()
    assert done.files["registry/gardens.csv"] == "1 blanked"


def test_a_persons_mail_address_goes_with_the_name(network):
    workspace, engine = network
    add_rosa(engine)
    letter = workspace.root / "outbox" / "other.eml"
    letter.write_text("To: rosa@trial.example\n\nHello\n")
    erase_person(engine, workspace, "Rosa Quist", WHY, START)
    assert letter.read_text() == f"To: {BLANK}\n\nHello\n"
    assert "rosa@trial.example" not in everything(workspace, engine)


def test_what_was_published_names_the_person_no_more(network):
    workspace, engine = network
    (workspace.inbox / "G05").mkdir(exist_ok=True)
    (workspace.inbox / "G05" / "more.csv").write_text(
        "site,plot,date,marketable weight,unit,recorded by\nG05,P1,2025-07-28,Rosa Quist,lb,Max Orrin\n"
    )
    run_night(workspace)
    assert "Rosa Quist" in published_words(engine)
    erase_person(engine, workspace, "Rosa Quist", WHY, START)
    assert "Rosa Quist" not in published_words(engine)


def published_words(engine) -> str:
    with engine.connect() as connection:
        contents = connection.execute(sa.select(frames.c.content)).scalars().all()
    return "\n".join(from_bytes(content).to_csv() for content in contents)
