"""The county map of program reach: a hatch that says how much, and the figure itself in every county."""

import pandas as pd

from dashboard.figures.place import lines, map_traces, north_south
from dashboard.figures.plain import Figure, Trace, scatter
from dashboard.figures.template import Screen, Tokens, blank
from dashboard.numerals import number

#: Width that the map is worked out for, pixels, and its gutters: (wide, narrow).
WIDTH_PX = (740, 344)
#: Counties that are written out when narrow; there is no room for all.
NAMED_NARROW = 5


def county_map(outlines: pd.DataFrame, counties: pd.DataFrame, screen: Screen) -> Figure:
    """Return the map; `counties` has county_fips, county, `shown`, `told` and `is_more` (close hatching).

    North to south is drawn as long as east to west.
    """
    none = pd.DataFrame({"across_km": pd.Series(dtype="float64")})
    south, north = north_south(outlines, none)
    west, east = float(outlines["x_km"].min()) - 2, float(outlines["x_km"].max()) + 2
    width = WIDTH_PX[screen.narrow]
    height = round((north - south) / (east - west) * width)
    figure = blank(screen, height + 8, 4, 4)
    figure.arrange(
        margin={"l": 2, "r": 2},
        xaxis={"range": [west, east], "showticklabels": False},
        yaxis={"range": [south, north], "showgrid": False, "showticklabels": False},
        annotations=_labels(outlines, counties, screen),
    )
    ground, rules, edge = map_traces(outlines, "y", screen.tokens)
    figure.add(ground, rules, *_hatches(outlines, counties, screen.tokens), edge)
    return figure


def _hatches(outlines: pd.DataFrame, counties: pd.DataFrame, tokens: Tokens) -> list[Trace]:
    """Return the counties with gardens: close and open hatching, and plain where nothing was sent."""
    known = counties["shown"].notna()
    groups = (
        ("more", counties[known & counties["is_more"]], {"shape": "/", "size": 4, "solidity": 0.3}),
        ("less", counties[known & ~counties["is_more"]], {"shape": "/", "size": 8, "solidity": 0.15}),
        ("nothing sent", counties[~known], {"shape": ".", "size": 8, "solidity": 0.06}),
    )
    traces = []
    for name, own, pattern in groups:
        rings = outlines[outlines["outline"].isin(own["county_fips"])]
        if rings.empty:
            continue
        x, y = lines(rings)
        look = pattern | {"fgcolor": tokens["ink2"], "bgcolor": tokens["sheet"], "fillmode": "replace"}
        traces.append(
            scatter(
                x=x,
                y=y,
                mode="lines",
                line={"color": tokens["ink"], "width": 1.2},
                fill="toself",
                fillpattern=look,
                hoverinfo="skip",
                name=name,
            )
        )
    return traces


def _labels(outlines: pd.DataFrame, counties: pd.DataFrame, screen: Screen) -> list[dict[str, object]]:
    """Return the figures, each on its county; when narrow the largest alone."""
    known = counties.dropna(subset="shown")
    if screen.narrow:
        known = known.nlargest(NAMED_NARROW, "shown")
    rings = outlines[outlines["outline"].isin(known["county_fips"])]
    boxes = rings.groupby("outline")[["x_km", "y_km"]].agg(["min", "max"])
    labels: list[dict[str, object]] = []
    for fips, shown in zip(known["county_fips"], known["shown"], strict=True):
        if fips not in boxes.index:
            continue
        box = boxes.loc[fips]
        labels.append(
            {
                "x": (box[("x_km", "min")] + box[("x_km", "max")]) / 2,
                "y": (box[("y_km", "min")] + box[("y_km", "max")]) / 2,
                "text": f"<b>{number(shown)}</b>",
                "font": {"color": screen.tokens["ink"]},
                "bgcolor": screen.tokens["sheet"],
                "borderpad": 1,
            }
        )
    return labels
