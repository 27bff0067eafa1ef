"""The response: what the treatment did in each garden, where the average lies, where a new garden would."""

import math
from typing import Any

import numpy as np
import pandas as pd

from dashboard.differences import PERCENT, Unit
from dashboard.figures.marks import DASHES, WIDTHS, line, marker, style
from dashboard.figures.plain import Trace, scatter
from dashboard.figures.row import ticks
from dashboard.figures.template import Tokens
from dashboard.speech import ENGLISH, Speech
from dashboard.words import GRADIENT_WORDS

#: Up to this many gardens each whisker is a trace of its own, as a trace has one colour; beyond, one in grey.
WHISKERS_IN_COLOUR = 60
#: Letters of a number that a narrow screen's gutter holds, and pixels from there to the plot.
SHORT_LETTERS, SHORT_STANDOFF_PX = 4, 4
#: Pixels at a strip's top that its title takes.
TITLE_ROOM_PX = 28
#: Marks along a mean line that say which treatment it is, as fractions of its length.
MARKS_ALONG = (0.09, 0.5, 0.91)
#: Share of the whiskers' outer ends that the strip reaches at least; a few very long ones may run out of it.
REACH = 0.9


def reach(marks: pd.DataFrame, bands: pd.DataFrame) -> tuple[float, float]:
    """Return the percents that the strip spans: zero, every mark, every band and most whiskers, with air."""
    ends = [0.0]
    for column in ("percent", "mean_low", "mean_high", "new_low", "new_high"):
        for frame in (marks, bands):
            if column in frame:
                ends += [end for end in frame[column].tolist() if not math.isnan(end)]
    for column, share in (("percent_low", 1 - REACH), ("percent_high", REACH)):
        if column in marks and marks[column].notna().any():
            ends.append(float(np.nanquantile(marks[column], share)))
    low, high = min(ends), max(ends)
    air = 0.06 * max(high - low, 1.0)
    return low - air, high + air


def runs_out(marks: pd.DataFrame, span: tuple[float, float]) -> bool:
    """Return whether a whisker goes on beyond the strip."""
    return bool((marks["percent_low"] < span[0]).any() or (marks["percent_high"] > span[1]).any())


def percent_axis(
    span: tuple[float, float], height: int, *, short: bool, speech: Speech = ENGLISH, unit: Unit = PERCENT
) -> dict[str, Any]:
    """Return an axis of differences, `height` pixels high, that says what more and less mean.

    `short` writes +20% instead, and 120% without its plus, which the narrow gutter would cut. Wide, the
    strip's title stands beside its top, so no number does.
    """
    room = 0 if short else TITLE_ROOM_PX / height * (span[1] - span[0])
    values = [value for value in ticks(*span, 3 if short else 4) if value < span[1] - room]
    if 0.0 not in values:
        values = sorted([*values, 0.0])
    same = f"<b>{speech.of(GRADIENT_WORDS, 'same')}</b>"
    said = unit.signed if short else speech.more_or_less if unit.is_ratio else unit.at_axis
    words = [said(value) for value in values]
    if short and max(map(len, words)) > SHORT_LETTERS:
        words = [word.removeprefix("+") for word in words]
    words = [same if value == 0 else word for value, word in zip(values, words, strict=True)]
    axis = {"range": list(span), "tickvals": values, "ticktext": words}
    return axis | {"ticklabelstandoff": SHORT_STANDOFF_PX} if short else axis


def _edge(x: list[float], y: list[float], axis: str, tokens: Tokens, name: str) -> Trace:
    return scatter(
        x=x,
        y=y,
        mode="lines",
        line={"color": tokens["ink2"], "width": 1.1, "dash": "1.5px,3px"},
        hoverinfo="skip",
        yaxis=axis,
        name=name,
    )


def band_traces(band: pd.DataFrame, axis: str, tokens: Tokens) -> list[Trace]:
    """Return the range for a new garden with dotted edges, and on it the mean's range as uninked paper.

    `band` has `at`, `percent` and the four edges; rows without an edge leave that range out.
    """
    paper = {
        "shape": "|",
        "size": 4,
        "solidity": 0.25,
        "fgcolor": tokens["rule"],
        "bgcolor": tokens["band"],
        "fillmode": "replace",
    }
    traces: list[Trace] = []
    if new := _known(band, "at", "new_low", "new_high"):
        at, low, high = map(list, zip(*new, strict=True))
        look = {"fillcolor": tokens["band2"], "line": {"width": 0}}
        traces.append(_area(at, low, high, axis, "new garden", look))
        traces.append(_edge(at, low, axis, tokens, "new garden, lower"))
        traces.append(_edge(at, high, axis, tokens, "new garden, upper"))
    if mean := _known(band, "at", "mean_low", "mean_high"):
        at, low, high = map(list, zip(*mean, strict=True))
        look = {"fillpattern": paper, "line": {"color": tokens["ink2"], "width": 0.8}}
        traces.append(_area(at, low, high, axis, "mean band", look))
    return traces


