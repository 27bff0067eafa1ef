"""What a garden should hear of its season: what happened, and how often it happens; never a forecast."""

from typing import Any

from dash import html

from dashboard import data
from dashboard.components.mark import icon
from dashboard.data import TrialSeason, View
from dashboard.pages.volunteer import Volunteer

#: Notes that stand on the page; the rest fold away.
_SHOWN = 3
#: What a code begins with where the note is a caution for people and their food: those stand first.
_CAUTIONS = ("heat-danger", "flood", "lead")


def season_notes(view: View, trial: TrialSeason, of: Volunteer) -> list[Any]:
    """Return the garden's notes in its language, cautions first and then the newest; nothing without any."""
    rows = data.of_garden(view, "season_notes", of.site, trial)
    own = rows[rows["language"] == of.language]
    if own.empty:
        return []
    ordered = own.assign(is_caution=own["code"].str.startswith(_CAUTIONS)).sort_values(
        ["is_caution", "from_date"], ascending=False, kind="stable", na_position="last"
    )
    entries = [_entry(note) for note in ordered.to_dict("records")]
    parts: list[Any] = [
        html.H2(of.say("notes_of_season")),
        html.Ul(entries[:_SHOWN], className="ledger"),
    ]
    if rest := entries[_SHOWN:]:
        summary = html.Summary(of.say("notes_more", n=len(rest)))
        parts.append(html.Details([summary, html.Ul(rest, className="ledger")], className="more"))
    # Whose rules come first is said once, not under every note.
    told = dict.fromkeys(words for words in own["defer"] if isinstance(words, str) and words)
    return [*parts, *(html.P(words, className="small second") for words in told)]


def _entry(note: dict[str, Any]) -> html.Li:
    sentence = html.Div(html.B(note["sentence"]) if note["is_caution"] else note["sentence"])
    return html.Li([icon("note"), sentence])
