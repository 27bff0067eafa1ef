"""What became of one row: every version of it, who made it and when, and its line as it came."""

from typing import Any

import pandas as pd
from dash import html

from dashboard.components.attributes import attributes
from dashboard.data import View
from dashboard.numerals import long_day, number
from dashboard.pages.evidence import line_as_it_came
from dashboard.selection import Selection
from dashboard.wording.garden import WORDS
from pipeline.store.tables import rows_of


def row_story(view: View, selection: Selection) -> list[Any]:
    """Return the story of the row that the address names; nothing where it names none."""
    kind, _, number_ = (selection.address.get("row") or "").partition("-")
    if view.desk is None or kind not in rows_of or not number_.isdigit():
        return []
    row = view.desk.row(kind, int(number_))
    # A garden's page tells of its own rows alone.
    if row is None or row["site"] != selection.garden:
        return []
    versions = view.desk.timeline(kind, int(number_))
    heading = WORDS["timeline"].format(file=row["file"], line=row["line"])
    return [
        html.Section(
            [
                html.H2(heading, id="row-story"),
                html.Ol([_version(version) for version in versions.to_dict("records")], className="timeline"),
                *line_as_it_came(view.desk, {"column": None, "sent": None}, row),
            ],
            className="block",
            **attributes(aria_labelledby="row-story"),
        )
    ]


def _version(version: dict[str, Any]) -> html.Li:
    """Return one version: when, who, what it said, and why it was left."""
    who = version["who"] if isinstance(version["who"], str) and version["who"] else "sender not known"
    answer = version["answer"] if isinstance(version["answer"], str) else WORDS["sent"]
    why = f" “{version['why']}”" if isinstance(version["why"], str) and version["why"] else ""
    until = (
        WORDS["left"].format(day=long_day(version["left"]), why=version["left_why"])
        if pd.notna(version["left"])
        else WORDS["stands"]
    )
    said = []
    if "marketable_weight" in version:
        said = [f"plot {version['plot']}, {number(version['marketable_weight'], 3)} kg, {version['state']}"]
    return html.Li(
        [
            html.Div([html.B(long_day(version["entered"])), f" {answer}, {who}{why}"]),
            html.Div("; ".join([*said, until]), className="second small"),
        ]
    )
