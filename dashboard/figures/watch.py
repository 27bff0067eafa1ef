"""Tonight: the gardens on the map with what they need, and their weeks below."""

from dataclasses import dataclass, replace
from typing import Any

import pandas as pd

from dashboard.figures import crowd, place, strips
from dashboard.figures.labels import HEIGHT_PX, Label, Scene, place_labels, width_of
from dashboard.figures.marks import anchored, state_shapes
from dashboard.figures.plain import Figure
from dashboard.figures.row import Row
from dashboard.figures.sight import ringed
from dashboard.figures.stack import Part, Stack, Strip, assemble
from dashboard.figures.template import Screen, blank
from dashboard.figures.titles import TITLE_PX
from dashboard.figures.weeks import grid_height, key_lines, weeks_part

#: Up to this many are named in full, up to the second number shown by their mark; beyond, lists name them.
NAMED, MARKED = 12, 40
#: Size of a state's mark, pixels.
MARK_ONLY_PX = 16.0
MAP_PX = (310, 176)
#: Gutter for the weeks' dates when narrow, pixels.
NARROW_LEFT = 50
#: Room above the grid for its column heads and its title: wide, narrow.
HEADS_PX = (58, 56)
#: Plot width of the narrowest screen that counts as wide, pixels.
LEAST_PLOT_PX = 816
#: Pixels of the right gutter that a label may reach into.
INTO_GUTTER = 150


@dataclass(frozen=True)
class WatchRows:
    """What the figure draws: outlines, gardens west to east with state and reason, and their weeks."""

    outlines: pd.DataFrame
    gardens: pd.DataFrame
    weeks: pd.DataFrame
    row: Row
    chosen: str | None

    @property
    def needing(self) -> pd.DataFrame:
        """The gardens that need somebody."""
        return self.gardens[self.gardens["state"].isin(strips.NEEDS)]


def watch_figure(rows: WatchRows, screen: Screen) -> Figure:
    """Return the map of the night and, where the season has weeks, the week grid."""
    stacked = [Strip("where", MAP_PX[screen.narrow], TITLE_PX if screen.narrow else 0)]
    if len(rows.weeks):
        stacked.append(Strip("weeks", grid_height(rows.weeks, screen), HEADS_PX[screen.narrow]))
    stack = Stack(tuple(stacked), 8, 12 + 22 * key_lines(rows.weeks, screen))
    ground = strips.map_part(rows.outlines, rows.gardens, rows.row, stack, screen, title="tonight")
    named = Part("labels", {}, [], *_labels(rows, stack, screen))
    parts = [ground, named]
    if len(rows.weeks):
        parts.append(weeks_part(rows.gardens, rows.weeks, rows.row, stack, screen))
    places = {
        site: [x, y]
        for site, x, y in zip(
            *(rows.gardens[key] for key in ("site", "position_km", "across_km")), strict=True
        )
    }
    span = place.north_south(rows.outlines, rows.gardens)
    seen = ringed(places, rows.row, span, stack, rows.chosen, [])
    seen = replace(seen, is_crowd=crowd.is_crowd(rows.gardens))
    figure = blank(screen, stack.height, stack.top_margin, stack.bottom_margin, seen)
    if screen.narrow:
        figure.arrange(margin={"l": NARROW_LEFT})
    return assemble(figure, stack, parts, {"range": [rows.row.low, rows.row.high]})


def _labels(
    rows: WatchRows, stack: Stack, screen: Screen
) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """Return mark, name and reason of every garden that needs somebody, as shapes and annotations."""
    needing = rows.needing if len(rows.needing) <= MARKED else rows.needing.iloc[:0]
    by_mark = screen.narrow or len(needing) > NAMED
    widths = [
        MARK_ONLY_PX if by_mark else width_of(f"{site} {name}", reason)
        for site, name, reason in zip(*(needing[key] for key in ("site", "name", "reason")), strict=True)
    ]
    reach = 0 if by_mark else INTO_GUTTER
    across = (screen.plot_width,) if screen.narrow else (screen.plot_width, LEAST_PLOT_PX)
    placed = place_labels(
        [_scene(rows, needing, stack.pixels("where"), width, reach) for width in across],
        widths,
        strips.mark_size(screen) / 2 + 2,
        MARK_ONLY_PX if by_mark else HEIGHT_PX,
    )
    shapes, words = [], []
    for garden, label in zip(needing.to_dict("records"), placed, strict=True):
        anchor = anchored(garden["position_km"], garden["across_km"], "x", stack.axis("where"))
        mark = label.left + label.width - MARK_ONLY_PX if label.is_west else label.left
        shapes += state_shapes(
            garden["state"], anchor, mark, -label.top - 17, screen.tokens["ink"], MARK_ONLY_PX
        )
        if not by_mark:
            shapes += _leader(label, anchor, screen)
            words += _words(garden, label, anchor, screen)
    return shapes, words


def _scene(rows: WatchRows, needing: pd.DataFrame, height: int, width: float, reach: float) -> Scene:
    """Return the map at one width of its plot; labels may reach so far into the gutter east of it."""
    south, north = place.north_south(rows.outlines, rows.gardens)
    pixels = {
        site: (rows.row.fraction(x) * width, (north - y) / (north - south) * height)
        for site, x, y in zip(
            *(rows.gardens[key] for key in ("site", "position_km", "across_km")), strict=True
        )
    }
    return Scene(
        [pixels[site] for site in needing["site"]], list(pixels.values()), (0, 0, width + reach, height)
    )


def _leader(label: Label, anchor: dict[str, Any], screen: Screen) -> list[dict[str, Any]]:
    if not label.needs_leader:
        return []
    near = label.left + label.width - 8 if label.is_west else label.left + 8
    above = label.top + HEIGHT_PX / 2 < 0
    edge = -(label.top + HEIGHT_PX - 12) if above else -label.top + 3
    if abs(label.top + HEIGHT_PX / 2) <= HEIGHT_PX / 2:
        near, edge = (label.left + label.width + 1 if label.is_west else label.left - 1), -label.top - 10
    start = (8 if near > 0 else -8) if abs(near) > 8 else 0
    rise = 0 if start else (8 if above else -8)
    return [
        anchor
        | {
            "type": "path",
            "path": f"M{start},{rise} L{near:.1f},{edge:.1f}",
            "line": {"color": screen.tokens["ink3"], "width": 1},
        }
    ]


def _words(
    garden: dict[str, Any], label: Label, anchor: dict[str, Any], screen: Screen
) -> list[dict[str, Any]]:
    side = "right" if label.is_west else "left"
    x = label.left + label.width - 22 if label.is_west else label.left + 22
    common = {
        "xref": anchor["xref"],
        "yref": anchor["yref"],
        "x": anchor["xanchor"],
        "y": anchor["yanchor"],
        "xanchor": side,
        "yanchor": "middle",
        "align": side,
        "xshift": x,
    }
    tokens = screen.tokens
    return [
        common
        | {
            "yshift": -label.top - 9,
            "text": f"<b>{garden['site']} {garden['name']}</b>",
            "font": {"color": tokens["ink"]},
        },
        common | {"yshift": -label.top - 25, "text": garden["reason"], "font": {"color": tokens["ink2"]}},
    ]
