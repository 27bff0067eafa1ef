"""A picture of a paper record waits among the questions until somebody typed what it shows."""

from datetime import date

import pytest

from pipeline.store.pictures import put_away, waiting_pictures
from sites.errors import InputError
from tests.pipeline.intake.test_pictures import PICTURES, PLACE


@pytest.fixture
def sent(nights):
    folder = nights.workspace.inbox / "G01"
    folder.mkdir()
    (folder / "page 3.jpg").write_bytes(PICTURES["JPEG"])
    nights.night()
    return nights


def waiting(nights):
    with nights.engine.connect() as connection:
        return waiting_pictures(connection)


def test_a_picture_waits_with_its_garden_and_day(sent):
    found = waiting(sent).iloc[0]
    assert (found["file"], found["site"], found["day"].date()) == ("page 3.jpg", "G01", date(2024, 8, 20))
    assert sent.asked() == ["paper-to-type"]


def test_its_place_is_nowhere_in_the_workspace(sent):
    kept = [path.read_bytes() for path in sent.workspace.archive.iterdir()]
    assert len(kept) == 1
    assert all(PLACE not in content for content in kept)
    assert not [path for path in sent.workspace.inbox.rglob("*") if path.is_file()]


def test_the_same_picture_sent_again_waits_once(sent):
    (sent.workspace.inbox / "G01" / "again.jpg").write_bytes(PICTURES["JPEG"])
    sent.night()
    assert len(waiting(sent)) == 1


def test_a_typed_picture_is_put_away_with_its_question(sent):
    upload = int(waiting(sent)["upload_id"].iloc[0])
    put_away(sent.engine, upload, "lead", sent.workspace.now(), run=1)
    assert (len(waiting(sent)), sent.asked()) == (0, [])
    with pytest.raises(InputError, match="does not wait"):
        put_away(sent.engine, upload, "lead", sent.workspace.now(), run=1)
