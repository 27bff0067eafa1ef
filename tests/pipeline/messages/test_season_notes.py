"""Notes on a season in messages: those that ask for something start one, others go along, each once."""

import pandas as pd
import pytest

from pipeline.messages.garden_message import Received, garden_message
from pipeline.messages.night import nothing_found
from pipeline.messages.reader import Reader
from pipeline.messages.season_notes import fresh_notes, note_occasions
from pipeline.settings import Messages

READER = Reader("G01", "First Row")
NOTHING = Received([], 0, 0, 0, 0, (), nothing_found())


def note(code, day, to=None, sentence="It happened."):
    rows = [
        {
            "site": "G01",
            "kind": code.split("-")[0],
            "code": code,
            "from_date": pd.Timestamp(day),
            "to_date": pd.Timestamp(to) if to else pd.NaT,
            "language": language,
            "sentence": f"{sentence} ({language})",
            "defer": "Your county and garden rules come first.",
        }
        for language in ("en", "es")
    ]
    return pd.DataFrame(rows)


def occasions(night, *notes):
    fresh = fresh_notes(night(season_notes=pd.concat(notes)))
    return note_occasions(READER, fresh) if len(fresh) else []


@pytest.mark.parametrize(
    ("code", "day", "starts"),
    [
        ("flood-wait", "2024-11-20", True),
        ("lead-above-screening", "2023-04-01", True),
        ("heat-danger", "2024-08-30", True),
        ("heat-extreme-caution", "2024-08-30", False),
        ("soil-warm", "2024-08-25", False),
    ],
)
def test_a_note_that_asks_for_something_starts_a_message(night, code, day, starts):
    (one,) = occasions(night, note(code, day))
    assert one.starts == starts
    assert one.text == "It happened. (en)"


@pytest.mark.parametrize(
    ("code", "day", "to"),
    [
        ("heat-danger", "2024-08-10", None),
        ("freeze-one-in-ten", "2024-05-10", None),
        ("flowers-hot-days", "2024-05-10", "2024-05-23"),
    ],
)
def test_a_note_that_is_no_longer_fresh_is_not_told(night, code, day, to):
    assert occasions(night, note(code, day, to)) == []


def test_what_hindered_the_flowers_is_told_once_the_first_fruit_is_picked(night):
    (one,) = occasions(night, note("flowers-hot-days", "2024-06-28", "2024-07-11"))
    assert one.name == "flowers-hot-days 2024-06-28"


def test_heat_is_told_once_a_month_and_the_worst_once_a_week(night):
    first, second = note("heat-danger", "2024-08-27"), note("heat-extreme-caution", "2024-08-30")
    assert {one.name for one in occasions(night, first, second)} == {"heat 2024-08"}
    worst = [note("heat-extreme-danger", "2024-08-27"), note("heat-extreme-danger", "2024-08-30")]
    assert {one.name for one in occasions(night, *worst)} == {"heat 2024-W35"}


def test_one_note_of_two_trials_is_told_once(night):
    assert len(occasions(night, note("flood-wait", "2024-11-20"), note("flood-wait", "2024-11-20"))) == 1


def test_notes_alone_make_a_message_that_defers_to_local_rules(night):
    message = garden_message(
        READER, NOTHING, Messages(), (), occasions(night, note("flood-wait", "2024-11-20"))
    )
    assert message is not None
    assert message.subject == "First Row: a note on your season"
    assert message.text == (
        "About your season:\n- It happened. (en)\n\nYour county and garden rules come first.\n\n"
        "Questions? Ask your trial lead, or just reply.\n"
    )
    assert message.occasions == ("flood-wait 2024-11-20",)


def test_a_note_that_only_goes_along_waits_for_a_message(night):
    riders = occasions(night, note("soil-warm", "2024-08-25"))
    assert garden_message(READER, NOTHING, Messages(), (), riders) is None
    starting = occasions(
        night, note("flood-wait", "2024-11-20"), note("soil-warm", "2024-08-25", sentence="Warm.")
    )
    message = garden_message(READER, NOTHING, Messages(), (), starting)
    assert message is not None
    assert "- Warm. (en)" in message.text
