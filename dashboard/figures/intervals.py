"""Estimates of one difference with their intervals, one under the other, the first one in bold."""

import textwrap
from dataclasses import dataclass
from typing import Any

import pandas as pd

from dashboard.differences import Unit
from dashboard.figures.marks import marker
from dashboard.figures.plain import Figure, Trace, scatter
from dashboard.figures.row import ticks
from dashboard.figures.template import Screen, blank
from dashboard.figures.titles import LINE_PX

#: Height of one estimate in pixels, wide and narrow; narrow, its name stands above it.
ROW_PX = (40, 54)
#: Air above the first and below the last estimate, with room for the numbers of the axis, pixels.
TOP_PX, BOTTOM_PX = 4, 30
#: Letters of a name that fit into a line of the left gutter.
NAME_LETTERS = 24


@dataclass(frozen=True)
class IntervalRows:
    """What the figure draws, from top to bottom, in the number that is said.

    `estimates` has label, middle, low and high (nan where there is no interval) and is_answer, true for the
    one that stands elsewhere too; `order` is the treatment's.
    """

    estimates: pd.DataFrame
    order: int
    unit: Unit


def intervals_figure(rows: IntervalRows, screen: Screen) -> Figure:
    """Return the estimates as marks with lines for their intervals, over the line of no difference."""
    tokens, table = screen.tokens, rows.estimates.reset_index(drop=True)
    height = ROW_PX[screen.narrow] * len(table)
    figure = blank(screen, TOP_PX + height + BOTTOM_PX, TOP_PX, BOTTOM_PX)
    low, high = _reach(table)
    # Narrow, the mark stands in the lower part of its row, under its name.
    down = table.index + (0.74 if screen.narrow else 0.5)
    answer = table["is_answer"]
    for chosen, width in ((~answer, 1.5), (answer, 3.0)):
        figure.add(_whiskers(table[chosen], down[chosen], width, tokens["ink"]))
    figure.add(
        scatter(
            x=table["middle"].tolist(),
            y=down.tolist(),
            mode="markers",
            marker=marker(rows.order, tokens["ink"], tokens)
            | {"size": [12.0 if bold else 8.5 for bold in answer]},
            text=[_hover(row, rows.unit) for row in table.to_dict("records")],
            hovertemplate="%{text}<extra></extra>",
            name="estimates",
        )
    )
    values = ticks(low, high, 3 if screen.narrow else 6)
    words = [rows.unit.signed(value) if value or screen.narrow else "same" for value in values]
    figure.arrange(
        xaxis={
            "range": [low, high],
            "tickvals": values,
            "ticktext": words,
            "showgrid": True,
            "gridcolor": tokens["rule"],
        },
        yaxis={"range": [len(table), 0], "showgrid": False, "showticklabels": False},
        shapes=_lines(table, tokens),
        annotations=[
            note
            for at, row in enumerate(table.to_dict("records"))
            for note in (_beside if not screen.narrow else _above)(at, row, rows.unit, screen)
        ]
        + _axis_name(rows.unit, screen),
    )
    return figure


def _reach(table: pd.DataFrame) -> tuple[float, float]:
    ends = pd.concat([table[name] for name in ("middle", "low", "high")]).dropna().tolist()
    low, high = min([0.0, *ends]), max([0.0, *ends])
    air = 0.05 * max(high - low, 1e-9)
    return low - air, high + air


def _whiskers(table: pd.DataFrame, down: pd.Index, width: float, ink: str) -> Trace:
    have = table["low"].notna() & table["high"].notna()
    ends = zip(table.loc[have, "low"], table.loc[have, "high"], strict=True)
    return scatter(
        x=[value for pair in ends for value in (*pair, None)],
        y=[value for at in down[have] for value in (at, at, None)],
        mode="lines",
        line={"color": ink, "width": width},
        hoverinfo="skip",
        name="intervals",
    )


def _hover(row: dict[str, Any], unit: Unit) -> str:
    words = f"<b>{row['label']}</b><br>{unit.said(row['middle'], 1)}"
    return words if pd.isna(row["low"]) else f"{words}<br>{unit.between(row['low'], row['high'])}"


def _lines(table: pd.DataFrame, tokens: dict[str, str]) -> list[dict[str, Any]]:
    """Return the line of no difference, and a thin one where the answer is."""
    common = {"type": "line", "yref": "paper", "y0": 0, "y1": 1, "layer": "below"}
    dotted = {"color": tokens["ink2"], "width": 1, "dash": "dot"}
    return [
        common | {"x0": 0, "x1": 0, "line": {"color": tokens["ink"], "width": 1.5}},
        *(
            common | {"x0": middle, "x1": middle, "line": dotted}
            for middle in table.loc[table["is_answer"], "middle"]
        ),
    ]


def _numbers(row: dict[str, Any], unit: Unit) -> list[str]:
    said = [unit.said(row["middle"], 1)]
    return said if pd.isna(row["low"]) else [*said, unit.between(row["low"], row["high"])]


def _beside(at: int, row: dict[str, Any], unit: Unit, screen: Screen) -> list[dict[str, Any]]:
    """Return the name in the left gutter and the numbers in the right one."""
    left, _ = screen.gutters
    name = textwrap.wrap(row["label"], NAME_LETTERS)
    numbers = _numbers(row, unit)
    middle = {"xref": "paper", "yref": "y", "y": at + 0.5, "yanchor": "middle", "align": "left"}
    ink = {"color": screen.tokens["ink"]}
    strong = "<b>{}</b>" if row["is_answer"] else "{}"
    return [
        middle
        | {"x": 0, "xanchor": "left", "xshift": -left, "text": strong.format("<br>".join(name)), "font": ink},
        middle
        | {
            "x": 1,
            "xanchor": "left",
            "xshift": 14,
            "text": "<br>".join([strong.format(numbers[0]), *numbers[1:]]),
            "font": ink,
        },
    ]


def _above(at: int, row: dict[str, Any], unit: Unit, screen: Screen) -> list[dict[str, Any]]:
    """Return name and numbers in one or two lines above the interval."""
    left, _ = screen.gutters
    numbers = ", ".join(_numbers(row, unit))
    name = f"<b>{row['label']}</b>" if row["is_answer"] else row["label"]
    base = {"xref": "paper", "yref": "y", "x": 0, "xanchor": "left", "xshift": -left, "yanchor": "top"}
    # Words stand over the lines of the axis, which would strike them through.
    base |= {"bgcolor": screen.tokens["paper"], "borderpad": 0}
    ink = {"color": screen.tokens["ink"]}
    return [
        base | {"y": at, "text": name, "font": ink},
        base | {"y": at, "yshift": -LINE_PX + 1, "text": numbers},
    ]


def _axis_name(unit: Unit, screen: Screen) -> list[dict[str, Any]]:
    """Return what the numbers of the axis are, where they do not say so themselves."""
    if unit.is_ratio:
        return []
    left, _ = screen.gutters
    base = {"xref": "paper", "yref": "paper", "y": 0, "yanchor": "top", "yshift": -6}
    if screen.narrow:
        return [base | {"x": 1, "xanchor": "right", "yshift": 16, "text": unit.axis}]
    return [base | {"x": 0, "xanchor": "left", "xshift": -left, "text": unit.axis}]
