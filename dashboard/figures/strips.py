"""The strips that show places: the map, the land and its topsoil, or kilometres against another axis."""

from typing import Any

import pandas as pd

from dashboard.figures import crowd, place
from dashboard.figures.climate import marked
from dashboard.figures.row import Row, ticks
from dashboard.figures.stack import Part, Stack
from dashboard.figures.template import Screen
from dashboard.figures.titles import strip_title
from dashboard.numerals import number
from dashboard.words import FIGURE, GRADIENT_WORDS, RATIOS

#: States in which a garden needs somebody: it is named on the map, or stands out in a crowd.
NEEDS = ("late", "question", "held")
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
    marks, images = _garden_marks(gardens, row, span, stack, screen)
    return Part(
        "where",
        {"range": list(span), "showgrid": False, "showticklabels": False},
        [*place.map_traces(outlines, axis, screen.tokens), *marks],
        [],
        strip_title(stack, "where", GRADIENT_WORDS[title], note, screen, wrap=21),
        images,
    )


def _garden_marks(
    gardens: pd.DataFrame, across: Row, span: tuple[float, float], stack: Stack, screen: Screen
) -> tuple[list[Any], list[dict[str, Any]]]:
    """Return the gardens on the uppermost strip: a trace while they are few, a picture of a crowd."""
    if crowd.is_crowd(gardens):
        field = crowd.field_of(stack, "where", screen, across, span)
        stands_out = gardens["state"].isin(NEEDS) if "state" in gardens else gardens["site"].isna()
        size = crowd.mark_px(screen)
        strokes = "".join(
            crowd.dots(rows, "position_km", "across_km", field, px)
            for rows, px in ((gardens[~stands_out], size), (gardens[stands_out], 1.6 * size))
        )
        return [], [crowd.picture(strokes, field)]
    return [place.garden_marks(gardens, stack.axis("where"), mark_size(screen), screen.tokens)], []


def squash(row: Row, span: tuple[float, float], stack: Stack, screen: Screen) -> str:
    """Return in words how much the map shortens north to south against east to west."""
    low, high = stack.domain("where")
    up = (high - low) * stack.area / (span[1] - span[0])
    along = screen.plot_width / row.length
    return FIGURE["squash"].format(ratio=min(RATIOS, key=lambda known: abs(known[0] - up / along))[1])


def kilometres_part(gardens: pd.DataFrame, x: str, row: Row, span: Row, stack: Stack, screen: Screen) -> Part:
    """Return the gardens' kilometres against another axis over `span`, so that the row is still found."""
    known = gardens.dropna(subset=[x])
    moved = known.assign(across_km=known["position_km"], position_km=known[x])
    marks, images = _garden_marks(moved, span, (row.low, row.high), stack, screen)
    return Part(
        "where",
        {"range": [row.low, row.high], "tickvals": ticks(row.low, row.high, 4)},
        marks,
        [],
        strip_title(stack, "where", GRADIENT_WORDS["where"], GRADIENT_WORDS["where_axis"], screen),
        images,
    )


def _metres(gardens: pd.DataFrame) -> tuple[float, dict[str, Any]]:
    highest = float(gardens["elevation_m"].max()) if gardens["elevation_m"].notna().any() else 1.0
    top = max(highest * (1 + SKY), 1.0)
    values = [value for value in ticks(0, highest, 3) if value > 0]
    axis = {"range": [0, top], "tickvals": values, "ticktext": [number(value) for value in values]}
    return top, axis


def height_part(gardens: pd.DataFrame, x: str, span: Row, stack: Stack, screen: Screen) -> Part:
    """Return the gardens' heights against another axis, drawn over `span`."""
    known = gardens.dropna(subset=[x, "elevation_m"])
    note = GRADIENT_WORDS["height_note"]
    top, axis = _metres(known)
    field = crowd.field_of(stack, "land", screen, span, (0.0, top))
    marks, images = marked(known, "elevation_m", x, field, stack.axis("land"), screen)
    return Part(
        "land", axis, marks, [], strip_title(stack, "land", GRADIENT_WORDS["land"], note, screen), images
    )


def land_part(gardens: pd.DataFrame, row: Row, stack: Stack, screen: Screen) -> Part:
    """Return the land from garden to garden, with a stake for each."""
    known = gardens.dropna(subset=["elevation_m"])
    top, axis = _metres(known)
    note = "" if screen.narrow else GRADIENT_WORDS["land_note"]
    traces, images = _staked(known, row, top, stack, screen)
    return Part(
        "land",
        axis | {"showgrid": False},
        traces,
        [],
        strip_title(stack, "land", GRADIENT_WORDS["land"], note, screen),
        images,
    )


def _staked(
    known: pd.DataFrame, row: Row, top: float, stack: Stack, screen: Screen
) -> tuple[list[Any], list[dict[str, Any]]]:
    """Return the land and its stakes; of a crowd, the mean land of each stretch and a picture of stakes."""
    axis, height = stack.axis("land"), stack.pixels("land")
    if not crowd.is_crowd(known):
        return [place.land(known, axis, screen.tokens), place.stakes(known, axis, height, top)], []
    mean = crowd.stretches(known, row, {"elevation_m": "mean"})
    field = crowd.field_of(stack, "land", screen, row, (0.0, top))
    stakes = crowd.uprights(known, "position_km", "elevation_m", field, place.STAKE_PX // 2, 1.5)
    return [place.land(mean, axis, screen.tokens)], [crowd.picture(stakes, field)]


def soil_part(gardens: pd.DataFrame, row: Row, stack: Stack, screen: Screen) -> Part:
    """Return the topsoil by hatch, each class named below where its stretch is wide enough.

    Of a crowd, each stretch has the class that most of its gardens have.
    """
    known = gardens
    if crowd.is_crowd(gardens):
        known = crowd.stretches(gardens, row, {"texture": lambda classes: classes.mode().iloc[0]})
    runs = place.soil_runs(known, row)
    below = {"xref": "x", "yref": "paper", "y": 0, "yanchor": "top", "xanchor": "center", "yshift": -3}
    return Part(
        "soil",
        {"range": [0, 1], "showticklabels": False, "showgrid": False},
        [place.soil_bars(runs, stack.axis("soil"), screen.tokens)],
        [],
        [below | {"x": km, "text": name} for name, km in place.soil_names(runs, row, screen.plot_width)],
    )
