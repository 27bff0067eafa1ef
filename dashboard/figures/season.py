"""Through the season: weight adding up, one small panel for each garden, all on one scale."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, NamedTuple

import pandas as pd

from dashboard.figures.marks import anchored, line, marker, one_line
from dashboard.figures.plain import Figure, Trace, scatter
from dashboard.figures.template import Screen, blank
from dashboard.figures.titles import label_at
from dashboard.harvest_curves import Curve, Curves
from dashboard.numerals import day, signed, with_unit
from dashboard.words import COMPARE_WORDS

#: Panels beside each other, the figure's width they are worked out for, and the air between: wide, narrow.
ACROSS, WIDTH_PX, AIR_PX = (8, 3), (1360, 358), (18, 14)
#: A panel's height with its heading, and from one panel to the next, pixels.
PANEL_PX, PITCH_PX, HEADING_PX = 112, 140, 24
#: Letters of a gain for which a narrow panel has room beside its garden's name.
GAIN_LETTERS = 4
#: Days without a picking at a garden's end before its panel says where it stops.
SILENT_DAYS = 7


@dataclass(frozen=True)
class SeasonRows:
    """What the figure draws: gardens west to east, curves by days since `first`, gains in percent."""

    gardens: pd.DataFrame
    curves: Curves
    gains: dict[str, float]
    treatments: pd.DataFrame
    first: date
    last_day: int
    chosen: str | None


@dataclass(frozen=True)
class Panel:
    """One garden's panel: left edge, ground line and width in pixels, and what a unit of each axis takes."""

    left: float
    ground: float
    width: float
    per_day: float
    per_kg: float

    def x(self, days: Sequence[int]) -> list[float]:
        """Return the pixels across for days since the first, to a hundredth."""
        return [round(self.left + value * self.per_day, 2) for value in days]

    def y(self, kilograms: Sequence[float]) -> list[float]:
        """Return the pixels down for weights, to a hundredth."""
        return [round(self.ground - value * self.per_kg, 2) for value in kilograms]


def panels(rows: SeasonRows, screen: Screen) -> dict[str, Panel]:
    """Return a panel for each garden, west to east, row by row."""
    across, air = ACROSS[screen.narrow], AIR_PX[screen.narrow]
    width = (WIDTH_PX[screen.narrow] - (across - 1) * air) / across
    most = max((max(curve.kilograms) for curve in rows.curves.values()), default=0.0) or 1.0
    return {
        site: Panel(
            left=index % across * (width + air),
            ground=index // across * PITCH_PX + PANEL_PX,
            width=width,
            per_day=(width - 5) / max(rows.last_day, 1),
            per_kg=(PANEL_PX - HEADING_PX - 6) / max(most, 1e-9),
        )
        for index, site in enumerate(rows.gardens["site"])
    }


