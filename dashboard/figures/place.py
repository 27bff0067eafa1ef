"""The map of the gardens and the land under them, in kilometres, so that they line up with every strip."""

from collections.abc import Sequence
from itertools import groupby, pairwise

import pandas as pd

from dashboard.figures.plain import Trace, bar, scatter
from dashboard.figures.row import Row
from dashboard.figures.template import Tokens

#: Height of a garden's stake on the land, pixels.
STAKE_PX = 14
#: The outline that goes round the whole region.
REGION = "region"
#: Hatch by topsoil class: dots for sand and loam, dashes for silt, lines for clay. None means plain.
HATCH = {
    "sand": ".",
    "loamy sand": ".",
    "sandy loam": ".",
    "loam": ".",
    "silt loam": "-",
    "silt": "-",
    "silty clay loam": "-",
    "clay loam": "/",
    "sandy clay loam": "/",
    "silty clay": "x",
    "sandy clay": "x",
    "clay": "x",
}
#: How tight and how dense a class's hatch is (Plotly's size in pixels and solidity): the finer the soil the
#: denser, so that classes with one kind of hatch still differ.
HATCH_GRAIN = {
    "sand": (12, 0.05),
    "loamy sand": (10, 0.06),
    "sandy loam": (9, 0.08),
    "loam": (7, 0.1),
    "silt loam": (8, 0.18),
    "silt": (6, 0.18),
    "silty clay loam": (4, 0.26),
    "clay loam": (7, 0.2),
    "sandy clay loam": (5, 0.2),
    "silty clay": (7, 0.16),
    "sandy clay": (6, 0.2),
    "clay": (5, 0.22),
}


def lines(rings: pd.DataFrame) -> tuple[list[float | None], list[float | None]]:
    """Return the rings as one broken line: all x, all y, None where the pen is lifted."""
    x: list[float | None] = []
    y: list[float | None] = []
    for _, ring in rings.groupby(["outline", "ring"], sort=False):
        x += [*ring["x_km"].tolist(), None]
        y += [*ring["y_km"].tolist(), None]
    return x[:-1], y[:-1]


def north_south(outlines: pd.DataFrame, gardens: pd.DataFrame) -> tuple[float, float]:
    """Return how far the map reaches south and north, in kilometres across the axis."""
    across = pd.concat([outlines["y_km"], gardens["across_km"]]).dropna()
    if across.empty:
        return -1.0, 1.0
    air = 0.02 * (across.max() - across.min()) + 1
    return float(across.min() - air), float(across.max() + air)


def map_traces(outlines: pd.DataFrame, axis: str, tokens: Tokens) -> list[Trace]:
    """Return the region's ground, the county lines on it and the region's edge on top."""
    region = lines(outlines[outlines["outline"] == REGION])
    counties = lines(outlines[outlines["outline"] != REGION])
    common = {"yaxis": axis, "mode": "lines", "hoverinfo": "skip", "cliponaxis": False}
    return [
        scatter(
            x=region[0],
            y=region[1],
            fill="toself",
            fillcolor=tokens["sheet"],
            line={"width": 0},
            name="region ground",
            **common,
        ),
        scatter(
            x=counties[0],
            y=counties[1],
            line={"color": tokens["rule"], "width": 0.9},
            name="counties",
            **common,
        ),
        scatter(
            x=region[0],
            y=region[1],
            line={"color": tokens["ink"], "width": 1.3},
            name="region",
            **common,
        ),
    ]


def garden_marks(gardens: pd.DataFrame, axis: str, size: float, tokens: Tokens) -> Trace:
    """Return the gardens on the map, each in the colour of its place."""
    return scatter(
        x=gardens["position_km"].tolist(),
        y=gardens["across_km"].tolist(),
        mode="markers",
        marker={
            "color": gardens["colour"].tolist(),
            "size": size,
            "line": {"color": tokens["sheet"], "width": 1.2},
        },
        customdata=gardens["site"].tolist(),
        text=[f"<b>{site}</b> {name}" for site, name in zip(gardens["site"], gardens["name"], strict=True)],
        hovertemplate="%{text}<extra></extra>",
        yaxis=axis,
        cliponaxis=False,
        name="gardens",
    )


