"""The plots of one garden: weight per plant adding up through the season, one line a plot."""

from dataclasses import dataclass

import pandas as pd

from dashboard.figures.marks import line, marker
from dashboard.figures.plain import Figure, scatter
from dashboard.figures.row import spread
from dashboard.figures.template import Screen, blank
from dashboard.numerals import day

#: Height of the figure and its gutters, pixels.
HEIGHT_PX, LEFT_PX, RIGHT_PX, NARROW_RIGHT_PX = 300, 56, 216, 74
#: Least share of the scale between two names at the lines' ends, so that none stands over another.
NAME_SHARE = 0.062


@dataclass(frozen=True)
class PlotCurves:
    """What the figure draws.

    `curves` has plot, treatment, order, date and `total` per plant in `unit`, adding up; `colour` is the
    garden's.
    """

    curves: pd.DataFrame
    colour: str
    unit: str


def plot_curves_figure(rows: PlotCurves, screen: Screen) -> Figure:
    """Return the figure; each line ends at its plot's name, and its shape and dash are its treatment's."""
    figure = blank(screen, HEIGHT_PX, 14, 30)
    figure.arrange(margin={"l": LEFT_PX, "r": NARROW_RIGHT_PX if screen.narrow else RIGHT_PX})
    curves = rows.curves.sort_values(["order", "plot", "date"], kind="stable")
    for (order, plot), own in curves.groupby(["order", "plot"], sort=False):
        figure.add(
            scatter(
                x=own["date"],
                y=own["total"],
                name=f"plot {plot}",
                mode="lines+markers",
                line=line(int(order), rows.colour),
                marker=marker(int(order), rows.colour, screen.tokens, scale=0.62),
                hovertemplate=f"plot {plot}, {own['treatment'].iloc[0]}<br>%{{x|%b %-d}}: %{{y:.2f}} "
                f"{rows.unit}<extra></extra>",
            )
        )
    most = max(float(curves["total"].max()), 0.1) * 1.06
    _names(figure, curves, most, screen)
    first, last = curves["date"].min(), curves["date"].max()
    air = max((last - first) * 0.02, pd.Timedelta(days=1))
    ticks = [
        (first + share * (last - first)).normalize() for share in ((0, 1) if screen.narrow else (0, 0.5, 1))
    ]
    figure.arrange(
        xaxis={
            "range": [first - air, last + air],
            "tickvals": ticks,
            "ticktext": [day(tick) for tick in ticks],
            "showline": True,
        },
        yaxis={"range": [0, most], "ticksuffix": f" {rows.unit}"},
    )
    return figure


def _names(figure: Figure, curves: pd.DataFrame, most: float, screen: Screen) -> None:
    """Write each plot's name at its line's end, kept apart from its neighbours."""
    ends = curves.drop_duplicates("plot", keep="last").sort_values("total", kind="stable")
    heights = spread(ends["total"].tolist(), [NAME_SHARE * most] * len(ends), 0.0, most)
    for end, height in zip(ends.to_dict("records"), heights, strict=True):
        words = f"plot {end['plot']}" if screen.narrow else f"plot {end['plot']}, {end['treatment']}"
        figure.write(
            x=1,
            xref="paper",
            y=height,
            text=words,
            xanchor="left",
            xshift=6,
            showarrow=False,
            font={"color": screen.tokens["ink"]},
        )
