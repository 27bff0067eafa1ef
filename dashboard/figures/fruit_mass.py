"""How heavy fruits are: every plot's mean fruit, treatment by treatment, with the middle half marked."""

from dataclasses import dataclass
from typing import Any

import pandas as pd

from dashboard.figures import crowd
from dashboard.figures.marks import marker
from dashboard.figures.plain import Figure, Trace, scatter
from dashboard.figures.template import Screen, blank
from dashboard.numerals import number

#: Height of one treatment's line, and what stands above and below all of them, pixels.
LINE_PX, TOP_PX, BOTTOM_PX = 74, 10, 34
#: Left gutter for the treatments' names, pixels: wide, narrow.
LEFT_PX = (168, 12)
#: Share of a line that its marks are spread over, so that equal ones are seen apart.
SPREAD = 0.42


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
    """Return the figure: one line a treatment, one mark a plot in the colour of its garden."""
    halves = middle_half(rows)
    figure = blank(screen, TOP_PX + BOTTOM_PX + LINE_PX * len(halves), TOP_PX, BOTTOM_PX)
    figure.arrange(margin={"l": LEFT_PX[screen.narrow], "r": 24})
    plots = _placed(rows.plots, halves)
    mass = rows.plots["mass_g"]
    air = max(float(mass.max() - mass.min()) * 0.04, 1.0)
    across, up = (float(mass.min()) - air, float(mass.max()) + air), (-len(halves) + 0.5, 0.62)
    for line, half in enumerate(halves.to_dict("records")):
        _treatment(figure, half, -line, screen)
    if crowd.is_crowd(plots.drop_duplicates("site")):
        field = crowd.Field(across, up, screen.plot_width, LINE_PX * len(halves), (0.0, 1.0))
        figure.arrange(images=[crowd.picture(_crowd(plots, field, screen), field)])
    else:
        for order, own in plots.groupby("order"):
            figure.add(_marks(own, int(order), screen))
    figure.arrange(
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


def _crowd(plots: pd.DataFrame, field: crowd.Field, screen: Screen) -> str:
    size = crowd.mark_px(screen) - 1
    return "".join(
        crowd.dots(own, "mass_g", "at", field, size, int(order), opacity=0.6)
        for order, own in plots.groupby("order")
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


def _treatment(figure: Figure, half: dict[str, Any], at: float, screen: Screen) -> None:
    """Draw a treatment's middle half, its median and its name on the line at `at`."""
    tokens = screen.tokens
    figure.outline(
        type="rect",
        x0=half["low"],
        x1=half["high"],
        y0=at - 0.3,
        y1=at + 0.3,
        fillcolor=tokens["band"],
        line={"color": tokens["rule"], "width": 1},
        layer="below",
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
