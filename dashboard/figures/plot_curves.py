"""The plots of one garden: weight per plant adding up through the season, one line a plot."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

from dashboard.figures.days import days_axis
from dashboard.figures.marks import line, marker
from dashboard.figures.plain import Figure, scatter
from dashboard.figures.row import spread
from dashboard.figures.template import Screen, blank
from dashboard.plot_curves import PlotCurve

#: Height of the figure and its gutters, pixels.
HEIGHT_PX, LEFT_PX, RIGHT_PX, NARROW_RIGHT_PX = 300, 56, 216, 74
#: Least share of the scale between two names at the lines' ends, so that none stands over another.
NAME_SHARE = 0.062


@dataclass(frozen=True)
class PlotCurves:
    """What the figure draws: curves of totals per plant in `unit`; `colour` is the garden's."""

    curves: Sequence[PlotCurve]
    colour: str
    unit: str


def plot_curves_figure(rows: PlotCurves, screen: Screen) -> Figure:
    """Return the figure; each line ends at its plot's name, and its shape and dash are its treatment's."""
    figure = blank(screen, HEIGHT_PX, 14, 30)
    figure.arrange(margin={"l": LEFT_PX, "r": NARROW_RIGHT_PX if screen.narrow else RIGHT_PX})
    curves = sorted(rows.curves, key=lambda curve: (curve.order, curve.plot))
    for own in curves:
        figure.add(
            scatter(
                x=[picked.isoformat() for picked in own.days],
                y=own.totals,
                name=f"plot {own.plot}",
                mode="lines+markers",
                line=line(own.order, rows.colour),
                marker=marker(own.order, rows.colour, screen.tokens, scale=0.62),
                hovertemplate=f"plot {own.plot}, {own.treatment}<br>%{{x|%b %-d}}: %{{y:.2f}} "
                f"{rows.unit}<extra></extra>",
            )
        )
    most = max(0.1, *(total for curve in curves for total in curve.totals)) * 1.06
    _names(figure, curves, most, screen)
    first, last = min(curve.days[0] for curve in curves), max(curve.days[-1] for curve in curves)
    air = max((last - first) * 0.02, timedelta(days=1))
    figure.arrange(
        xaxis=days_axis(first, last, air, screen),
        yaxis={"range": [0, most], "ticksuffix": f" {rows.unit}"},
    )
    return figure


def _names(figure: Figure, curves: Sequence[PlotCurve], most: float, screen: Screen) -> None:
    """Write each plot's name at its line's end, kept apart from its neighbours."""
    ends = sorted(curves, key=lambda curve: curve.end)
    heights = spread([curve.end for curve in ends], [NAME_SHARE * most] * len(ends), 0.0, most)
    for curve, height in zip(ends, heights, strict=True):
        words = f"plot {curve.plot}" if screen.narrow else f"plot {curve.plot}, {curve.treatment}"
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
