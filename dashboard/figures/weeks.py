"""The week grid: for every garden and week a small plot of paper that says whether its pickings came in."""

from collections.abc import Sequence
from itertools import chain, pairwise
from typing import Any

import pandas as pd

from dashboard.figures import crowd
from dashboard.figures.marks import anchored
from dashboard.figures.plain import Trace, scatter
from dashboard.figures.row import Row, columns, headed
from dashboard.figures.stack import Part, Stack
from dashboard.figures.template import Screen, Tokens
from dashboard.figures.titles import label_at, strip_title
from dashboard.numerals import day
from dashboard.words import WATCH_WORDS

#: Pixels from one week to the next, and of these the cell itself: wide, narrow.
PITCH, CELL = (19, 17), (15, 14)
#: Widest cell, and the air between neighbours, pixels.
CELL_WIDTH, CELL_AIR = 30.0, (5.0, 2.0)
#: States of a week in the order of the key.
KEY = ("sent", "part", "missing", "absent", "early")

#: States of a week in which pickings were due.
DUE = ("sent", "part", "missing")

Outline = tuple[list[float | None], list[float | None]]


def grid_height(weeks: pd.DataFrame, screen: Screen) -> int:
    """Return the pixels that the grid takes."""
    return int(weeks["week"].nunique() * PITCH[screen.narrow])


def weeks_part(gardens: pd.DataFrame, weeks: pd.DataFrame, row: Row, stack: Stack, screen: Screen) -> Part:
    """Return the grid under the row: one column for each garden, west to east, one line for each week.

    Of a crowd, a column for each stretch of the row, filled as far as its gardens' pickings came in.
    """
    if crowd.is_crowd(gardens):
        return _stretches_part(gardens, weeks, row, stack, screen)
    at = dict(zip(gardens["site"], columns(row, gardens, screen.plot_width, even=screen.narrow), strict=True))
    mondays = sorted(weeks["week"].unique())
    pitch, cell = PITCH[screen.narrow], CELL[screen.narrow]
    spacing = row.length / len(gardens) if screen.narrow else _nearest(list(at.values()), row)
    km = row.length / screen.plot_width
    width = min(CELL_WIDTH * km, spacing - min(CELL_AIR[screen.narrow] * km, spacing / 4))
    cells = weeks.merge(gardens[["site", "name", "colour"]], on="site").assign(
        x=lambda frame: frame["site"].map(at),
        y=lambda frame: frame["week"].map({monday: index * pitch for index, monday in enumerate(mondays)}),
    )
    axis = stack.axis("weeks")
    return Part(
        "weeks",
        _axis(mondays, screen),
        [*_cells(cells, width, cell, axis, screen.tokens), _words(cells, cell, axis)],
        _key_shapes(cells, stack, screen),
        [
            *_heads(gardens, at, stack, screen),
            *_key_words(cells, stack, screen),
            *_title(stack, screen),
        ],
    )


def _axis(mondays: Sequence[Any], screen: Screen) -> dict[str, Any]:
    """Return the axis that runs down the weeks, each named where there is room."""
    pitch, cell = PITCH[screen.narrow], CELL[screen.narrow]
    return {
        "range": [len(mondays) * pitch, 0],
        "showgrid": False,
        "ticklabelstandoff": 3 if screen.narrow else 8,
        "tickvals": [index * pitch + cell / 2 for index in range(0, len(mondays), 1 + screen.narrow)],
        "ticktext": [day(monday) for monday in mondays[:: 1 + screen.narrow]],
    }


def _stretches_part(
    gardens: pd.DataFrame, weeks: pd.DataFrame, row: Row, stack: Stack, screen: Screen
) -> Part:
    """Return the grid of a crowd as one picture of columns."""
    mondays = sorted(weeks["week"].unique())
    pitch, cell = PITCH[screen.narrow], CELL[screen.narrow]
    field = crowd.field_of(stack, "weeks", screen, row, (float(len(mondays) * pitch), 0.0))
    placed = weeks[weeks["state"].isin(DUE)].merge(gardens[["site", "position_km", "colour"]], on="site")
    placed = placed.assign(is_in=placed["state"].isin(("sent", "part")), top=0.0)
    placed = placed.sort_values("position_km", kind="stable")
    shares = [
        crowd.stretches(rows, row, {"is_in": "mean", "top": "first"}).assign(
            top=float(mondays.index(week) * pitch)
        )
        for week, rows in placed.groupby("week")
    ]
    width = screen.plot_width / crowd.STRETCHES - CELL_AIR[True]
    drawn = "".join(
        crowd.columns(cells, "is_in", "position_km", "top", field, width, cell) for cells in shares
    )
    ground = [
        _ground(index * pitch + cell, row, stack.axis("weeks"), screen) for index in range(len(mondays))
    ]
    return Part(
        "weeks", _axis(mondays, screen), ground, [], _title(stack, screen), [crowd.picture(drawn, field)]
    )


