"""Checks: all that sheets are looked at for, by theme, with the words gardens get and crop limits."""

from collections.abc import Sequence
from itertools import groupby
from typing import Any

from dash import html

from dashboard.components.attributes import attributes
from dashboard.components.ledger import ledger
from dashboard.components.mark import state_icon
from dashboard.components.sentence import sentence
from dashboard.data import View
from dashboard.figures.template import Screen
from dashboard.pages.page import Content, Page
from dashboard.selection import Selection
from dashboard.words import CHECKS
from dashboard.words import CHECKS_WORDS as WORDS
from pipeline.checks.listing import Listed, crop_limits, listed_checks, shown_range
from sites.crops import read_crops


def build(_view: View, _selection: Selection, _screen: Screen) -> Content:
    """Return the page. It rests on the checks themselves, and so is the same in every network and night."""
    listed = listed_checks()
    themes = [(theme, list(checks)) for theme, checks in groupby(listed, lambda one: one.theme)]
    return [
        *sentence(CHECKS.title, WORDS["sure"].format(count=len(listed))),
        *(_theme(theme, checks) for theme, checks in themes),
        html.Section([html.H2(WORDS["limits"]), html.P(WORDS["limits_note"]), _limits()], className="block"),
    ]


def _theme(theme: str, checks: Sequence[Listed]) -> html.Section:
    return html.Section([html.H2(theme), ledger([_entry(one) for one in checks], "")], className="block")


def _entry(one: Listed) -> html.Li:
    """Return a check: how serious it is, what it looks at, and folded away when it asks and what it says."""
    heading: list[Any] = [
        html.B(one.name.replace("-", " ")),
        " ",
        html.Span(WORDS[one.level], className="second"),
    ]
    sheets = WORDS["every_sheet"] if one.sheets == "any" else one.sheets
    looks_at = WORDS["looks_at"].format(columns=one.looks_at, sheets=sheets)
    said = [
        html.P([html.B(WORDS[language]), " ", " ".join(parts.values())], lang=language)
        for language, parts in one.words.items()
    ]
    more = html.Details([html.Summary(WORDS["more"]), html.P(one.when), *said], className="small")
    return html.Li(
        [state_icon(one.level), html.Div([html.Div(heading), html.Div(looks_at, className="small"), more])]
    )


def _limits() -> html.Div:
    """Return the limits of the crop table."""
    names = ("crop", "limit", "usual", "hard", "source")
    head = html.Tr([html.Th(WORDS[f"limits_{name}"], scope="col") for name in names])
    body = [_limit(row) for row in crop_limits(read_crops())]
    return html.Div(
        html.Table([html.Thead(head), html.Tbody(body)]),
        className="scroll",
        role="region",
        tabIndex="0",
        **attributes(aria_label=WORDS["limits"]),
    )


def _limit(row: dict[str, Any]) -> html.Tr:
    usual = shown_range(row["low"], row["high"], row["unit"])
    hard = shown_range(row["hard_low"], row["hard_high"], row["unit"])
    return html.Tr(
        [
            html.Th(row["name"], scope="row"),
            html.Td(row["limit"]),
            html.Td(usual, className="nowrap"),
            html.Td(hard, className="nowrap"),
            html.Td(row["source"]),
        ]
    )


PAGE = Page("/checks", CHECKS, "running", lambda _view, selection: selection, build, {}, is_listed=False)
