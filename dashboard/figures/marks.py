"""Marks in figures: a treatment by shape and line, a garden's state by a small drawing.

Shapes drawn in pixels keep their size and distance while the figure's width changes.
"""

from collections.abc import Iterable, Sequence
from typing import Any

from dashboard.figures.template import Tokens

#: Marker symbols in the order control, first treatment, second and so on; after the last they start over.
SYMBOLS = ("circle", "circle", "diamond", "square", "triangle-up", "triangle-down")
#: Marker sizes that look alike in these shapes, pixels.
SIZES = (9.5, 11.5, 12.0, 9.5, 11.0, 11.0)
#: Lines in the same order, as Plotly's dash lengths.
DASHES = ("2px,3px", "solid", "8px,3px", "12px,3px,2px,3px", "4px,2px", "10px,6px")
#: Widths of these lines, pixels.
WIDTHS = (1.8, 2.6, 1.8, 1.8, 1.8, 1.8)

#: Corners of the symbols that are neither round nor square, in half sizes, up positive.
CORNERS = {
    "diamond": ((0, 1.25), (1.25, 0), (0, -1.25), (-1.25, 0)),
    "triangle-up": ((0, 1.1), (1.1, -0.85), (-1.1, -0.85)),
    "triangle-down": ((0, -1.1), (1.1, 0.85), (-1.1, 0.85)),
}

Command = tuple[str, tuple[tuple[float, float], ...]]
#: Each state's drawing on a field of 16 by 16 pixels, ground line at 14: lines, then what is filled.
#: The same as assets/marks/*.svg.
DRAWINGS: dict[str, tuple[tuple[Command, ...], tuple[Command, ...]]] = {
    "late": (
        (
            ("M", ((1, 14),)),
            ("L", ((15, 14),)),
            ("M", ((5, 14),)),
            ("L", ((5, 7.2),)),
            ("C", ((5, 4.2), (6.6, 2.6), (8.7, 2.6))),
            ("C", ((10.7, 2.6), (11.7, 3.9), (11.7, 5.8))),
        ),
        (
            ("M", ((11.7, 5.2),)),
            ("C", ((13.6, 7.1), (13.6, 9.2), (11.7, 11.4))),
            ("C", ((9.8, 9.2), (9.8, 7.1), (11.7, 5.2))),
            ("Z", ()),
        ),
    ),
    "question": (
        (
            ("M", ((1, 14),)),
            ("L", ((15, 14),)),
            ("M", ((8, 14),)),
            ("L", ((8, 11.8),)),
            ("M", ((8, 8.9),)),
            ("C", ((8, 6.7), (10.9, 6.4), (10.9, 4.2))),
            ("C", ((10.9, 2.6), (9.7, 1.5), (8, 1.5))),
            ("C", ((6.3, 1.5), (5, 2.6), (5, 4.3))),
        ),
        (),
    ),
    "held": (
        (
            ("M", ((1, 14),)),
            ("L", ((15, 14),)),
            ("M", ((3, 14),)),
            ("L", ((3, 3.5),)),
            ("M", ((13, 14),)),
            ("L", ((13, 3.5),)),
            ("M", ((3, 5.5),)),
            ("L", ((13, 5.5),)),
            ("M", ((3, 10.5),)),
            ("L", ((13, 10.5),)),
            ("M", ((3.3, 10.3),)),
            ("L", ((12.7, 5.7),)),
        ),
        (),
    ),
}


def style(order: int) -> int:
    """Return which of the shapes and lines the treatment with this order has."""
    return order if order < len(SYMBOLS) else 1 + (order - 1) % (len(SYMBOLS) - 1)


def marker(order: int, colour: Any, tokens: Tokens, *, scale: float = 1.0) -> dict[str, Any]:
    """Return Plotly's marker for a treatment: a ring filled with paper for the control, else filled."""
    form = style(order)
    size = SIZES[form] * scale
    if form == 0:
        return {
            "symbol": SYMBOLS[form],
            "size": size,
            "color": tokens["paper"],
            "line": {"color": colour, "width": 2.2},
        }
    return {
        "symbol": SYMBOLS[form],
        "size": size,
        "color": colour,
        "line": {"color": tokens["paper"], "width": 1.2},
    }


