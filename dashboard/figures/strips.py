"""The strips that show places: the map, the land and its topsoil, or kilometres against another axis."""

from typing import Any

import pandas as pd

from dashboard.figures import place
from dashboard.figures.climate import squares
from dashboard.figures.row import Row, ticks
from dashboard.figures.stack import Part, Stack
from dashboard.figures.template import Screen
from dashboard.figures.titles import strip_title
from dashboard.numerals import number
from dashboard.words import FIGURE, GRADIENT_WORDS, RATIOS

#: Metres that the land strip is drawn up to, above its highest garden, as a share of that height.
SKY = 0.22


def mark_size(screen: Screen) -> float:
    """Return the size of a garden's mark on the map, pixels."""
    return 9.0 if screen.narrow else 13.0


def map_part(
    outlines: pd.DataFrame,
    gardens: pd.DataFrame,
    row: Row,
    stack: Stack,
    screen: Screen,
    title: str = "where",
) -> Part:
    """Return the map of the gardens, in line with every strip below it."""
    axis, span = stack.axis("where"), place.north_south(outlines, gardens)
    note = "" if screen.narrow else squash(row, span, stack, screen)
    return Part(
        "where",
        {"range": list(span), "showgrid": False, "showticklabels": False},
        [
            *place.map_traces(outlines, axis, screen.tokens),
            place.garden_marks(gardens, axis, mark_size(screen), screen.tokens),
        ],
        [],
        strip_title(stack, "where", GRADIENT_WORDS[title], note, screen, wrap=21),
    )


def squash(row: Row, span: tuple[float, float], stack: Stack, screen: Screen) -> str:
    """Return in words how much the map shortens north to south against east to west."""
    low, high = stack.domain("where")
    up = (high - low) * stack.area / (span[1] - span[0])
    along = screen.plot_width / row.length
    return FIGURE["squash"].format(ratio=min(RATIOS, key=lambda known: abs(known[0] - up / along))[1])


def kilometres_part(gardens: pd.DataFrame, x: str, row: Row, stack: Stack, screen: Screen) -> Part:
    """Return the gardens' kilometres against another axis, so that the row can still be found."""
    known = gardens.dropna(subset=[x])
    moved = known.assign(across_km=known["position_km"], position_km=known[x])
    return Part(
        "where",
        {"range": [row.low, row.high], "tickvals": ticks(row.low, row.high, 4)},
        [place.garden_marks(moved, stack.axis("where"), mark_size(screen), screen.tokens)],
        [],
        strip_title(stack, "where", GRADIENT_WORDS["where"], GRADIENT_WORDS["where_axis"], screen),
    )


def _metres(gardens: pd.DataFrame) -> tuple[float, dict[str, Any]]:
    highest = float(gardens["elevation_m"].max()) if gardens["elevation_m"].notna().any() else 1.0
    top = max(highest * (1 + SKY), 1.0)
    values = [value for value in ticks(0, highest, 3) if value > 0]
    axis = {"range": [0, top], "tickvals": values, "ticktext": [number(value) for value in values]}
    return top, axis


def height_part(gardens: pd.DataFrame, x: str, stack: Stack, screen: Screen) -> Part:
    """Return the gardens' heights against another axis."""
    known = gardens.dropna(subset=[x, "elevation_m"])
    note = GRADIENT_WORDS["height_note"]
    return Part(
        "land",
        _metres(known)[1],
        [squares(known, "elevation_m", x, stack.axis("land"), screen)],
        [],
        strip_title(stack, "land", GRADIENT_WORDS["land"], note, screen),
    )


def land_part(gardens: pd.DataFrame, stack: Stack, screen: Screen) -> Part:
    """Return the land from garden to garden, with a stake for each."""
    known = gardens.dropna(subset=["elevation_m"])
    top, axis = _metres(known)
    note = "" if screen.narrow else GRADIENT_WORDS["land_note"]
    return Part(
        "land",
        axis | {"showgrid": False},
        [
            place.land(known, stack.axis("land"), screen.tokens),
            place.stakes(known, stack.axis("land"), stack.pixels("land"), top),
        ],
        [],
        strip_title(stack, "land", GRADIENT_WORDS["land"], note, screen),
    )


def soil_part(gardens: pd.DataFrame, row: Row, stack: Stack, screen: Screen) -> Part:
    """Return the topsoil by hatch, each class named below where its stretch is wide enough."""
    runs = place.soil_runs(gardens, row)
    below = {"xref": "x", "yref": "paper", "y": 0, "yanchor": "top", "xanchor": "center", "yshift": -3}
    return Part(
        "soil",
        {"range": [0, 1], "showticklabels": False, "showgrid": False},
        [place.soil_bars(runs, stack.axis("soil"), screen.tokens)],
        [],
        [below | {"x": km, "text": name} for name, km in place.soil_names(runs, row, screen.plot_width)],
    )
