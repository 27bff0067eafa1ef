"""The released answer from west to east: the line with its bands, a mark for each county."""

import math
from dataclasses import dataclass
from typing import Any

import pandas as pd

from dashboard.figures.marks import marker
from dashboard.figures.plain import Figure, Trace, scatter
from dashboard.figures.response import band_traces, mean_line, percent_axis, reach, whiskers, zero_line
from dashboard.figures.row import Row
from dashboard.figures.stack import Part, Stack, Strip, assemble
from dashboard.figures.template import SMALL, Screen, blank
from dashboard.figures.titles import TITLE_PX, strip_title
from dashboard.numerals import number
from dashboard.wording.shared import RESULTS_WORDS
from dashboard.words import GRADIENT_WORDS
from pipeline.words import marked

#: Height of the plot area, pixels: (wide, narrow).
HEIGHT_PX = (330, 260)
#: Kilometres drawn beyond the outermost counties' middles, so that their halves are not cut off.
BEYOND_KM = 30.0
#: Room below for the axis and the name of the reader's county, pixels.
BELOW_PX = 62
_INTERVAL = marked("interval {interval}")


@dataclass(frozen=True)
class ResultRows:
    """What the figure draws: counties with gardens and their colours, a line, and the reader's county.

    `line` has `at`, `percent` and the edges of both bands; `ends` are the outermost counties' middles.
    """

    counties: pd.DataFrame
    line: pd.DataFrame
    order: int
    ends: tuple[float, float]
    title: str
    chosen: dict[str, Any] | None


def results_figure(rows: ResultRows, screen: Screen) -> Figure:
    """Return the figure."""
    above = TITLE_PX if screen.narrow else 0
    stack = Stack((Strip("response", HEIGHT_PX[screen.narrow], above),), 8, BELOW_PX)
    row = Row(rows.ends[0] - BEYOND_KM, rows.ends[1] + BEYOND_KM)
    marks = rows.counties.assign(site=rows.counties["county"], name="")
    span = reach(marks, pd.concat([rows.line, _own_reach(rows)]))
    tokens = screen.tokens
    traces = [
        *band_traces(rows.line, "y", tokens),
        zero_line(row.low, row.high, "y", tokens),
        *(mean_line(rows.line, rows.order, "y", tokens, focus=True) if len(rows.line) else []),
        *whiskers(marks, "axis_km", "y", tokens),
        _county_marks(marks, rows.order, screen),
        *_own(rows, screen),
    ]
    # The title says what is drawn where the figure is narrow; wide, it stands in the left gutter.
    words = [
        *strip_title(
            stack, "response", screen.speech.of(GRADIENT_WORDS, "difference"), rows.title, screen, wrap=12
        )[: 1 if screen.narrow else 2],
        *_own_name(rows, screen),
    ]
    if screen.narrow:
        words[0]["text"] = screen.speech.of(GRADIENT_WORDS, "difference")
    part = Part(
        "response",
        percent_axis(span, stack.pixels("response"), short=screen.narrow, speech=screen.speech),
        traces,
        [],
        words,
    )
    figure = blank(screen, stack.height, stack.top_margin, stack.bottom_margin)
    ticks = row.ticks()[:: 2 if screen.narrow else 1]
    axis = {
        "range": [row.low, row.high],
        "showticklabels": True,
        "tickvals": ticks,
        "ticktext": [number(km) for km in ticks],
        "title": {
            "text": screen.speech.of(RESULTS_WORDS, "axis"),
            "font": {"size": SMALL, "color": tokens["ink2"]},
            "standoff": 24,
        },
    }
    return assemble(figure, stack, [part], axis)


def _own_reach(rows: ResultRows) -> pd.DataFrame:
    if rows.chosen is None:
        return pd.DataFrame({"new_low": [], "new_high": []}, dtype="float64")
    return pd.DataFrame(
        {"new_low": [rows.chosen["expected_low"]], "new_high": [rows.chosen["expected_high"]]},
        dtype="float64",
    )


def _county_marks(marks: pd.DataFrame, order: int, screen: Screen) -> Trace:
    speech = screen.speech
    words = [
        "<br>".join(
            (
                f"<b>{speech.county(county)}</b>",
                f"{speech.gardens(int(gardens))}, {speech.more_or_less(percent)}",
                *(() if math.isnan(low) else (speech(_INTERVAL, interval=speech.between(low, high)),)),
            )
        )
        for county, gardens, percent, low, high in zip(
            *(marks[name] for name in ("county", "gardens", "percent", "percent_low", "percent_high")),
            strict=True,
        )
    ]
    return scatter(
        x=marks["axis_km"].tolist(),
        y=marks["percent"].tolist(),
        mode="markers",
        marker=marker(order, marks["colour"].tolist(), screen.tokens, scale=0.8 if screen.narrow else 1.0),
        text=words,
        hovertemplate="%{text}<extra></extra>",
        name="counties",
    )


def _own(rows: ResultRows, screen: Screen) -> list[Trace]:
    """Return the reader's county as an upright bar over what 19 of 20 new gardens there would see."""
    own, tokens = rows.chosen, screen.tokens
    if own is None or pd.isna(own["expected_low"]):
        return []
    at = own["middle_km"]
    return [
        scatter(
            x=[at, at],
            y=[own["expected_low"], own["expected_high"]],
            mode="lines",
            line={"color": tokens["stamp"], "width": 3.5},
            hoverinfo="skip",
            name="new garden here",
        ),
        scatter(
            x=[at],
            y=[own["expected"]],
            mode="markers",
            marker={"color": tokens["stamp"], "size": 13, "line": {"color": tokens["paper"], "width": 1.5}},
            hoverinfo="skip",
            name="expected here",
        ),
    ]


def _own_name(rows: ResultRows, screen: Screen) -> list[dict[str, Any]]:
    if rows.chosen is None:
        return []
    return [
        {
            "xref": "x",
            "yref": "paper",
            "x": rows.chosen["middle_km"],
            "y": 0,
            "yanchor": "top",
            "yshift": -20,
            "text": f"<b>{screen.speech.county(rows.chosen['county'])}</b>",
            "font": {"color": screen.tokens["stamp"]},
        }
    ]
