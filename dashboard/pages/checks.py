"""Checks: all that sheets are looked at for, by theme, with the words gardens get and crop limits."""

from collections.abc import Sequence
from itertools import groupby

import pandas as pd
from dash import html

from dashboard.components.figure import Rows, table_behind
from dashboard.components.ledger import ledger
from dashboard.components.mark import state_icon
from dashboard.components.sentence import sentence
from dashboard.data import View
from dashboard.figures.template import Screen
from dashboard.pages.page import ALWAYS, Content, Page
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
        table_behind(Rows("checks", "checks", "")),
        *(_theme(theme, checks) for theme, checks in themes),
        html.Section(
            [
                html.H2(WORDS["limits"]),
                html.P(WORDS["limits_note"]),
                table_behind(Rows("checks", "limits", "")),
            ],
            className="block",
        ),
    ]


def _theme(theme: str, checks: Sequence[Listed]) -> html.Section:
    return html.Section([html.H2(theme), ledger([_entry(one) for one in checks], "")], className="block")


def _entry(one: Listed) -> html.Li:
    """Return a check in one line: how serious it is and what it looks at; the table has all its words."""
    looks_at = WORDS["looks_at"].format(columns=one.looks_at, sheets=_sheets(one))
    return html.Li([state_icon(one.level), f"{one.name.replace('-', ' ')}: {WORDS[one.level]}. {looks_at}"])


def _sheets(one: Listed) -> str:
    return WORDS["every_sheet"] if one.sheets == "any" else one.sheets


def checks_table(_view: View, _selection: Selection, _screen: Screen) -> pd.DataFrame:
    """Return every check with what it looks at, when it asks and what it says in each language."""
    return pd.DataFrame(
        [
            {
                "check": one.name,
                "level": WORDS[one.level],
                "sheets": _sheets(one),
                "looks_at": one.looks_at,
                "when": one.when,
                **{f"says_{language}": " ".join(parts.values()) for language, parts in one.words.items()},
            }
            for one in listed_checks()
        ]
    )


def limits_table(_view: View, _selection: Selection, _screen: Screen) -> pd.DataFrame:
    """Return the usual ranges and hard limits of every crop, with their sources."""
    return pd.DataFrame(
        [
            {
                "crop": row["name"],
                "limit": row["limit"],
                "usual": shown_range(row["low"], row["high"], row["unit"]),
                "hard_limit": shown_range(row["hard_low"], row["hard_high"], row["unit"]),
                "source": row["source"],
            }
            for row in crop_limits(read_crops())
        ]
    )


PAGE = Page(
    "/checks",
    CHECKS,
    "running",
    lambda _view, selection: selection,
    build,
    {"checks": checks_table, "limits": limits_table},
    is_listed=False,
    has_row=False,
    kept_seconds=ALWAYS,
)
