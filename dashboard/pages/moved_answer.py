"""Why the answer moved: the gardens whose new rows moved it since the page before, and how far."""

import math
from datetime import datetime
from typing import Any

import pandas as pd
from dash import html

from dashboard import data
from dashboard.components.attributes import attributes
from dashboard.components.figure import Rows, table_behind
from dashboard.components.ledger import garden_heading, ledger
from dashboard.data import TrialSeason, View
from dashboard.figures.template import Screen
from dashboard.numerals import NO_BREAK, count, long_day, moment, more_or_less, number
from dashboard.selection import Selection
from dashboard.wording.moved import WORDS
from pipeline.response.question_influence import size_of

#: Gardens in the small table; the table behind names them all.
MOST_ROWS = 8
#: The words for each size of a move.
_SIZES = {"large": "far", "some": "some", "small": "little"}
_PLACE = ["site", "name", "county", "position_km"]


def since(view: View, screen: Screen) -> str:
    """Return since when something is new on this page: since the snapshot before it."""
    if is_first(view):
        return WORDS["since_start"]
    before: datetime | None = view.desk.published_before(view.published.id) if view.desk else None
    if before is None:
        return WORDS["since_before"]
    return WORDS["since"].format(moment=moment(before, screen.zone))


def is_first(view: View) -> bool:
    """Return whether no snapshot came before this one: every sheet is new on it."""
    uploads = data.uploads(view)
    return bool(len(uploads)) and bool(uploads["is_new"].all())


def moved_answer(view: View, selection: Selection, trial: TrialSeason, screen: Screen) -> list[Any]:
    """Return which gardens moved the answer: by how much once closed, before only whether far or little."""
    rows, told = _rows(view, selection, trial), since(view, screen)
    heading = html.H2(WORDS["title"])
    if rows.empty:
        said = WORDS["first"] if is_first(view) else WORDS["none"].format(since=told)
        return [html.Section([heading, ledger([], said)], className="block")]
    shown = rows.head(MOST_ROWS)
    further = WORDS["more"].format(n=len(rows) - len(shown)) if len(rows) > len(shown) else ""
    if trial.is_closed:
        said, note = _seen_closed(rows, selection), WORDS["closed"].format(since=told)
        table = _table(("garden", "own", "size"), shown, _closed_cells)
    else:
        said = _seen_running(rows, told)
        note = WORDS["running"].format(close=long_day(trial.close))
        table = _table(("garden", "code", "size"), shown, _running_cells)
    return [
        html.Section(
            [
                heading,
                html.P(said, className="lead-in"),
                html.P(note, className="second small"),
                table,
                html.P(further, className="second small") if further else None,
                table_behind(Rows("watch", "moved", selection.address.query)),
            ],
            className="block",
        )
    ]


def moved_table(view: View, selection: Selection, trial: TrialSeason) -> pd.DataFrame:
    """Return every garden that moved the answer, west to east; of a running trial only how far."""
    rows = _rows(view, selection, trial).sort_values(["position_km", "site"], kind="stable")
    if not trial.is_closed:
        return rows[[*_PLACE, "code", "how_far"]].replace(
            {"how_far": {key: WORDS[key] for key in _SIZES.values()}}
        )
    told = ["treatment", "percent_before", "percent_now", "answer_before", "answer_now", "moved_points"]
    return rows[[*_PLACE, *told]]


def _rows(view: View, selection: Selection, trial: TrialSeason) -> pd.DataFrame:
    """Return the gardens with place, colour, their treatment's code and the size of the move, farthest first.

    A running trial's gardens of one size stand west to east, so that their order tells nothing more.
    """
    moved = data.placed(view, data.of_season(view, "moved", trial), "light")
    named = selection.treatments[["treatment", "code", "label"]]
    rows = moved.merge(named, on="treatment", how="left")
    rows["colour"] = rows["site"].map(selection.gardens.set_index("site")["colour"]).fillna(rows["colour"])
    points = rows["moved_points"].abs()
    rows["how_far"] = [_SIZES.get(str(size_of(value)), "unknown") for value in points]
    rank = rows["how_far"].map({name: at for at, name in enumerate(("unknown", *_SIZES.values()))})
    ordered = rows.assign(rank=rank, far=-points.fillna(math.inf))
    by = ["far"] if trial.is_closed else ["rank", "position_km", "code"]
    return ordered.sort_values([*by, "site"], kind="stable").reset_index(drop=True)


def _seen_closed(rows: pd.DataFrame, selection: Selection) -> str:
    """Return the answers before and now, and who moved them most."""
    control = selection.control_label
    parts = []
    for label, own in rows.groupby("label", sort=False):
        before, now = own["answer_before"].iloc[0], own["answer_now"].iloc[0]
        known = "answer_new" if pd.isna(before) else "answer_gone" if pd.isna(now) else "answer"
        words = {"before": more_or_less(before, 1), "now": more_or_less(now, 1)}
        said = WORDS[known].format(treatment=label, control=control, **words)
        parts.append(said[:1].upper() + said[1:])
    most = rows.iloc[0]
    if math.isfinite(most["moved_points"]):
        garden = f"{most['site']} {most['name']}"
        parts.append(WORDS["seen_closed"].format(garden=garden, points=_points(most["moved_points"])))
    return ". ".join(parts) + "."


def _seen_running(rows: pd.DataFrame, told_since: str) -> str:
    counts = rows.drop_duplicates("site")["how_far"].value_counts()
    sizes = ", ".join(f"{counts[key]} {WORDS[key]}" for key in ("far", "some", "little") if key in counts)
    if "unknown" in counts:
        sizes = ", ".join(part for part in (sizes, f"{counts['unknown']} {WORDS['unknown']}") if part)
    gardens = count(rows["site"].nunique(), "garden", "gardens")
    return WORDS["seen_running"].format(gardens=gardens, since=told_since, sizes=sizes) + "."


def _points(points: float) -> str:
    if not math.isfinite(points):
        return WORDS["unknown"]
    size = f"{number(abs(points), 2)}{NO_BREAK}{'point' if abs(points) == 1 else 'points'}"
    return WORDS["up" if points > 0 else "down"].format(points=size)


def _table(heads: tuple[str, ...], rows: pd.DataFrame, cells: Any) -> html.Div:
    head = html.Tr([html.Th(WORDS[name], scope="col") for name in heads])
    body = [
        html.Tr([html.Th(garden_heading(row), scope="row"), *(html.Td(cell) for cell in cells(row))])
        for row in rows.to_dict("records")
    ]
    named = attributes(aria_label=WORDS["title"])
    table = html.Table([html.Thead(head), html.Tbody(body)])
    return html.Div(table, className="scroll", role="region", tabIndex="0", **named)


def _running_cells(row: dict[str, Any]) -> tuple[str, ...]:
    return str(row["code"]), WORDS[row["how_far"]]


def _closed_cells(row: dict[str, Any]) -> tuple[str, ...]:
    before, now = (
        WORDS["no_value"] if pd.isna(row[name]) else more_or_less(row[name])
        for name in ("percent_before", "percent_now")
    )
    own = WORDS["own_words"].format(treatment=row["label"], before=before, now=now)
    return own[:1].upper() + own[1:], _points(row["moved_points"])