def line(order: int, colour: str) -> dict[str, Any]:
    """Return Plotly's line for a treatment."""
    form = style(order)
    return {"color": colour, "width": WIDTHS[form], "dash": DASHES[form]}


def one_line(strokes: Iterable[tuple[Sequence[float], Sequence[float]]]) -> dict[str, list[float | None]]:
    """Return strokes, each its x and its y, as one line that lifts the pen between them."""
    x: list[float | None] = []
    y: list[float | None] = []
    for right, up in strokes:
        x += [*([None] if x else []), *right]
        y += [*([None] if y else []), *up]
    return {"x": x, "y": y}


def pixel_path(commands: tuple[Command, ...], right: float, up: float, size: float = 16.0) -> str:
    """Return a drawing as a path whose field has its lower left corner `right` and `up` of its anchor."""
    scale = size / 16
    words = []
    for command, points in commands:
        numbers = (f"{right + x * scale:.2f},{up + (16 - y) * scale:.2f}" for x, y in points)
        words.append(command + " ".join(numbers))
    return " ".join(words)


def anchored(x: float, y: float, xref: str, yref: str) -> dict[str, Any]:
    """Return the part of a shape that makes its coordinates pixels from the point (x, y)."""
    return {
        "xref": xref,
        "yref": yref,
        "xsizemode": "pixel",
        "ysizemode": "pixel",
        "xanchor": x,
        "yanchor": y,
    }


def state_shapes(
    state: str, anchor: dict[str, Any], right: float, up: float, ink: str, size: float = 16.0
) -> list[dict[str, Any]]:
    """Return the shapes that draw a state's mark beside its anchor; nothing for a state without a drawing."""
    if state not in DRAWINGS:
        return []
    lines, filled = DRAWINGS[state]
    shapes: list[dict[str, Any]] = [
        anchor
        | {"type": "path", "path": pixel_path(lines, right, up, size), "line": {"color": ink, "width": 1.5}}
    ]
    if filled:
        shapes.append(
            anchor
            | {
                "type": "path",
                "path": pixel_path(filled, right, up, size),
                "fillcolor": ink,
                "line": {"color": ink, "width": 1},
            }
        )
    return shapes


def key_shapes(
    order: int, anchor: dict[str, Any], right: float, up: float, tokens: Tokens, *, with_line: bool
) -> list[dict[str, Any]]:
    """Return the shapes of a treatment's key in ink, its mark centred `right` and `up` of the anchor."""
    form, ink = style(order), tokens["ink"]
    stroke = line(order, ink)
    through = anchor | {
        "type": "line",
        "x0": right - 13,
        "x1": right + 13,
        "y0": up,
        "y1": up,
        "line": stroke | {"dash": stroke["dash"]},
    }
    fill = tokens["paper"] if form == 0 else ink
    edge = {"color": ink if form == 0 else tokens["paper"], "width": 2.2 if form == 0 else 1.2}
    mark = anchor | {"fillcolor": fill, "line": edge} | outline(form, right, up)
    return [through, mark] if with_line else [mark]


def outline(form: int, right: float, up: float) -> dict[str, Any]:
    """Return the outline of a treatment's mark as part of a shape, centred on (right, up), pixels."""
    reach, symbol = SIZES[form] / 2, SYMBOLS[form]
    if symbol in CORNERS:
        corners = (f"{right + reach * x:.2f},{up + reach * y:.2f}" for x, y in CORNERS[symbol])
        return {"type": "path", "path": f"M{' L'.join(corners)} Z"}
    box = {"x0": right - reach, "x1": right + reach, "y0": up - reach, "y1": up + reach}
    return {"type": "circle" if symbol == "circle" else "rect"} | box
