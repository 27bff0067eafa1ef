"""The map of where one more garden helps: closer hatching, a surer line."""

from dataclasses import dataclass
from itertools import groupby, pairwise
from typing import TYPE_CHECKING

import pandas as pd

from dashboard.figures import crowd
from dashboard.figures.place import REGION, garden_marks, lines, map_traces, north_south
from dashboard.figures.plain import Figure, Trace, scatter
from dashboard.figures.planning import kilometres
from dashboard.figures.row import Row
from dashboard.figures.template import Screen, blank
from dashboard.numerals import number, small_percent

if TYPE_CHECKING:
    import shapely

#: Pixels of the map: (wide, narrow), and room below for the kilometres.
HEIGHT_PX, BELOW_PX = (300, 190), 44
#: Hatching of the stretches that help less than a third as much as the best place, less than two, and more:
#: size in pixels and solidity. The first is left as paper.
GRAINS = (None, (9, 0.12), (5, 0.3))


@dataclass(frozen=True)
class NextMap:
    """What the map shows: places tried (position_km, narrower_pct), gardens that take part, and those asked.

    Both kinds of gardens have site, name, position_km, across_km and colour; those asked narrower_pct too.
    """

    outlines: pd.DataFrame
    options: pd.DataFrame
    gardens: pd.DataFrame
    asked: pd.DataFrame
    row: Row
    best_km: float


def next_map(rows: NextMap, screen: Screen) -> Figure:
    """Return the map, in kilometres east like the curve above it."""
    tokens = screen.tokens
    figure = blank(screen, HEIGHT_PX[screen.narrow] + BELOW_PX + 24, 24, BELOW_PX)
    south, north = north_south(rows.outlines, pd.concat([rows.gardens, rows.asked]))
    ground, rules, edge = map_traces(rows.outlines, "y", tokens)
    figure.add(ground, *_hatches(rows, screen), rules, edge)
    if crowd.is_crowd(rows.gardens):
        span = (rows.row.low, rows.row.high)
        field = crowd.Field(span, (south, north), screen.plot_width, HEIGHT_PX[screen.narrow], (0.0, 1.0))
        strokes = crowd.dots(rows.gardens, "position_km", "across_km", field, crowd.mark_px(screen))
        figure.arrange(images=[crowd.picture(strokes, field)])
    else:
        figure.add(garden_marks(rows.gardens, "y", 9 if screen.narrow else 11, tokens))
    if len(rows.asked):
        figure.add(_asked(rows.asked, screen))
    figure.outline(
        type="line",
        x0=rows.best_km,
        x1=rows.best_km,
        y0=0,
        y1=1,
        yref="paper",
        line={"color": tokens["stamp"], "width": 1.5, "dash": "5px,3px"},
    )
    is_east, most = rows.row.fraction(rows.best_km) > 0.5, small_percent(rows.options["narrower_pct"].max())
    figure.write(
        x=rows.best_km,
        y=1,
        yref="paper",
        text=f"<b>{number(rows.best_km)} km</b>: {most} narrower",
        showarrow=False,
        xanchor="right" if is_east else "left",
        yanchor="bottom",
        font={"color": tokens["ink"]},
    )
    figure.arrange(
        xaxis=kilometres(rows.row, screen),
        yaxis={"range": [south, north], "showgrid": False, "showticklabels": False},
    )
    return figure


def stretches(options: pd.DataFrame) -> list[tuple[int, float, float]]:
    """Return stretches that help alike as (third of the best gain, 0 to 2, from km, to km)."""
    known = options.dropna(subset=["narrower_pct"]).sort_values("position_km")
    if len(known) < 2 or not known["narrower_pct"].max() > 0:
        return []
    share = known["narrower_pct"] / known["narrower_pct"].max()
    third = (share * 3).clip(0, 2).astype("int64").tolist()
    km = known["position_km"].tolist()
    edges = [km[0], *((west + east) / 2 for west, east in pairwise(km)), km[-1]]
    found, at = [], 0
    for level, members in groupby(third):
        n = len(list(members))
        found.append((level, edges[at], edges[at + n]))
        at += n
    return found


def _hatches(rows: NextMap, screen: Screen) -> list[Trace]:
    """Return the region's stretches, hatched the closer the more a garden there would help."""
    import shapely

    land = rows.outlines[rows.outlines["outline"] == REGION]
    rings = [ring[["x_km", "y_km"]].to_numpy() for _, ring in land.groupby("ring", sort=False)]
    whole = shapely.union_all([shapely.make_valid(shapely.Polygon(ring)) for ring in rings if len(ring) > 3])
    low, high = land["y_km"].min(), land["y_km"].max()
    traces = []
    for level, west, east in stretches(rows.options):
        grain = GRAINS[level]
        part = shapely.intersection(whole, shapely.box(west, low - 1, east, high + 1))
        if grain is None or part.is_empty:
            continue
        x, y = _outline(part)
        pattern = {"shape": "/", "size": grain[0], "solidity": grain[1], "fillmode": "replace"}
        traces.append(
            scatter(
                x=x,
                y=y,
                mode="lines",
                line={"width": 0},
                fill="toself",
                fillpattern=pattern | {"fgcolor": screen.tokens["ink3"], "bgcolor": screen.tokens["sheet"]},
                hoverinfo="skip",
                name=f"helps {('little', 'some', 'most')[level]}",
            )
        )
    return traces


def _outline(part: "shapely.Geometry") -> tuple[list[float | None], list[float | None]]:
    import shapely

    polygons = [one for one in shapely.get_parts(part) if one.geom_type == "Polygon"]
    frames = [
        pd.DataFrame(shapely.get_coordinates(one.exterior), columns=["x_km", "y_km"]).assign(
            outline="part", ring=at
        )
        for at, one in enumerate(polygons)
    ]
    return lines(pd.concat(frames)) if frames else ([], [])


def _asked(asked: pd.DataFrame, screen: Screen) -> Trace:
    """Return the gardens that were asked: a ring in the colour of the place, with the garden's id."""
    gains = [
        f"<b>{site}</b> {name}<br>{small_percent(gain)} narrower"
        for site, name, gain in zip(asked["site"], asked["name"], asked["narrower_pct"], strict=True)
    ]
    return scatter(
        x=asked["position_km"].tolist(),
        y=asked["across_km"].tolist(),
        mode="markers+text",
        marker={
            "symbol": "circle",
            "color": screen.tokens["sheet"],
            "size": 13,
            "line": {"color": asked["colour"].tolist(), "width": 3},
        },
        text=[f"<b>{site}</b> asked" for site in asked["site"]],
        textposition="bottom center",
        textfont={"color": screen.tokens["ink"]},
        customdata=gains,
        hovertemplate="%{customdata}<extra></extra>",
        cliponaxis=False,
        name="asked",
    )
