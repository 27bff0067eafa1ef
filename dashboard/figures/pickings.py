"""The weights of one plot through the season, beside its twins, with the row in question ringed."""

from dataclasses import dataclass

import pandas as pd

from dashboard.figures.days import days_axis
from dashboard.figures.plain import Figure, scatter
from dashboard.figures.template import Screen, blank
from dashboard.numerals import number

#: Height of the figure and its gutters, pixels: wide, narrow.
HEIGHT_PX, LEFT_PX, RIGHT_PX = 250, 56, 118


@dataclass(frozen=True)
class PickingRows:
    """What the figure draws: pickings with plot, date and weight in the unit shown; the row asked about."""

    pickings: pd.DataFrame
    plot: str
    colour: str
    unit: str
    asked_on: pd.Timestamp
    asked_weight: float | None
    label: str


def pickings_figure(rows: PickingRows, screen: Screen) -> Figure:
    """Return the figure: the plot thick, its twins dotted, the row in question ringed or its day marked."""
    tokens = screen.tokens
    figure = blank(screen, HEIGHT_PX, 16, 30)
    figure.arrange(margin={"l": LEFT_PX, "r": 16 if screen.narrow else RIGHT_PX})
    for plot, own in rows.pickings.sort_values("date").groupby("plot", sort=True):
        is_own = plot == rows.plot
        figure.add(
            scatter(
                x=own["date"],
                y=own["weight"],
                name=f"plot {plot}",
                mode="lines+markers",
                line={
                    "color": rows.colour,
                    "width": 2.6 if is_own else 1.6,
                    "dash": None if is_own else "2px,3px",
                },
                marker={
                    "color": rows.colour,
                    "size": 9 if is_own else 6,
                    "line": {"color": tokens["paper"], "width": 1.2},
                },
                hovertemplate=f"plot {plot}<br>%{{x|%b %-d}}: %{{y:.1f}} {rows.unit}<extra></extra>",
            )
        )
    _mark(figure, rows, screen)
    top = max([*rows.pickings["weight"].dropna(), rows.asked_weight or 0.0, 0.1])
    first = min([*rows.pickings["date"], rows.asked_on])
    last = max([*rows.pickings["date"], rows.asked_on])
    air = max((last - first) * 0.04, pd.Timedelta(days=2))
    figure.arrange(
        xaxis=days_axis(first, last, air, screen),
        yaxis={"range": [0, top * 1.12], "ticksuffix": f" {rows.unit}"},
    )
    return figure


def _mark(figure: Figure, rows: PickingRows, screen: Screen) -> None:
    tokens = screen.tokens
    if rows.asked_weight is None:
        figure.outline(
            type="line",
            x0=rows.asked_on,
            x1=rows.asked_on,
            yref="paper",
            y0=0,
            y1=1,
            line={"color": tokens["madder"], "width": 2},
        )
        y, yref = 1.0, "paper"
    else:
        figure.add(
            scatter(
                x=[rows.asked_on],
                y=[rows.asked_weight],
                name="asked",
                mode="markers",
                marker={
                    "symbol": "circle-open",
                    "size": 24,
                    "color": tokens["madder"],
                    "line": {"width": 2.2, "color": tokens["madder"]},
                },
                hovertemplate=f"{rows.label}<br>{number(rows.asked_weight, 1)} {rows.unit}<extra></extra>",
            )
        )
        y, yref = rows.asked_weight, "y"
    middle = rows.pickings["date"].min() + (rows.pickings["date"].max() - rows.pickings["date"].min()) / 2
    is_late = rows.asked_on > middle
    figure.write(
        x=rows.asked_on,
        y=y,
        yref=yref,
        text=f"<b>{rows.label}</b>",
        showarrow=False,
        xanchor="right" if is_late else "left",
        xshift=-18 if is_late else 18,
        font={"color": tokens["ink"]},
    )
