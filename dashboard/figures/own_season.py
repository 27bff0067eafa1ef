"""One garden's plots adding up through the season, over the middle half of the other gardens."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from dashboard.figures.plain import Figure, Trace, scatter
from dashboard.figures.row import spread, ticks
from dashboard.figures.template import Screen, blank

#: Pixels: the figure's height, its gutters wide and narrow, and the height of a label at a line's end.
HEIGHT = {False: 420, True: 340}
GUTTERS = {False: (64, 132), True: (44, 92)}
LABEL_PX = 18
_TOP, _BOTTOM = 18, 34
#: Symbols by which plots are told apart beside their label, in the order of plots; repeated after the last.
_SYMBOLS = ("circle", "diamond", "square", "circle-open", "diamond-open", "square-open")
_DASHES = ("solid", "dash", "dot", "longdash")


@dataclass(frozen=True)
class OwnSeason:
    """What the figure draws, weights in the reader's unit.

    `curves` has the days and weights of each plot that gave something; `middle` days and between what two
    weights the others lay, empty where too few gardens have sent. `names` says what stands at the end of each
    plot's line, `colour` is the garden's.
    """

    curves: Mapping[str, Sequence[tuple[datetime, float]]]
    middle: Sequence[tuple[datetime, float, float]]
    names: Mapping[str, str]
    colour: str
    unit: str
    band_words: str
    say_day: Callable[[date], str]


def own_season_figure(rows: OwnSeason, screen: Screen) -> Figure:
    """Return the figure: the band, a line for each plot, its name where it ends."""
    height = HEIGHT[screen.narrow]
    left, right = GUTTERS[screen.narrow]
    weights = [weight for curve in rows.curves.values() for _, weight in curve]
    top = 1.06 * max([*weights, 0.0, *(high for _, _, high in rows.middle)]) or 1.0
    figure = blank(screen, height, _TOP, _BOTTOM)
    values = ticks(0, top, 3)
    picked = [day for curve in rows.curves.values() for day, _ in curve]
    first, last = min(picked), max([*picked, *(day for day, _, _ in rows.middle)])
    days = [
        first + (last - first) * share / (2 if screen.narrow else 4)
        for share in range(3 if screen.narrow else 5)
    ]
    figure.arrange(
        margin={"l": left, "r": right},
        xaxis={
            "range": [first, last + timedelta(hours=12)],
            "tickvals": days,
            "ticktext": [rows.say_day(day.date()) for day in days],
            "showline": True,
        },
        yaxis={
            "range": [0, top],
            "tickvals": values,
            "ticktext": [f"{value:g}" for value in values[:-1]] + [f"{values[-1]:g} {rows.unit}"],
        },
    )
    if rows.middle:
        figure.add(_band(rows, screen))
    for at, plot in enumerate(rows.curves):
        figure.add(_line(rows, plot, at))
    figure.arrange(annotations=_labels(rows, top, height - _TOP - _BOTTOM, screen))
    return figure


def _band(rows: OwnSeason, screen: Screen) -> Trace:
    tokens = screen.tokens
    days, lows, highs = zip(*rows.middle, strict=True)
    return scatter(
        x=[day.isoformat() for day in (*days, *days[::-1])],
        y=[*highs, *lows[::-1]],
        mode="lines",
        fill="toself",
        line={"color": tokens["ink3"], "width": 0.6},
        fillpattern={
            "shape": "|",
            "size": 4,
            "solidity": 0.25,
            "fgcolor": tokens["rule"],
            "bgcolor": tokens["band"],
            "fillmode": "replace",
        },
        hoverinfo="skip",
        name=rows.band_words,
    )


def _line(rows: OwnSeason, plot: str, at: int) -> Trace:
    curve = rows.curves[plot]
    return scatter(
        x=[day.isoformat() for day, _ in curve],
        y=[weight for _, weight in curve],
        mode="lines+markers",
        line={"color": rows.colour, "width": 2, "dash": _DASHES[at // len(_SYMBOLS) % len(_DASHES)]},
        marker={"symbol": _SYMBOLS[at % len(_SYMBOLS)], "size": 8, "color": rows.colour},
        text=[
            f"<b>{rows.names[plot]}</b><br>{weight:.1f} {rows.unit}<br>{rows.say_day(day.date())}"
            for day, weight in curve
        ],
        hovertemplate="%{text}<extra></extra>",
        cliponaxis=False,
        name=rows.names[plot],
    )


def _labels(rows: OwnSeason, top: float, plot_px: float, screen: Screen) -> list[dict[str, Any]]:
    """Return each plot's name and weight at the right, none over another."""
    ends = sorted(((plot, curve[-1][1]) for plot, curve in rows.curves.items()), key=lambda end: end[1])
    wanted = [weight / top * plot_px for _, weight in ends]
    places = spread(wanted, [LABEL_PX] * len(ends), 0.0, plot_px)
    return [
        {
            "xref": "paper",
            "yref": "paper",
            "x": 1,
            "y": 0,
            "xanchor": "left",
            "yanchor": "middle",
            "xshift": 12,
            "yshift": place,
            "text": f"<b>{weight:.1f}</b> {rows.names[plot]}",
            "font": {"color": screen.tokens["ink"]},
        }
        for (plot, weight), place in zip(ends, places, strict=True)
    ]