def land(gardens: pd.DataFrame, axis: str, tokens: Tokens) -> Trace:
    """Return the land from garden to garden, hatched down to the sea."""
    return scatter(
        x=gardens["position_km"].tolist(),
        y=gardens["elevation_m"].tolist(),
        mode="lines",
        line={"color": tokens["ink"], "width": 1.5},
        fill="tozeroy",
        fillpattern={
            "shape": "/",
            "size": 7,
            "solidity": 0.16,
            "fgcolor": tokens["ink3"],
            "bgcolor": tokens["paper"],
            "fillmode": "replace",
        },
        hoverinfo="skip",
        yaxis=axis,
        name="land",
    )


def stakes(gardens: pd.DataFrame, axis: str, height: int, top_m: float) -> Trace:
    """Return a stake for each garden, standing at its height; `height` pixels show `top_m` metres."""
    return scatter(
        x=gardens["position_km"].tolist(),
        y=(gardens["elevation_m"] + STAKE_PX / 2 / height * top_m).tolist(),
        mode="markers",
        marker={
            "symbol": "line-ns",
            "size": STAKE_PX,
            "line": {"color": gardens["colour"].tolist(), "width": 4},
        },
        customdata=gardens["site"].tolist(),
        text=[
            f"<b>{site}</b> {name}<br>{elevation:,.0f} m"
            for site, name, elevation in zip(
                gardens["site"], gardens["name"], gardens["elevation_m"], strict=True
            )
        ],
        hovertemplate="%{text}<extra></extra>",
        yaxis=axis,
        cliponaxis=False,
        name="stakes",
    )


def soil_runs(gardens: pd.DataFrame, row: Row) -> list[tuple[str, float, float]]:
    """Return stretches of one topsoil class as (class, from km, to km): neighbours with one class are joined.

    A stretch reaches half-way to the next garden, and at either end to the end of the row.
    """
    places = gardens["position_km"].tolist()
    edges = [row.low, *((west + east) / 2 for west, east in pairwise(places)), row.high]
    stretches = zip(gardens["texture"].tolist(), edges[:-1], edges[1:], strict=True)
    runs = []
    for texture, members in groupby(stretches, key=lambda stretch: stretch[0]):
        run = list(members)
        runs.append((texture, run[0][1], run[-1][2]))
    return runs


def soil_bars(runs: Sequence[tuple[str, float, float]], axis: str, tokens: Tokens) -> Trace:
    """Return the stretches as hatched bars; a class that is not recorded stays plain paper."""
    grains = [HATCH_GRAIN.get(texture, (8, 0.0)) for texture, _, _ in runs]
    return bar(
        x=[(west + east) / 2 for _, west, east in runs],
        width=[east - west for _, west, east in runs],
        y=[1] * len(runs),
        marker={
            "color": tokens["sheet"],
            "line": {"color": tokens["ink"], "width": 1},
            "pattern": {
                "shape": [HATCH.get(texture, "") for texture, _, _ in runs],
                "size": [size for size, _ in grains],
                "solidity": [solidity for _, solidity in grains],
                "fillmode": "replace",
                "fgcolor": tokens["ink3"],
                "bgcolor": tokens["sheet"],
            },
        },
        customdata=[texture for texture, _, _ in runs],
        hoverinfo="skip",
        yaxis=axis,
        cliponaxis=False,
        name="topsoil",
    )


def soil_names(
    runs: Sequence[tuple[str, float, float]], row: Row, plot_width: float
) -> list[tuple[str, float]]:
    """Return (class, km) for the stretches that are wide enough to have their class written below."""
    letter_px, air_px = 6.6, 10.0
    return [
        (texture, (west + east) / 2)
        for texture, west, east in runs
        if (east - west) / row.length * plot_width > letter_px * len(texture) + air_px
    ]
