"""Hundreds of gardens in one strip: their marks are one picture, as a part for each would stall the page.

A browser draws a picture of ten thousand strokes in a moment, and a page of ten thousand parts in seconds.
Marks keep their size while the picture is stretched with its strip. What is pointed at is told by the line of
sight, which knows where every garden stands (`dashboard.figures.sight`).
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import quote

import numpy as np
import pandas as pd

from dashboard.figures.row import Row
from dashboard.figures.stack import Stack
from dashboard.figures.template import Screen

#: Gardens beyond which a strip's marks are one picture. Beyond it two marks of 8 pixels share each place of a
#: wide strip, so that none can be made out by itself any more.
MOST_MARKS = 240
#: Shades along the row that marks of a picture have: neighbours of one shade are one stroke of the pen.
SHADES = 48
#: Stretches of the row over which a crowd is summed up where single gardens would only be a blur.
STRETCHES = 120
#: Ends of a stroke by treatment, in the order control, first treatment and so on: round, round, square, none.
_CAPS = ("round", "round", "square", "butt")


@dataclass(frozen=True)
class Field:
    """A strip as a sheet: what its two axes span, and where it lies in the figure."""

    x: tuple[float, float]
    y: tuple[float, float]
    width: int
    height: int
    domain: tuple[float, float]

    def across(self, values: pd.Series) -> np.ndarray:
        """Return places along the strip, whole pixels from its western end."""
        return _pixels(values, self.x[0], self.x[1], self.width)

    def down(self, values: pd.Series) -> np.ndarray:
        """Return places in the strip, whole pixels from its upper edge."""
        return _pixels(values, self.y[1], self.y[0], self.height)


def is_crowd(rows: pd.DataFrame) -> bool:
    """Return whether there are too many gardens for a mark each."""
    return len(rows) > MOST_MARKS


def field_of(stack: Stack, name: str, screen: Screen, span: Row, up: tuple[float, float]) -> Field:
    """Return a strip of a figure as a sheet whose upward axis runs over `up`."""
    domain = stack.domain(name)
    return Field((span.low, span.high), up, screen.plot_width, stack.pixels(name), domain)


def mark_px(screen: Screen) -> float:
    """Return the size of one mark in a crowd, pixels."""
    return 3.5 if screen.narrow else 5.0


def dots(
    rows: pd.DataFrame, x: str, y: str, field: Field, size: float, order: int = 1, opacity: float = 0.8
) -> str:
    """Return a mark for each row, in its colour; treatments after the first have marks of another shape.

    `rows` have `colour` and are west to east.
    """
    cap = _CAPS[min(order, len(_CAPS) - 1)]
    right, down = field.across(rows[x]), field.down(rows[y])
    length = "h4" if cap == "butt" else "h0"
    look = f'stroke-width="{size}" stroke-linecap="{cap}" stroke-opacity="{opacity}"'
    return "".join(
        _stroke(colour, look, (f"M{a},{b}{length}" for a, b in _once(right[of], down[of], field)))
        for colour, of in _shades(rows)
    )


def uprights(rows: pd.DataFrame, x: str, y: str, field: Field, rise: int, width: float) -> str:
    """Return an upright stroke for each row, `rise` pixels high, that stands at its place."""
    right, down = field.across(rows[x]), field.down(rows[y])
    look = f'stroke-width="{width}"'
    return "".join(
        _stroke(colour, look, (f"M{a},{b}v-{rise}" for a, b in _once(right[of], down[of], field)))
        for colour, of in _shades(rows)
    )


def columns(
    rows: pd.DataFrame, share: str, x: str, top: str, field: Field, width: float, height: float
) -> str:
    """Return an upright column for each row, filled from below by its share of `height` pixels.

    `top` is the column of `rows` with the upper edge of each, in the strip's own unit.
    """
    right, upper = field.across(rows[x]), field.down(rows[top])
    filled = (rows[share].to_numpy(dtype=float) * height).round(1)
    look = f'stroke-width="{width:.1f}"'
    return "".join(
        _stroke(
            colour,
            look,
            (
                f"M{a},{b + height:g}v-{up:g}"
                for a, b, up in zip(right[of], upper[of], filled[of], strict=True)
                if up > 0
            ),
        )
        for colour, of in _shades(rows)
    )


def picture(strokes: str, field: Field) -> dict[str, Any]:
    """Return the strokes as an image of a figure's layout, over the lines and bands of their strip."""
    low, high = field.domain
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {field.width} {field.height}" '
        f'width="{field.width}" height="{field.height}" preserveAspectRatio="none" fill="none">'
        f"{strokes}</svg>"
    )
    return {
        "source": "data:image/svg+xml," + quote(svg, safe=" ,='/:"),
        "xref": "paper",
        "yref": "paper",
        "x": 0,
        "y": high,
        "sizex": 1,
        "sizey": high - low,
        "xanchor": "left",
        "yanchor": "top",
        "sizing": "stretch",
        "layer": "above",
    }


def stretches(
    rows: pd.DataFrame, row: Row, summed: Mapping[str, Any], by: str = "position_km"
) -> pd.DataFrame:
    """Return the rows summed up over equal stretches of the row, west to east, with each one's middle colour.

    `summed` says what is made of each further column, as pandas' agg takes it. Stretches without a row are
    left out.
    """
    at = ((rows[by] - row.low) / row.length * STRETCHES).clip(0, STRETCHES - 1).astype("int64")
    groups = rows.groupby(at.rename("stretch"))
    whole = groups.agg(**{name: (name, how) for name, how in summed.items()})
    whole["colour"] = groups["colour"].agg(lambda colours: colours.iloc[len(colours) // 2])
    whole[by] = row.low + (whole.index.to_numpy() + 0.5) / STRETCHES * row.length
    return whole.reset_index(drop=True)


def _pixels(values: pd.Series, start: float, end: float, pixels: int) -> np.ndarray:
    share = (values.to_numpy(dtype=float) - start) / (end - start)
    return (share * pixels).round().astype("int64")


def _once(right: np.ndarray, down: np.ndarray, field: Field) -> list[tuple[int, int]]:
    """Return the places that lie in the field, each once: two marks on one pixel look like one."""
    inside = (down >= 0) & (down <= field.height) & (right >= 0) & (right <= field.width)
    return sorted(set(zip(right[inside].tolist(), down[inside].tolist(), strict=True)))


def _shades(rows: pd.DataFrame) -> Iterator[tuple[str, slice]]:
    """Return the rows' colours in shades, each with the rows that have it: colour is place along the row."""
    step = max(-(-len(rows) // SHADES), 1)
    colours = rows["colour"].tolist()
    for start in range(0, len(rows), step):
        end = min(start + step, len(rows))
        yield colours[(start + end - 1) // 2], slice(start, end)


def _stroke(colour: str, look: str, lines: Iterator[str]) -> str:
    path = "".join(lines)
    return f'<path d="{path}" stroke="{colour}" {look} vector-effect="non-scaling-stroke"/>' if path else ""
