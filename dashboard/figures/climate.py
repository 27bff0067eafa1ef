"""The weather of the season at each garden: rain from zero up, heat as marks on a scale of its own."""

from dataclasses import dataclass
from typing import Any

import pandas as pd

from dashboard.figures import crowd
from dashboard.figures.crowd import Field
from dashboard.figures.plain import Trace, bar, scatter
from dashboard.figures.row import Row, ticks
from dashboard.figures.stack import Part, Stack
from dashboard.figures.template import Screen, Tokens
from dashboard.figures.titles import strip_title
from dashboard.numerals import number
from dashboard.words import GRADIENT_WORDS

#: A bar's share of the axis: 1.3 km on a row of 666.
BAR_SHARE = 0.002


@dataclass(frozen=True)
class Weather:
    """One weather strip: its name, the column it draws, the words' keys, and whether it counts from zero."""

    name: str
    column: str
    title: str
    note: str
    as_bars: bool
    from_zero: bool


STRIPS = (
    Weather("rain", "rain_mm", "rain", "rain_note", as_bars=True, from_zero=True),
    Weather("hot", "hot_days", "hot", "hot_note", as_bars=False, from_zero=True),
    Weather("heat", "degree_days_c", "heat", "heat_note", as_bars=False, from_zero=False),
)


def weather_part(
    strip: Weather, gardens: pd.DataFrame, x: str, span: Row, stack: Stack, screen: Screen, meaning: str = ""
) -> Part:
    """Return one weather strip over the axis `x`; gardens without a value are not drawn."""
    known = gardens.dropna(subset=[strip.column, x])
    low, high = _reach(known[strip.column], from_zero=strip.from_zero)
    axis = stack.axis(strip.name)
    field = crowd.field_of(stack, strip.name, screen, span, (low, high))
    if strip.as_bars and not crowd.is_crowd(known):
        marks: list[Any] = [
            _bars(known, strip.column, x, span, axis, screen),
            _caps(known, strip.column, x, axis, screen),
        ]
        images: list[dict[str, Any]] = []
    else:
        marks, images = marked(known, strip.column, x, field, axis, screen)
    traces: list[Any] = [_ground(span, low, axis, screen.tokens), *marks]
    note = GRADIENT_WORDS[strip.note].format(start=number(low))
    values = [value for value in ticks(low, high, 2) if value > low + 0.3 * (high - low)]
    return Part(
        strip.name,
        {
            "range": [low, high],
            "tickvals": [low, *values],
            "ticktext": [number(value) for value in (low, *values)],
        },
        traces,
        [],
        strip_title(stack, strip.name, GRADIENT_WORDS[strip.title], note, screen, meaning=meaning),
        images,
    )


def _reach(values: pd.Series, *, from_zero: bool) -> tuple[float, float]:
    """Return the ends of the scale: from zero, or from a round number below the smallest value."""
    if values.empty:
        return 0.0, 1.0
    low, high = float(values.min()), float(values.max())
    if from_zero:
        return 0.0, max(high * 1.12, 1.0)
    air = max(high - low, 1.0)
    step = ticks(low, low + air, 4)
    width = step[1] - step[0] if len(step) > 1 else air
    return width * ((low - 0.1 * air) // width), high + 0.14 * air


def _ground(span: Row, low: float, axis: str, tokens: Tokens) -> Trace:
    return scatter(
        x=[span.low, span.high],
        y=[low, low],
        mode="lines",
        line={"color": tokens["ink"], "width": 1.5},
        hoverinfo="skip",
        yaxis=axis,
        cliponaxis=False,
        name="ground",
    )


def _words(known: pd.DataFrame, column: str) -> list[str]:
    return [
        f"<b>{site}</b> {name}<br>{number(value)}"
        for site, name, value in zip(known["site"], known["name"], known[column], strict=True)
    ]


def _bars(known: pd.DataFrame, column: str, x: str, span: Row, axis: str, screen: Screen) -> Trace:
    return bar(
        x=known[x].tolist(),
        y=known[column].tolist(),
        width=[span.length * BAR_SHARE * (2 if screen.narrow else 1)] * len(known),
        marker={"color": known["colour"].tolist(), "line": {"width": 0}},
        customdata=known["site"].tolist(),
        hoverinfo="skip",
        yaxis=axis,
        name=column,
    )


def _caps(known: pd.DataFrame, column: str, x: str, axis: str, screen: Screen) -> Trace:
    """Return a short stroke on each bar: a bar is too thin to be pointed at."""
    return scatter(
        x=known[x].tolist(),
        y=known[column].tolist(),
        mode="markers",
        marker={
            "symbol": "line-ew",
            "size": 4 if screen.narrow else 8,
            "line": {"color": known["colour"].tolist(), "width": 2},
        },
        customdata=known["site"].tolist(),
        text=_words(known, column),
        hovertemplate="%{text}<extra></extra>",
        yaxis=axis,
        cliponaxis=False,
        name=f"{column}, caps",
    )


def marked(
    known: pd.DataFrame, column: str, x: str, field: Field, axis: str, screen: Screen
) -> tuple[list[Trace], list[dict[str, Any]]]:
    """Return a mark for each garden, as traces and as pictures: of a crowd one picture, else squares."""
    if not crowd.is_crowd(known):
        return [squares(known, column, x, axis, screen)], []
    strokes = crowd.dots(known, x, column, field, crowd.mark_px(screen) - 2)
    return [], [crowd.picture(strokes, field)]


def squares(known: pd.DataFrame, column: str, x: str, axis: str, screen: Screen) -> Trace:
    """Return one square for each garden, in the colour of its place."""
    return scatter(
        x=known[x].tolist(),
        y=known[column].tolist(),
        mode="markers",
        marker={
            "color": known["colour"].tolist(),
            "symbol": "square",
            "size": 7 if screen.narrow else 8,
            "line": {"width": 1, "color": screen.tokens["paper"]},
        },
        customdata=known["site"].tolist(),
        text=_words(known, column),
        hovertemplate="%{text}<extra></extra>",
        yaxis=axis,
        cliponaxis=False,
        name=column,
    )
