"""The gradient: strips over one horizontal axis, from the map down to the soil."""

from dataclasses import replace
from typing import Any

from dashboard.figures import climate, crowd, strips, titles
from dashboard.figures.gradient_rows import GradientRows
from dashboard.figures.place import north_south
from dashboard.figures.plain import Figure, Sight
from dashboard.figures.response_strip import KEY_ROW_PX, heights_of, key_rows, response_part
from dashboard.figures.row import ticks
from dashboard.figures.sight import plumb_spans, ringed
from dashboard.figures.stack import Part, Stack, Strip, assemble
from dashboard.figures.template import Screen, blank
from dashboard.numerals import number
from dashboard.wording.measures import AXES

#: Heights of the strips in pixels, wide and narrow.
HEIGHTS = {
    "where": (204, 122),
    "response": (256, 216),
    "rain": (52, 48),
    "hot": (52, 48),
    "heat": (52, 48),
    "land": (92, 64),
    "soil": (20, 18),
}
#: Air above a strip, wide and narrow; narrow, its title stands there.
AIR = (26, 42)


def stack_of(rows: GradientRows, screen: Screen) -> Stack:
    """Return the strips of the figure with their heights."""
    which = 1 if screen.narrow else 0
    stacked = [Strip("where", HEIGHTS["where"][which], titles.TITLE_PX if screen.narrow else 0)]
    for name in ("response", *(strip.name for strip in rows.weather), "land"):
        keys = KEY_ROW_PX * len(key_rows(rows.treatments, screen)) if name == "response" else 0
        stacked.append(Strip(name, HEIGHTS[name][which], AIR[which] + keys))
    if rows.on_the_row:
        stacked.append(Strip("soil", HEIGHTS["soil"][which], 0))
    return Stack(tuple(stacked), 8, 50 if rows.on_the_row else 44)


def gradient_figure(rows: GradientRows, screen: Screen) -> Figure:
    """Return the strips over one axis: map, difference, weather, land and topsoil."""
    stack = stack_of(rows, screen)
    parts = [
        Part("axis", {}, [], [], _axis_words(rows, screen)),
        strips.map_part(rows.outlines, rows.gardens, rows.row, stack, screen)
        if rows.on_the_row
        else strips.kilometres_part(rows.gardens, rows.axis, rows.row, rows.span, stack, screen),
        response_part(rows, stack, screen),
        *(
            climate.weather_part(
                strip,
                rows.gardens,
                rows.axis,
                rows.span,
                stack,
                screen,
                meaning=rows.meanings.get(strip.column, ""),
            )
            for strip in rows.weather
        ),
    ]
    if rows.on_the_row:
        parts.append(strips.land_part(rows.gardens, rows.row, stack, screen))
        parts.append(strips.soil_part(rows.gardens, rows.row, stack, screen))
    else:
        parts.append(strips.height_part(rows.gardens, rows.axis, rows.span, stack, screen))
    seen = _sight(rows, stack, screen)
    figure = blank(screen, stack.height, stack.top_margin, stack.bottom_margin, seen)
    return assemble(figure, stack, parts, {"range": [rows.span.low, rows.span.high]})


def _sight(rows: GradientRows, stack: Stack, screen: Screen) -> Sight:
    span = north_south(rows.outlines, rows.gardens) if rows.on_the_row else (rows.row.low, rows.row.high)
    seen = ringed(rows.places, rows.span, span, stack, rows.chosen, plumb_spans(stack, screen))
    if not crowd.is_crowd(rows.gardens):
        return seen
    return replace(seen, is_crowd=True, further=heights_of(rows, stack))


def _axis_words(rows: GradientRows, screen: Screen) -> list[dict[str, Any]]:
    """Return the numbers of the axis and its name, below the last strip."""
    span, words = rows.span, AXES[rows.axis]
    down = -24 if rows.on_the_row else -4
    common = {"yref": "paper", "y": 0, "yanchor": "top"}
    values = ticks(span.low, span.high, 3 if screen.narrow else 7)
    if rows.on_the_row:
        # The name stands on the line of the numbers, at the eastern end.
        values = [
            value
            for value in values
            if value >= 0 and span.fraction(value) < (0.8 if screen.narrow else 0.93)
        ]
        name = common | {"xref": "paper", "x": 1, "xanchor": "right", "yshift": down, "text": words.label}
    else:
        name = common | {"xref": "paper", "x": 0, "xanchor": "left", "yshift": down - 18, "text": words.label}
    return [
        common
        | {"xref": "x", "x": value, "xanchor": "center", "yshift": down, "text": number(value, words.digits)}
        for value in values
    ] + [name]
