"""Titles, notes and labels beside strips: written at the thing, in the gutters."""

import textwrap
from collections.abc import Sequence
from typing import Any

from dashboard.figures.row import spread
from dashboard.figures.stack import Stack
from dashboard.figures.template import SERIF, SMALL, Screen, Tokens

#: Pixels from one line of small text to the next.
LINE_PX = 17
TITLE_SIZE = 16
#: The family of running text as it may stand inside a style attribute.
INLINE_SANS = "Longrow Sans, Verdana, sans-serif"
#: Pixels that a strip's title takes, with the air below it.
TITLE_PX = 24
#: Letters of a line of a strip's meaning.
MEANING_WRAP = 60


def strip_title(
    stack: Stack, name: str, title: str, note: str, screen: Screen, wrap: int = 19, meaning: str = ""
) -> list[dict[str, Any]]:
    """Return a strip's title and note: in the left gutter, or above the strip on a narrow screen.

    `meaning` is what the strip shows, told where the title is pointed at.
    """
    left, _ = screen.gutters
    top = stack.domain(name)[1]
    base = {"xref": "paper", "yref": "paper", "x": 0, "xanchor": "left", "y": top, "xshift": -left}
    if meaning:
        base["hovertext"] = "<br>".join(textwrap.wrap(meaning, MEANING_WRAP))
    font = {"family": SERIF, "size": TITLE_SIZE, "weight": 560, "color": screen.tokens["ink"]}
    small = {"size": SMALL, "color": screen.tokens["ink2"]}
    if screen.narrow:
        # Title and note share one line above the strip.
        small_print = (
            f'<span style="font-family:{INLINE_SANS};font-size:{SMALL}px;font-weight:400">{note}</span>'
        )
        return [base | {"text": f"{title}  {small_print}", "font": font, "yanchor": "bottom", "yshift": 3}]
    lines = "<br>".join(textwrap.wrap(note, wrap))
    return [
        base | {"text": title, "font": font, "yanchor": "top", "yshift": 5},
        base | {"text": lines, "font": small, "yanchor": "top", "yshift": 5 - TITLE_PX},
    ]


def gutter_places(wanted: Sequence[float], lines: Sequence[int], low: float, high: float) -> list[float]:
    """Return heights in pixels for labels of so many lines, near where they are wanted, none overlapping.

    `wanted` are pixels from below in any order; the answer has the same order.
    """
    # Where two are wanted at one height, the first stands above.
    order = sorted(range(len(wanted)), key=lambda index: (wanted[index], -index))
    sizes = [lines[index] * LINE_PX + 5 for index in order]
    if not order:
        return []
    placed = spread(
        [wanted[index] for index in order],
        sizes,
        low + sizes[0] / 2,
        max(high - sizes[-1] / 2, low + sizes[0] / 2),
    )
    places = [0.0] * len(order)
    for index, place in zip(order, placed, strict=True):
        places[index] = place
    return places


def label_at(anchor: dict[str, Any], right: float, up: float, text: str, colour: str) -> dict[str, Any]:
    """Return words whose left middle stands so many pixels right of and above a shape's anchor."""
    return {
        "xref": anchor["xref"],
        "yref": anchor["yref"],
        "x": anchor["xanchor"],
        "y": anchor["yanchor"],
        "xanchor": "left",
        "yanchor": "middle",
        "xshift": right,
        "yshift": up,
        "text": text,
        "font": {"color": colour},
    }


def leader(
    anchor: dict[str, Any], start: tuple[float, float], end: tuple[float, float], tokens: Tokens
) -> dict[str, Any]:
    """Return a thin line from a curve's end to its label, in pixels right of and above the anchor."""
    return anchor | {
        "type": "path",
        "path": f"M{start[0]:.1f},{start[1]:.1f} L{end[0]:.1f},{end[1]:.1f}",
        "line": {"color": tokens["ink3"], "width": 1},
    }
