"""Each garden's difference with its own interval, beside the average over all of them."""

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import pandas as pd

from dashboard.differences import PERCENT, Unit
from dashboard.figures import response
from dashboard.figures.marks import anchored
from dashboard.figures.plain import Figure
from dashboard.figures.row import Row, columns, headed
from dashboard.figures.sight import along
from dashboard.figures.stack import Part, Stack, Strip, assemble
from dashboard.figures.template import Screen, blank
from dashboard.figures.titles import (
    LINE_PX,
    TITLE_PX,
    gutter_places,
    label_at,
    leader,
    strip_title,
)
from dashboard.words import COMPARE_WORDS, GRADIENT_WORDS

HEIGHT_PX = (230, 190)


@dataclass(frozen=True)
class EffectRows:
    """What the figure draws: gardens west to east, their effects, and the network's answer or None."""

    gardens: pd.DataFrame
    effects: pd.DataFrame
    network: dict[str, Any] | None
    order: int
    against: str
    row: Row
    chosen: str | None
    unit: Unit = PERCENT

    @cached_property
    def span(self) -> tuple[float, float]:
        """The ends of the scale, in the unit that is said."""
        return response.reach(self.effects, self.band)

    @cached_property
    def band(self) -> pd.DataFrame:
        """The network's answer as a level band over the whole row; no rows where there is none."""
        ends = ("percent_low", "percent_high", "new_low_percent", "new_high_percent")
        names = ("mean_low", "mean_high", "new_low", "new_high")
        if self.network is None:
            return pd.DataFrame(columns=["at", "percent", *names], dtype="float64")
        level = {name: self.network[end] for name, end in zip(names, ends, strict=True)}
        return pd.DataFrame(
            [{"at": at, "percent": self.network["percent"]} | level for at in (self.row.low, self.row.high)]
        )


def effects_figure(rows: EffectRows, screen: Screen) -> Figure:
    """Return the gardens' differences with whiskers over the network's level band."""
    narrow, tokens = screen.narrow, screen.tokens
    stack = Stack((Strip("effects", HEIGHT_PX[narrow], TITLE_PX if narrow else 0),), 8, 30)
    places = columns(rows.row, rows.gardens, screen.plot_width, even=narrow)
    at = dict(zip(rows.gardens["site"], places, strict=True))
    marks = rows.effects.assign(x=[at[site] for site in rows.effects["site"]])
    band, span = rows.band, rows.span
    traces = [
        *response.band_traces(band, "y", tokens),
        response.zero_line(rows.row.low, rows.row.high, "y", tokens),
        *(response.mean_line(band, rows.order, "y", tokens, focus=True) if len(band) else []),
        *response.whiskers(marks, "x", "y", tokens),
        response.garden_effects(marks, "x", rows.order, "y", tokens, 0.7 if narrow else 1.0, rows.unit),
    ]
    shapes, labels = (
        ([], []) if narrow or rows.network is None else _answer(rows.network, rows.unit, span, stack, screen)
    )
    note = "" if narrow else rows.against
    part = Part(
        "effects",
        response.percent_axis(span, stack.pixels("effects"), short=narrow, unit=rows.unit),
        traces,
        shapes,
        [
            *strip_title(stack, "effects", COMPARE_WORDS["effects_title"], note, screen, wrap=13),
            *_heads(rows, at, screen),
            *labels,
        ],
    )
    seen = along(at, rows.row, stack, screen, rows.chosen)
    figure = blank(screen, stack.height, stack.top_margin, stack.bottom_margin, seen)
    return assemble(figure, stack, [part], {"range": [rows.row.low, rows.row.high]})


def _heads(rows: EffectRows, at: dict[str, float], screen: Screen) -> list[dict[str, Any]]:
    common = {"yref": "paper", "y": 0, "yanchor": "top", "yshift": -6}
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
            "font": {"color": screen.tokens["stamp" if site == rows.chosen else "ink"]},
        }
        for site in headed(rows.gardens["site"].tolist(), rows.chosen, screen.plot_width)
    ]


def _answer(
    network: dict[str, Any], unit: Unit, span: tuple[float, float], stack: Stack, screen: Screen
) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """Return the network's answer in the right gutter, led to its line, and what the dotted lines mean."""
    height, tokens = stack.pixels("effects"), screen.tokens
    anchor = anchored(1, stack.domain("effects")[0], "paper", "paper")

    def up(percent: float) -> float:
        return (percent - span[0]) / (span[1] - span[0]) * height

    answer = (
        f"<b>{unit.said(network['percent'])}</b><br>"
        f"{COMPARE_WORDS['all_gardens']}<br>{unit.between(network['percent_low'], network['percent_high'])}"
    )
    items = [(up(network["percent"]), answer, 3)]
    if pd.notna(network["new_high_percent"]):
        words = GRADIENT_WORDS["new_gardens"].split(": ")
        items.append((up(network["new_high_percent"]), f"{words[0]}:<br>{words[1]}", 2))
    heights = gutter_places(
        [end for end, _, _ in items], [lines for _, _, lines in items], 0, height + LINE_PX
    )
    shapes, labels = [], []
    for (end, text, _), place in zip(items, heights, strict=True):
        shapes.append(leader(anchor, (3, end), (15, place), tokens))
        labels.append(label_at(anchor, 18, place, text, tokens["ink"]))
    return shapes, labels