def season_figure(rows: SeasonRows, screen: Screen) -> Figure:
    """Return the panels. Curves are drawn in pixels of one plane; the true values stand in the labels."""
    placed = panels(rows, screen)
    across = ACROSS[screen.narrow]
    lines = -(-len(placed) // across)
    height = lines * PITCH_PX
    shapes, words, last_days = [], [], _last_days(rows.curves)
    for index, (site, colour) in enumerate(zip(rows.gardens["site"], rows.gardens["colour"], strict=True)):
        panel = placed[site]
        shapes += _heading_shapes(panel, colour)
        words += _heading(panel, site, rows, screen) + _stop(panel, last_days.get(site), rows, screen)
        if index >= len(placed) - across:
            words += _dates(panel, rows, screen)
    figure = blank(screen, height, 0, 0)
    figure.arrange(
        margin={"l": 0, "r": 0},
        shapes=shapes,
        annotations=words,
        xaxis={"range": [0, WIDTH_PX[screen.narrow]], "showticklabels": False},
        yaxis={"range": [height, 0], "showgrid": False, "showticklabels": False},
    )
    figure.add(_grounds(placed, screen), *_curves(rows, placed), *_ends(rows, placed, screen))
    return figure


def _grounds(placed: dict[str, Panel], screen: Screen) -> Trace:
    return scatter(
        x=[value for panel in placed.values() for value in (panel.left, panel.left + panel.width, None)],
        y=[value for panel in placed.values() for value in (panel.ground, panel.ground, None)],
        mode="lines",
        line={"color": screen.tokens["ink"], "width": 1.5},
        hoverinfo="skip",
        cliponaxis=False,
        name="ground",
    )


def _curves(rows: SeasonRows, placed: dict[str, Panel]) -> list[Trace]:
    """Return each garden's curve of each treatment, the first treatment on top.

    Gardens of one colour share a trace: neighbours in a long row do, and every trace takes its time.
    """
    treatments = sorted(
        zip(rows.treatments["order"], rows.treatments["treatment"], strict=True),
        key=lambda item: item[0] == 1,
    )
    by_colour: dict[str, list[str]] = {}
    for site, colour in zip(rows.gardens["site"], rows.gardens["colour"], strict=True):
        by_colour.setdefault(colour, []).append(site)
    return [
        scatter(
            **one_line(
                (placed[site].x(curve.days), placed[site].y(curve.kilograms)) for site, curve in curves
            ),
            mode="lines",
            line=line(int(order), colour),
            hoverinfo="skip",
            cliponaxis=False,
            name=" ".join([name, *(site for site, _ in curves)]),
        )
        for colour, sites in by_colour.items()
        for order, name in treatments
        if (curves := [(site, rows.curves[site, name]) for site in sites if (site, name) in rows.curves])
    ]


def _ends(rows: SeasonRows, placed: dict[str, Panel], screen: Screen) -> list[Trace]:
    """Return the marks at the curves' ends, by treatment, with the total in words."""
    gardens = [rows.gardens[key].tolist() for key in ("site", "name", "colour")]
    columns = (rows.treatments[key].tolist() for key in ("order", "treatment", "label"))
    traces = []
    for order, treatment, label in zip(*columns, strict=True):
        ends = [
            _End(site, name, colour, rows.curves[site, treatment])
            for site, name, colour in zip(*gardens, strict=True)
            if (site, treatment) in rows.curves
        ]
        traces.append(
            scatter(
                x=[placed[end.site].left + end.day * placed[end.site].per_day for end in ends],
                y=[placed[end.site].ground - end.kilograms * placed[end.site].per_kg for end in ends],
                mode="markers",
                marker=marker(int(order), [end.colour for end in ends], screen.tokens, scale=0.72),
                customdata=[end.site for end in ends],
                text=[
                    f"<b>{end.site}</b> {end.name}<br>{label}<br>{with_unit(end.kilograms, 'kg', 2)} "
                    f"up to {day(rows.first + timedelta(days=end.day))}"
                    for end in ends
                ],
                hovertemplate="%{text}<extra></extra>",
                cliponaxis=False,
                name=f"totals {treatment}",
            )
        )
    return traces


class _End(NamedTuple):
    """Where a garden's curve ends, and whose it is."""

    site: str
    name: str
    colour: str
    curve: Curve

    @property
    def day(self) -> int:
        """The day of the last picking."""
        return self.curve.days[-1]

    @property
    def kilograms(self) -> float:
        """What had been picked by then."""
        return self.curve.kilograms[-1]


def _heading_shapes(panel: Panel, colour: str) -> list[dict[str, Any]]:
    anchor = anchored(panel.left, panel.ground - PANEL_PX, "x", "y")
    return [
        anchor
        | {"type": "rect", "x0": 0, "x1": 4, "y0": -16, "y1": -3, "fillcolor": colour, "line": {"width": 0}}
    ]


def _heading(panel: Panel, site: str, rows: SeasonRows, screen: Screen) -> list[dict[str, Any]]:
    anchor = anchored(panel.left, panel.ground - PANEL_PX, "x", "y")
    end = anchored(panel.left + panel.width, panel.ground - PANEL_PX, "x", "y")
    ink = screen.tokens["stamp" if site == rows.chosen else "ink"]
    words = [label_at(anchor, 9, -9, f"<b>{site}</b>", ink)]
    if site in rows.gains:
        gain = label_at(end, -2, -9, _gain(rows.gains[site], screen), screen.tokens["ink2"])
        words.append(gain | {"xanchor": "right"})
    return words


def _gain(percent: float, screen: Screen) -> str:
    """Return +31%, and 131% without its plus where it would run into the garden's name."""
    text = signed(percent)
    return text.removeprefix("+") if screen.narrow and len(text) > GAIN_LETTERS else text


def _last_days(curves: Curves) -> dict[str, int]:
    """Return the day of each garden's last picking."""
    days: dict[str, int] = {}
    for (site, _), curve in curves.items():
        days[site] = max(days.get(site, 0), curve.days[-1])
    return days


def _stop(panel: Panel, last: int | None, rows: SeasonRows, screen: Screen) -> list[dict[str, Any]]:
    """Return where a garden's pickings end, where that is well before the others'."""
    if last is None or rows.last_day - last <= SILENT_DAYS:
        return []
    # Totals start low, so the panel's upper left is free of lines.
    at = anchored(panel.left, panel.ground - PANEL_PX, "x", "y")
    when = day(rows.first + timedelta(days=last))
    words = COMPARE_WORDS["stops"].format(day=when)
    return [label_at(at, 0, -26, words, screen.tokens["ink2"])]


def _dates(panel: Panel, rows: SeasonRows, screen: Screen) -> list[dict[str, Any]]:
    start, end = (
        anchored(panel.left, panel.ground, "x", "y"),
        anchored(panel.left + panel.width, panel.ground, "x", "y"),
    )
    last = rows.first + timedelta(days=rows.last_day)
    return [
        label_at(start, 0, -11, day(rows.first), screen.tokens["ink2"]),
        label_at(end, -2, -11, day(last), screen.tokens["ink2"]) | {"xanchor": "right"},
    ]
