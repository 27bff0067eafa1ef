"""Visits: what to look at in each garden, from its open questions, one list a garden, made to be printed."""

from collections.abc import Sequence
from typing import Any

import pandas as pd
from dash import html

from dashboard.components.attributes import UNSEEN
from dashboard.components.ledger import garden_heading
from dashboard.components.plain import Part, part
from dashboard.components.sentence import sentence
from dashboard.components.states import nothing_yet
from dashboard.data import View
from dashboard.figures.template import Screen
from dashboard.numerals import count, long_day, number
from dashboard.pages import tables
from dashboard.pages.case import short_title
from dashboard.pages.page import WITH_ROWS, Content, Page
from dashboard.pages.waiting import waiting
from dashboard.records import records
from dashboard.selection import Selection
from dashboard.wording.watch import VISITS, WORDS

#: Gardens written out at most; a longer row is visited stretch by stretch.
MOST_GARDENS = 120
#: What a visit needs to know of a question.
_TOLD = ("site", "plot", "code", "line", "date", "sent", "check", "file", "message")
Finding = dict[str, Any]


def build(view: View, selection: Selection, screen: Screen) -> Content:
    """Return the page: the list of the chosen garden, or of every garden that has one."""
    del screen
    if selection.trial is None:
        return nothing_yet(VISITS.title, VISITS.nothing)
    asked = waiting(view, selection, selection.trial).open
    row = selection.by_site.of(selection.garden) if selection.garden else selection.gardens
    gardens = row[row["site"].isin(asked["site"])]
    if gardens.empty:
        return nothing_yet(VISITS.title, VISITS.nothing)
    listed = gardens.head(MOST_GARDENS)
    of_garden: dict[str, list[Finding]] = {}
    in_order = asked[asked["site"].isin(listed["site"])].sort_values(["plot", "line"], kind="stable")
    for finding in records(in_order, _TOLD):
        of_garden.setdefault(finding["site"], []).append(finding)
    night = long_day(view.published.night)
    heading = WORDS["visit_heading"].format(gardens=count(len(gardens), "garden", "gardens"))
    lists = [_visit(garden, of_garden[garden["site"]], night) for garden in records(listed)]
    return [*sentence(VISITS.title, heading), *lists]


def _visit(garden: dict[str, Any], asked: Sequence[Finding], night: str) -> html.Section:
    place = f"{garden['county']} County, {number(garden['position_km'])} km east"
    late = [html.P(WORDS["late"].format(reason=garden["reason"]))] if garden["state"] == "late" else []
    items = [_item(finding) for finding in asked]
    return html.Section(
        [
            html.H2(garden_heading(garden)),
            html.P(
                [place, ". ", WORDS["visit_note"].format(site=garden["site"], night=night)],
                className="second",
            ),
            *late,
            html.Ul(items, className="visit"),
        ],
        className="block visit-list",
    )


def _item(finding: Finding) -> Part:
    where = f"{finding['file']}, row {finding['line']}" if pd.notna(finding["line"]) else finding["file"]
    source = [part("Div", where, className="small second")] if isinstance(where, str) else []
    seen = part("Div", [WORDS["visit_seen"], part("Span", className="rule")], className="seen")
    said = [part("B", short_title(finding)), part("Div", finding["message"]), *source, seen]
    return part("Li", [part("Span", className="tick", **UNSEEN), part("Div", said)])


PAGE = Page(
    "/visits",
    VISITS,
    "running",
    lambda view, selection: selection,
    build,
    {"visits": tables.questions},
    is_listed=False,
    kept_seconds=WITH_ROWS,
)
