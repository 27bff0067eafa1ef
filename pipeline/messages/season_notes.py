"""To a garden: the notes on its season, each once, while it is fresh."""

from collections.abc import Mapping
from typing import Any

import pandas as pd

from pipeline.messages.occasion import Night, Occasion
from pipeline.messages.reader import Reader
from pipeline.words import translate

#: Days before its start from which notes of a trial are told: plants are hardened off by then.
AHEAD_DAYS = 45

#: Days for which a note is fresh, by its kind, from its day on. What hindered flowers is known with the first
#: picking, 45 days after the last of them; lead in the soil stays.
FRESH_DAYS = {"flowers": 70, "lead": 10_000}
OTHERWISE_FRESH_DAYS = 14

#: Notes that are reason enough for a message: they ask for something to be done. The others go along with the
#: next message.
STARTING = ("harden-off", "freeze-one-in-ten", "heat-danger", "heat-extreme-danger")
STARTING_KINDS = ("flood", "lead")


def fresh_notes(night: Night) -> pd.DataFrame:
    """Return the notes of trials that run or start soon and are still fresh, one row for each language."""
    notes = night.running("season_notes", AHEAD_DAYS)
    if notes.empty:
        return notes
    since = notes["to_date"].fillna(notes["from_date"])
    days = notes["kind"].map(FRESH_DAYS).fillna(OTHERWISE_FRESH_DAYS)
    fresh = notes[(night.tonight - since).dt.days <= days]
    # Lead, heat and floods are the garden's, and come with each of its trials.
    return fresh.drop_duplicates(["site", "code", "from_date", "language", "sentence"])


def note_occasions(reader: Reader, own: pd.DataFrame) -> list[Occasion]:
    """Return the notes of one garden in its language, each as an occasion."""
    said = translate(reader.language)
    subject = said.gettext("{garden}: a note on your season").format(garden=reader.name)
    told = own[own["language"] == reader.language]
    return [
        Occasion(
            _name(note),
            subject,
            note["sentence"],
            starts=note["code"] in STARTING or note["kind"] in STARTING_KINDS,
        )
        for note in told.to_dict("records")
    ]


def _name(note: Mapping[Any, Any]) -> str:
    """Return the name of the occasion: heat once a month, the worst once a week, all else once for its day.

    A hot summer must not make a message every week: people stop reading.
    """
    day = pd.Timestamp(note["from_date"])
    if note["code"] == "heat-extreme-danger":
        year, week, _ = day.isocalendar()
        return f"heat {year}-W{week:02}"
    if note["kind"] == "heat":
        return f"heat {day:%Y-%m}"
    return f"{note['code']} {day.date()}"
