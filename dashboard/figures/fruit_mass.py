"""How heavy fruits are: every plot's mean fruit, treatment by treatment, with the middle half marked."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from dashboard.figures import crowd
from dashboard.figures.marks import marker
from dashboard.figures.plain import Figure, Trace, bar, scatter
from dashboard.figures.row import ticks
from dashboard.figures.template import Screen, blank
from dashboard.numerals import count, number, with_unit

#: Height of one treatment's line, and what stands above and below all of them, pixels.
LINE_PX, TOP_PX, BOTTOM_PX = 74, 10, 34
#: Left gutter for the treatments' names, pixels: wide, narrow.
LEFT_PX = (168, 12)
#: Share of a line that its marks are spread over, so that equal ones are seen apart.
SPREAD = 0.42
#: Height of the box round the middle half, of the distance between two treatments' lines.
BOX = 0.6
#: Bars that the plots of a crowd are counted in, about: wide, narrow.
BARS = (90, 45)
#: Height of the fullest bar, of the distance between two treatments' lines.
FULLEST = 0.52


@dataclass(frozen=True)
class FruitMassRows:
    """What the figure draws: plots with treatment, mass_g and colour; treatments with order and label."""

    plots: pd.DataFrame
    treatments: pd.DataFrame


def middle_half(rows: FruitMassRows) -> pd.DataFrame:
    """Return by treatment, in their order: treatment, order, label, plots, low, median, high (quartiles)."""
    quartiles = rows.plots.groupby("treatment")["mass_g"].quantile([0.25, 0.5, 0.75]).reset_index()
    wide = quartiles.pivot_table(index="treatment", columns="level_1", values="mass_g")
    wide = wide.set_axis(["low", "median", "high"], axis="columns").reset_index()
    wide["plots"] = wide["treatment"].map(rows.plots["treatment"].value_counts())
    known = rows.treatments[["treatment", "order", "label"]]
    return known.merge(wide, on="treatment").sort_values("order", ignore_index=True)


def fruit_mass_figure(rows: FruitMassRows, screen: Screen) -> Figure:
    """Return the figure: one line a treatment, one mark a plot in the colour of its garden.

    The plots of a crowd of gardens would lie over each other; of them the line tells how many there are of
    each weight.
    """
    halves = middle_half(rows)
    figure = blank(screen, TOP_PX + BOTTOM_PX + LINE_PX * len(halves), TOP_PX, BOTTOM_PX)
    figure.arrange(margin={"l": LEFT_PX[screen.narrow], "r": 24})
    mass = rows.plots["mass_g"]
    air = max(float(mass.max() - mass.min()) * 0.04, 1.0)
    across, up = (float(mass.min()) - air, float(mass.max()) + air), (-len(halves) + 0.5, 0.62)
    for line, half in enumerate(halves.to_dict("records")):
        _treatment(figure, half, -line, screen, over_bars=is_counted(rows))
    if is_counted(rows):
        figure.add(*_counts(rows.plots, halves, screen))
    else:
        for order, own in _placed(rows.plots, halves).groupby("order"):
            figure.add(_marks(own, int(order), screen))
    figure.arrange(
        barmode="overlay",
        xaxis={"range": list(across), "showline": True, "ticksuffix": "\u00a0g"},
        yaxis={"range": list(up), "showgrid": False, "showticklabels": False},
    )
    return figure


def _placed(plots: pd.DataFrame, halves: pd.DataFrame) -> pd.DataFrame:
    """Return the plots with their treatment's order and, spread over its line, the height of their mark."""
    lines = dict(zip(halves["treatment"], range(0, -len(halves), -1), strict=True))
    known = plots[plots["treatment"].isin(halves["treatment"])]
    # Spread by rank, not by chance: the same plots stand at the same height every time.
    rank = known.groupby("treatment").cumcount() * 0.618034 % 1.0
    at = known["treatment"].map(lines)
    orders = halves.set_index("treatment")["order"]
    return known.assign(at=at + SPREAD * (rank - 0.5), order=known["treatment"].map(orders))