def _known(band: pd.DataFrame, *names: str) -> list[tuple[float, ...]]:
    """Return these columns row by row, without the rows that lack one of them."""
    rows = zip(*(band[name].tolist() for name in names), strict=True)
    return [row for row in rows if not any(map(math.isnan, row))]


def _area(
    at: list[float], low: list[float], high: list[float], axis: str, name: str, look: dict[str, Any]
) -> Trace:
    return scatter(
        x=[*at, *at[::-1], at[0]],
        y=[*low, *high[::-1], low[0]],
        mode="lines",
        fill="toself",
        hoverinfo="skip",
        yaxis=axis,
        name=name,
        **look,
    )


def zero_line(low: float, high: float, axis: str, tokens: Tokens) -> Trace:
    """Return the line of no difference; a trace, since bands hide an axis's own zero line."""
    return scatter(
        x=[low, high],
        y=[0, 0],
        mode="lines",
        line={"color": tokens["ink"], "width": 1.5},
        hoverinfo="skip",
        yaxis=axis,
        name="same",
    )


def line_beside(band: pd.DataFrame, axis: str, tokens: Tokens) -> Trace:
    """Return a straight line, thin, for a curve to be compared with."""
    return scatter(
        x=band["at"].tolist(),
        y=band["percent"].tolist(),
        mode="lines",
        line={"color": tokens["ink2"], "width": 1.2},
        hoverinfo="skip",
        yaxis=axis,
        name="straight",
    )


def mean_line(band: pd.DataFrame, order: int, axis: str, tokens: Tokens, *, focus: bool) -> list[Trace]:
    """Return a treatment's mean along the axis in ink, marked on the line where it is not the focus."""
    at, percent = band["at"].tolist(), band["percent"].tolist()
    stroke = (
        {"color": tokens["ink"], "width": WIDTHS[1], "dash": DASHES[style(order)]}
        if focus
        else line(order, tokens["ink"]) | {"width": WIDTHS[2]}
    )
    traces = [
        scatter(
            x=at, y=percent, mode="lines", line=stroke, hoverinfo="skip", yaxis=axis, name=f"mean {order}"
        )
    ]
    if not focus:
        x = [at[0] + share * (at[-1] - at[0]) for share in MARKS_ALONG]
        traces.append(
            scatter(
                x=x,
                y=np.interp(x, at, percent).tolist(),
                mode="markers",
                marker=marker(order, tokens["ink"], tokens, scale=0.75),
                hoverinfo="skip",
                yaxis=axis,
                name=f"mark {order}",
            )
        )
    return traces


def whiskers(marks: pd.DataFrame, x: str, axis: str, tokens: Tokens) -> list[Trace]:
    """Return each garden's own interval as a thin upright line in the garden's colour."""
    columns = (marks[name].tolist() for name in ("site", x, "percent_low", "percent_high", "colour"))
    have = [row for row in zip(*columns, strict=True) if not (math.isnan(row[2]) or math.isnan(row[3]))]
    common = {"mode": "lines", "hoverinfo": "skip", "yaxis": axis}
    if len(have) > WHISKERS_IN_COLOUR:
        return [
            scatter(
                x=[value for _, place, *_ in have for value in (place, place, None)],
                y=[value for _, _, low, high, _ in have for value in (low, high, None)],
                line={"color": tokens["ink3"], "width": 1.1},
                name="intervals",
                **common,
            )
        ]
    return [
        scatter(
            x=[place, place],
            y=[low, high],
            line={"color": colour, "width": 1.2},
            name=f"interval {site}",
            **common,
        )
        for site, place, low, high, colour in have
    ]


def garden_effects(
    marks: pd.DataFrame, x: str, order: int, axis: str, tokens: Tokens, scale: float, unit: Unit = PERCENT
) -> Trace:
    """Return the gardens' own differences in their colours, by the treatment's shape."""
    return scatter(
        x=marks[x].tolist(),
        y=marks["percent"].tolist(),
        mode="markers",
        marker=marker(order, marks["colour"].tolist(), tokens, scale=scale),
        customdata=marks["site"].tolist(),
        text=[_hover(*values, unit=unit) for values in _columns(marks)],
        hovertemplate="%{text}<extra></extra>",
        yaxis=axis,
        name=f"gardens {order}",
    )


def _columns(marks: pd.DataFrame) -> Any:
    names = ("site", "name", "percent", "percent_low", "percent_high")
    return zip(*(marks[name] for name in names), strict=True)


def _hover(site: str, name: str, percent: float, low: float, high: float, *, unit: Unit) -> str:
    text = f"<b>{site}</b> {name}<br>{unit.said(percent)}"
    return text if math.isnan(low) or math.isnan(high) else f"{text}<br>interval {unit.between(low, high)}"
