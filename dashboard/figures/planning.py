"""Figures of the plan page: the chance to see a difference, and where the next garden helps."""

from dataclasses import dataclass
from typing import Any

import pandas as pd

from dashboard.figures import crowd
from dashboard.figures.plain import Figure, scatter
from dashboard.figures.row import Row
from dashboard.figures.template import Screen, blank
from dashboard.numerals import count, number, small_percent

#: Heights, pixels.
POWER_PX, NEXT_PX = 280, 220
#: Share of the plot that a garden's stake on the ground line takes.
STAKE_SHARE = 0.08


@dataclass(frozen=True)
class PowerRows:
    """Chance to see the difference by number of gardens: gardens, power; and the plan that is needed."""

    table: pd.DataFrame
    gardens: int
    power: float
    asked: float


def power_figure(rows: PowerRows, screen: Screen) -> Figure:
    """Return the curve of power over gardens, with the needed plan marked and named."""
    tokens = screen.tokens
    figure = blank(screen, POWER_PX, 16, 52)
    figure.arrange(margin={"l": 56, "r": 24})
    figure.add(
        scatter(
            x=rows.table["gardens"],
            y=100 * rows.table["power"],
            mode="lines+markers",
            name="power",
            line={"color": tokens["ink"], "width": 2.5},
            marker={"color": tokens["ink"], "size": 6},
            hovertemplate="%{x} gardens<br>%{y:.0f}%<extra></extra>",
        )
    )
    figure.outline(
        type="line",
        xref="paper",
        x0=0,
        x1=1,
        y0=100 * rows.asked,
        y1=100 * rows.asked,
        line={"color": tokens["ink3"], "width": 1, "dash": "2px,3px"},
    )
    figure.add(
        scatter(
            x=[rows.gardens],
            y=[100 * rows.power],
            mode="markers",
            name="needed",
            marker={"color": tokens["paper"], "size": 14, "line": {"color": tokens["stamp"], "width": 3}},
            hoverinfo="skip",
        )
    )
    last = max(float(rows.table["gardens"].max()), rows.gardens * 1.05)
    figure.write(
        x=rows.gardens,
        y=100 * rows.power,
        text=f"<b>{count(rows.gardens, 'garden', 'gardens')}</b>",
        showarrow=False,
        xanchor="left" if rows.gardens < last * 0.7 else "right",
        yanchor="top",
        xshift=12 if rows.gardens < last * 0.7 else -12,
        yshift=-8,
        font={"color": tokens["ink"]},
    )
    figure.arrange(
        xaxis={"range": [0, last * 1.03], "showline": True, "title": {"text": ""}, "ticksuffix": ""},
        yaxis={"range": [0, 104], "ticksuffix": "%"},
    )
    figure.write(
        x=1, y=0, xref="paper", yref="paper", text="gardens", showarrow=False, xanchor="right", yshift=-44
    )
    return figure


@dataclass(frozen=True)
class NextRows:
    """How much narrower the slope's error gets (narrower_pct) by position_km, and the gardens there are."""

    options: pd.DataFrame
    gardens: pd.DataFrame
    row: Row
    best_km: float


def kilometres(row: Row, screen: Screen) -> dict[str, Any]:
    """Return the horizontal axis of a figure over the row by itself, with its numbers."""
    ticks = row.ticks()[:: 2 if screen.narrow else 1]
    return {
        "range": [row.low, row.high],
        "tickvals": ticks,
        "ticktext": [number(tick) for tick in ticks],
        "showline": True,
    }


def next_figure(rows: NextRows, screen: Screen) -> Figure:
    """Return the gain by place over the row's own axis, gardens as stakes on the ground line."""
    tokens = screen.tokens
    figure = blank(screen, NEXT_PX, 20, 40)
    inside = rows.options[~rows.options["beyond"]]
    figure.add(
        scatter(
            x=rows.options["position_km"],
            y=rows.options["narrower_pct"],
            mode="lines",
            name="beyond",
            line={"color": tokens["ink2"], "width": 1.6, "dash": "2px,3px"},
            hovertemplate="%{x:.0f} km east<br>%{y:.2~r}% narrower<extra></extra>",
        )
    )
    figure.add(
        scatter(
            x=inside["position_km"],
            y=inside["narrower_pct"],
            mode="lines",
            name="inside",
            line={"color": tokens["ink"], "width": 2.6},
            hovertemplate="%{x:.0f} km east<br>%{y:.2~r}% narrower<extra></extra>",
        )
    )
    figure.arrange(**_stakes(rows, screen))
    best = rows.options[rows.options["position_km"] == rows.best_km].iloc[0]
    is_east = rows.row.fraction(rows.best_km) > 0.5
    figure.write(
        x=rows.best_km,
        y=best["narrower_pct"],
        text=f"<b>{small_percent(best['narrower_pct'])}</b> at {number(rows.best_km)} km",
        showarrow=False,
        xanchor="right" if is_east else "left",
        yshift=10,
        font={"color": tokens["ink"]},
    )
    # Among thousands of gardens one more helps little: its axis ends where the best place lies, however low.
    most = float(rows.options["narrower_pct"].max())
    most = most if most > 0 else 1.0
    gains = {"range": [0, most * 1.2], "ticksuffix": "%", "ticklabelstandoff": 2 if screen.narrow else 8}
    figure.arrange(xaxis=kilometres(rows.row, screen), yaxis=gains)
    return figure


def _stakes(rows: NextRows, screen: Screen) -> dict[str, Any]:
    """Return the gardens on the ground line, as shapes of a layout; of a crowd, as one image of it."""
    if crowd.is_crowd(rows.gardens):
        height = round(STAKE_SHARE * NEXT_PX)
        span = (rows.row.low, rows.row.high)
        field = crowd.Field(span, (0.0, 1.0), screen.plot_width, height, (0.0, STAKE_SHARE))
        ground = rows.gardens.assign(ground=0.0)
        strokes = crowd.uprights(ground, "position_km", "ground", field, height, 1.5)
        # Under the curve, which comes down to them between the ends of a long row.
        return {"images": [crowd.picture(strokes, field) | {"layer": "below"}]}
    places = zip(rows.gardens["position_km"], rows.gardens["colour"], strict=True)
    ends = {"type": "line", "xref": "x", "yref": "paper", "y0": 0, "y1": STAKE_SHARE}
    return {
        "shapes": [
            ends | {"x0": km, "x1": km, "line": {"color": colour, "width": 5}} for km, colour in places
        ]
    }