def is_counted(rows: FruitMassRows) -> bool:
    """Return whether the plots are of too many gardens for a mark each, so that they are counted."""
    return crowd.is_crowd(rows.plots.drop_duplicates("site"))


def _counts(plots: pd.DataFrame, halves: pd.DataFrame, screen: Screen) -> list[Trace]:
    """Return how many plots have fruit of each weight: bars on each treatment's line, all on one scale."""
    edges = _edges(plots["mass_g"], BARS[screen.narrow])
    counts = [
        np.histogram(plots.loc[plots["treatment"] == name, "mass_g"], edges)[0]
        for name in halves["treatment"]
    ]
    most = max(int(of_treatment.max()) for of_treatment in counts)
    return [
        _bars(of_treatment, edges, -line, FULLEST / most, screen) | {"name": name}
        for line, (name, of_treatment) in enumerate(zip(halves["treatment"], counts, strict=True))
    ]


def _edges(masses: pd.Series, about: int) -> NDArray[np.float64]:
    """Return round weights between which plots are counted, from below the lightest to above the heaviest."""
    inner = ticks(float(masses.min()), float(masses.max()), about)
    step = inner[1] - inner[0] if len(inner) > 1 else 1.0
    return np.array([inner[0] - step, *inner, inner[-1] + step])


def _bars(
    counts: NDArray[np.intp], edges: NDArray[np.float64], at: float, per_plot: float, screen: Screen
) -> Trace:
    known = np.flatnonzero(counts)
    heights = counts[known] * per_plot
    return bar(
        x=((edges[known] + edges[known + 1]) / 2).tolist(),
        y=heights.tolist(),
        base=(at - heights / 2).tolist(),
        width=float(edges[1] - edges[0]),
        marker={"color": screen.tokens["ink3"], "line": {"width": 0}},
        text=[
            f"{count(int(counts[one]), 'plot', 'plots')}<br>{number(edges[one])} to "
            f"{with_unit(edges[one + 1], 'g')} a fruit"
            for one in known
        ],
        textposition="none",
        hovertemplate="%{text}<extra></extra>",
    )


def _marks(plots: pd.DataFrame, order: int, screen: Screen) -> Trace:
    """Return one mark a plot."""
    return scatter(
        x=plots["mass_g"],
        y=plots["at"],
        mode="markers",
        name=str(plots["treatment"].iloc[0]),
        marker=marker(order, plots["colour"].tolist(), screen.tokens, scale=0.7),
        customdata=plots["site"],
        text=[f"{site}, plot {plot}" for site, plot in zip(plots["site"], plots["plot"], strict=True)],
        hovertemplate="%{text}<br>%{x:.0f} g a fruit<extra></extra>",
    )


def _treatment(figure: Figure, half: dict[str, Any], at: float, screen: Screen, *, over_bars: bool) -> None:
    """Draw a treatment's middle half, its median and its name on the line at `at`."""
    tokens = screen.tokens
    box = {"line": {"color": tokens["rule"], "width": 1}, "fillcolor": tokens["band"], "layer": "below"}
    if over_bars:
        box = {"line": {"color": tokens["ink"], "width": 1.2}, "layer": "above"}
    figure.outline(
        type="rect",
        x0=half["low"],
        x1=half["high"],
        y0=at - BOX / 2,
        y1=at + BOX / 2,
        **box,
    )
    figure.outline(
        type="line",
        x0=half["median"],
        x1=half["median"],
        y0=at - 0.36,
        y1=at + 0.36,
        line={"color": tokens["ink"], "width": 2.5},
    )
    between = ", " if screen.narrow else "<br>"
    label = {"text": f"<b>{half['label']}</b>{between}{number(half['median'])} g", "showarrow": False}
    place = (
        {"x": 0, "xanchor": "left", "y": at + 0.5}
        if screen.narrow
        else {"x": 0, "xanchor": "right", "xshift": -10, "y": at, "align": "right"}
    )
    figure.write(xref="paper", font={"color": tokens["ink"]}, **label, **place)
