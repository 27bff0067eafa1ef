"""What a garden should hear of its season: what happened, and how often it happens; never a forecast."""

from collections.abc import Mapping
from math import inf
from typing import Any

import pandas as pd

from dashboard import data
from dashboard.components.mark import icon
from dashboard.components.plain import Part, part
from dashboard.data import TrialSeason, View
from dashboard.pages.volunteer import Volunteer
from dashboard.records import records

#: Notes that stand on the page; the rest fold away.
_SHOWN = 3
#: What a code begins with where the note is a caution for people and their food: those stand first.
_CAUTIONS = ("heat-danger", "flood", "lead")
#: What of a note the page needs.
_TOLD = ("language", "code", "from_date", "sentence", "defer")


def season_notes(view: View, trial: TrialSeason, of: Volunteer) -> list[Any]:
    """Return the garden's notes in its language, cautions first and then the newest; nothing without any."""
    rows = data.of_garden(view, "season_notes", of.site, trial)
    own = [note for note in records(rows, _TOLD) if note["language"] == of.language]
    if not own:
        return []
    ordered = sorted(own, key=_cautions_then_newest)
    entries = [_entry(note) for note in ordered]
    parts: list[Any] = [
        part("H2", of.say("notes_of_season")),
        part("Ul", entries[:_SHOWN], className="ledger"),
    ]
    if rest := entries[_SHOWN:]:
        summary = part("Summary", of.say("notes_more", n=len(rest)))
        parts.append(part("Details", [summary, part("Ul", rest, className="ledger")], className="more"))
    # Whose rules come first is said once, not under every note.
    told = dict.fromkeys(words for note in own if isinstance(words := note["defer"], str) and words)
    return [*parts, *(part("P", words, className="small second") for words in told)]


def _cautions_then_newest(note: Mapping[str, Any]) -> tuple[bool, float]:
    began = note["from_date"]
    return not _is_caution(note), inf if pd.isna(began) else -began.toordinal()


def _is_caution(note: Mapping[str, Any]) -> bool:
    return str(note["code"]).startswith(_CAUTIONS)


def _entry(note: Mapping[str, Any]) -> Part:
    sentence = part("Div", part("B", note["sentence"]) if _is_caution(note) else note["sentence"])
    return part("Li", [icon("note"), sentence])