def _ground(down: float, row: Row, axis: str, screen: Screen) -> Trace:
    """Return the line on which a week's columns stand, so that an empty one is seen."""
    return scatter(
        x=[row.low, row.high],
        y=[down, down],
        mode="lines",
        line={"color": screen.tokens["rule"], "width": 1},
        hoverinfo="skip",
        yaxis=axis,
        name="week",
    )


def _nearest(places: list[float], row: Row) -> float:
    gaps = [east - west for west, east in pairwise(places)]
    return min(gaps, default=row.length)


def _rectangles(cells: pd.DataFrame, width: float, height: float) -> Outline:
    """Return the cells as one broken outline."""
    x = [
        (place - width / 2, place - width / 2, place + width / 2, place + width / 2, place - width / 2, None)
        for place in cells["x"]
    ]
    y = [(top, top + height, top + height, top, top, None) for top in cells["y"]]
    return list(chain.from_iterable(x)), list(chain.from_iterable(y))


def _halves(cells: pd.DataFrame, width: float, height: float) -> Outline:
    """Return the cells' upper left halves as one broken outline."""
    x = [
        (place - width / 2, place - width / 2, place + width / 2, place - width / 2, None)
        for place in cells["x"]
    ]
    y = [(top, top + height, top, top, None) for top in cells["y"]]
    return list(chain.from_iterable(x)), list(chain.from_iterable(y))


def _cells(cells: pd.DataFrame, width: float, height: float, axis: str, tokens: Tokens) -> list[Trace]:
    common = {"mode": "lines", "yaxis": axis, "hoverinfo": "skip"}
    traces = []
    for site, own in cells.groupby("site", sort=False):
        full, half = own[own["state"] == "sent"], own[own["state"] == "part"]
        shapes = [_rectangles(full, width, height), _halves(half, width, height)]
        x, y = ([value for outline in shapes for value in outline[side]] for side in (0, 1))
        if x:
            fill = own["colour"].iloc[0]
            traces.append(
                scatter(
                    x=x, y=y, fill="toself", fillcolor=fill, line={"width": 0}, name=f"sent {site}", **common
                )
            )
    inset = cells.assign(y=cells["y"] + 0.75)
    for state, dash in (("part", "solid"), ("missing", "3px,2px")):
        x, y = _rectangles(inset[inset["state"] == state], width * 0.96, height - 1.5)
        if x:
            stroke = {"color": tokens["ink"], "width": 1.5, "dash": dash}
            traces.append(scatter(x=x, y=y, line=stroke, name=state, **common))
    return [*traces, *_dots(cells, height, axis, tokens)]


def _dots(cells: pd.DataFrame, height: float, axis: str, tokens: Tokens) -> list[Trace]:
    """Return a dot for weeks that are too early, and a dash for those in which nobody is there."""
    traces = []
    for state, symbol, size, width in (("early", "circle", 2.5, 0), ("absent", "line-ew", 9, 1.5)):
        own = cells[cells["state"] == state]
        if own.empty:
            continue
        look = {"color": tokens["ink3"], "line": {"color": tokens["ink3"], "width": width}}
        traces.append(
            scatter(
                x=own["x"].tolist(),
                y=(own["y"] + height / 2).tolist(),
                mode="markers",
                marker=look | {"symbol": symbol, "size": size},
                cliponaxis=False,
                yaxis=axis,
                hoverinfo="skip",
                name=state,
            )
        )
    return traces


def _words(cells: pd.DataFrame, height: float, axis: str) -> Trace:
    """Return what each cell says when it is pointed at, as marks that are not seen."""
    return scatter(
        x=cells["x"].tolist(),
        y=(cells["y"] + height / 2).tolist(),
        mode="markers",
        marker={"size": height, "opacity": 0},
        customdata=cells["site"].tolist(),
        text=[
            f"<b>{site}</b> {name}<br>{WATCH_WORDS['weeks_note']} {day(week)}: {WATCH_WORDS[state]}"
            for site, name, week, state in zip(
                *(cells[key] for key in ("site", "name", "week", "state")), strict=True
            )
        ],
        hovertemplate="%{text}<extra></extra>",
        cliponaxis=False,
        yaxis=axis,
        name="weeks",
    )


