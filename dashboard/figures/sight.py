"""The line of sight: where a garden stands in a figure, so that a page can mark it there.

The mark is no part of the drawing. It lies over it, so that it moves at once when a garden is pointed at.
"""

from collections.abc import Mapping, Sequence

from dashboard.figures.plain import Place, Sight
from dashboard.figures.row import Row
from dashboard.figures.stack import Stack
from dashboard.figures.template import Screen


def plumb_spans(stack: Stack, screen: Screen) -> list[tuple[int, int]]:
    """Return where the plumb line runs: wide, through all strips; narrow, it spares the titles between."""
    if not screen.narrow:
        return [(stack.top_margin, stack.area)]
    return [(stack.top(strip.name), strip.height) for strip in stack.strips]


def along(at: Mapping[str, float], row: Row, stack: Stack, screen: Screen, chosen: str | None) -> Sight:
    """Return a sight without rings, for gardens that stand at these places of the row."""
    places: dict[str, Place] = {site: (row.fraction(place), None) for site, place in at.items()}
    return Sight(places, plumb_spans(stack, screen), chosen)


def ringed(
    at: Mapping[str, Sequence[float]],
    row: Row,
    span: Sequence[float],
    stack: Stack,
    chosen: str | None,
    spans: Sequence[tuple[int, int]],
) -> Sight:
    """Return a sight with rings in the first strip, whose axis runs over `span`, for gardens at (x, y)."""
    strip = stack.strips[0]
    per_unit = strip.height / (span[1] - span[0])
    top = stack.top(strip.name)
    return Sight(
        {site: (row.fraction(x), top + (span[1] - y) * per_unit) for site, (x, y) in at.items()},
        spans,
        chosen,
    )