def _title(stack: Stack, screen: Screen) -> list[dict[str, Any]]:
    note = "" if screen.narrow else WATCH_WORDS["weeks_note"]
    title = strip_title(stack, "weeks", WATCH_WORDS["weeks"], note, screen)
    for words in title:
        words["yshift"] += 18 if screen.narrow else 26
    return title


def _heads(gardens: pd.DataFrame, at: dict[str, float], stack: Stack, screen: Screen) -> list[dict[str, Any]]:
    """Return the gardens' short names over their columns where all fit; narrow, only which end is which."""
    common = {"yref": "paper", "y": stack.domain("weeks")[1], "yanchor": "bottom", "yshift": 3}
    if screen.narrow:
        return [
            common | {"xref": "paper", "x": end, "xanchor": side, "text": word}
            for end, side, word in ((0, "left", "west"), (1, "right", "east"))
        ]
    return [
        common
        | {
            "xref": "x",
            "x": at[site],
            "xanchor": "center",
            "text": f"<b>{site}</b>",
            "font": {"color": screen.tokens["ink"]},
        }
        for site in headed(gardens["site"].tolist(), None, screen.plot_width)
    ]


def _key_of(cells: pd.DataFrame, screen: Screen) -> list[tuple[str, float, float]]:
    """Return (state, pixels right, pixels up) for the key: down the right gutter, or in lines below."""
    present = set(cells["state"])
    states = [state for state in KEY if state in present]
    if not screen.narrow:
        return [(state, 34.0, -24.0 * index) for index, state in enumerate(states)]
    places, left, line = [], 0.0, 0
    for state in states:
        needs = 30 + 7 * len(WATCH_WORDS[state])
        if left and left + needs > screen.plot_width + sum(screen.gutters):
            left, line = 0.0, line + 1
        places.append((state, left - screen.gutters[0], -20.0 - 22.0 * line))
        left += needs
    return places


def key_lines(cells: pd.DataFrame, screen: Screen) -> int:
    """Return how many lines the key takes below the grid; a crowd's grid has none."""
    if crowd.is_crowd(cells.drop_duplicates("site")):
        return 0
    return len({up for _, _, up in _key_of(cells, screen)}) if screen.narrow else 0


def _key_anchor(stack: Stack, screen: Screen) -> dict[str, Any]:
    low, high = stack.domain("weeks")
    return anchored(
        0 if screen.narrow else 1, low if screen.narrow else (2 * high + low) / 3, "paper", "paper"
    )


def _key_shapes(cells: pd.DataFrame, stack: Stack, screen: Screen) -> list[dict[str, Any]]:
    anchor, tokens = _key_anchor(stack, screen), screen.tokens
    width, height = (12, 13) if screen.narrow else (30, 15)
    shapes: list[dict[str, Any]] = []
    for state, right, up in _key_of(cells, screen):
        box = {"x0": right, "x1": right + width, "y0": up - height / 2, "y1": up + height / 2}
        whole = anchor | {"type": "rect"} | box
        half = f"M{box['x0']},{box['y0']} L{box['x0']},{box['y1']} L{box['x1']},{box['y1']} Z"
        middle = right + width / 2
        shapes += {
            "sent": [whole | {"fillcolor": tokens["ink2"], "line": {"width": 0}}],
            "part": [
                anchor | {"type": "path", "path": half, "fillcolor": tokens["ink2"], "line": {"width": 0}},
                whole | {"line": {"color": tokens["ink"], "width": 1.5}},
            ],
            "missing": [whole | {"line": {"color": tokens["ink"], "width": 1.5, "dash": "3px,2px"}}],
            "early": [
                anchor
                | {"type": "circle", "x0": middle - 1.3, "x1": middle + 1.3, "y0": up - 1.3, "y1": up + 1.3}
                | {"fillcolor": tokens["ink3"], "line": {"width": 0}}
            ],
            "absent": [
                anchor
                | {"type": "line", "x0": middle - 5, "x1": middle + 5, "y0": up, "y1": up}
                | {"line": {"color": tokens["ink3"], "width": 1.5}}
            ],
        }[state]
    return shapes


def _key_words(cells: pd.DataFrame, stack: Stack, screen: Screen) -> list[dict[str, Any]]:
    anchor, width = _key_anchor(stack, screen), 12 if screen.narrow else 30
    return [
        label_at(anchor, right + width + 6, up, WATCH_WORDS[state], screen.tokens["ink"])
        for state, right, up in _key_of(cells, screen)
    ]
