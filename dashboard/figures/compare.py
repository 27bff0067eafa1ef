"""Treatments side by side: every plot and every mean, garden by garden along the row."""

import textwrap
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, partial
from operator import itemgetter
from typing import Any, NamedTuple

import pandas as pd

from dashboard.figures.marks import anchored, key_shapes, marker, one_line
from dashboard.figures.plain import Figure, Trace, scatter
from dashboard.figures.response import TITLE_ROOM_PX, WHISKERS_IN_COLOUR
from dashboard.figures.response_strip import LABEL_LETTERS
from dashboard.figures.row import Row, columns, headed, ticks
from dashboard.figures.sight import along
from dashboard.figures.stack import Part, Stack, Strip, assemble
from dashboard.figures.template import Screen, blank
from dashboard.figures.titles import LINE_PX, TITLE_PX, label_at, strip_title
from dashboard.numerals import number, with_unit
from dashboard.wording.measures import OutcomeWords
from dashboard.words import COMPARE_WORDS

#: Height of the plot area when wide, and of one garden's line when narrow, pixels.
HEIGHT_PX, GARDEN_PX = 340, 34
#: Room for the scale's numbers above the first garden when narrow, pixels.
NUMBERS_PX = 20
#: Gutter for names and kilometres when narrow, pixels.
NARROW_LEFT = 104
#: Pixels from one treatment's mark to the next within a garden.
APART_PX = {False: 9.0, True: 7.5}
#: Length of the stroke of one plot, pixels.
STROKE_PX = 8.0
#: Names of the plots' traces.
COUNTING, NOT_COUNTING = "plots", "plots that do not count"


@dataclass(frozen=True)
class CompareRows:
    """What the figure draws, west to east and fit to draw.

    `plots` has one row per plot with `value` in the unit shown, its garden's colour and whether it counts;
    `means` one per garden and treatment over the plots that count; `treatments` all, control first.
    """

    gardens: pd.DataFrame
    plots: pd.DataFrame
    means: pd.DataFrame
    treatments: pd.DataFrame
    outcome: OutcomeWords
    row: Row
    chosen: str | None

    @cached_property
    def orders(self) -> dict[str, int]:
        """The order of each treatment."""
        return dict(zip(self.treatments["treatment"], self.treatments["order"].astype(int), strict=True))

    @cached_property
    def reach(self) -> tuple[float, float]:
        """The ends of the scale: round, a little beyond every plot; zero if that is near."""
        low, high = float(self.plots["value"].min()), float(self.plots["value"].max())
        air = 0.06 * max(high - low, 1e-9)
        marks = ticks(low - air, high + air, 5)
        step = marks[1] - marks[0] if len(marks) > 1 else max(high - low, 1.0)
        start = step / 2 * ((low - air) // (step / 2))
        return (0.0 if start < step else start), high + air


def means_of(plots: pd.DataFrame) -> pd.DataFrame:
    """Return the mean of the plots that count, for each garden and treatment."""
    return (
        plots[plots["used"]]
        .groupby(["site", "treatment"], sort=False)
        .agg(value=("value", "mean"), plots=("value", "count"))
        .reset_index()
    )


def compare_figure(rows: CompareRows, screen: Screen) -> Figure:
    """Return plots and means by treatment: wide, columns along the row; narrow, lines down the page."""
    return _lines(rows, screen) if screen.narrow else _columns(rows, screen)


def _beside(rows: CompareRows, screen: Screen) -> dict[str, float]:
    """Return how many pixels each treatment's mark stands beside its garden's middle."""
    middle = (len(rows.orders) - 1) / 2
    return {name: (index - middle) * APART_PX[screen.narrow] for index, name in enumerate(rows.orders)}


def _traces(rows: CompareRows, at: dict[str, float], beside: dict[str, float], screen: Screen) -> list[Any]:
    """Return strokes, crosses, connecting lines and marks; `at` and `beside` count along the row."""
    along, across = ("y", "x") if screen.narrow else ("x", "y")
    colours, names = (
        dict(zip(rows.gardens["site"], rows.gardens[key], strict=True)) for key in ("colour", "name")
    )
    labels = dict(zip(rows.treatments["treatment"], rows.treatments["label"], strict=True))
    outcome = rows.outcome

    def marks(drawn: list[_Drawn], look: Callable[[list[str]], dict[str, Any]], name: str) -> Trace:
        return scatter(
            **{
                along: [at[one.site] + beside[one.treatment] for one in drawn],
                across: [one.value for one in drawn],
            },
            mode="markers",
            marker=look([colours[one.site] for one in drawn]),
            customdata=[one.site for one in drawn],
            text=[
                f"<b>{one.site}</b> {names[one.site]}<br>{labels[one.treatment]}"
                f"<br>{with_unit(one.value, outcome.unit, outcome.digits)}, {one.said}"
                for one in drawn
            ],
            hovertemplate="%{text}<extra></extra>",
            cliponaxis=False,
            name=name,
        )

    traces: list[Any] = _pairs(rows, at, beside, along, across)
    for name, own in _plots(rows.plots).items():
        symbol = "x-thin" if name != COUNTING else "line-ns" if screen.narrow else "line-ew"
        traces.append(marks(own, partial(_stroke, symbol), name))
    scale = 0.8 if screen.narrow else 0.9
    means = _means(rows.means)
    for name, order in rows.orders.items():
        look = partial(marker, order, tokens=screen.tokens, scale=scale)
        traces.append(marks([one for one in means if one.treatment == name], look, f"mean {name}"))
    return traces


class _Drawn(NamedTuple):
    """A plot or a mean as it is drawn, and what is said of it when it is pointed at."""

    site: str
    treatment: str
    value: float
    said: str


def _plots(plots: pd.DataFrame) -> dict[str, list[_Drawn]]:
    """Return the plots by whether they count; those that do come first, and neither group is empty."""
    columns = (plots[name].tolist() for name in ("site", "treatment", "value", "plot", "used"))
    groups: dict[str, list[_Drawn]] = {COUNTING: [], NOT_COUNTING: []}
    for site, treatment, value, plot, is_used in zip(*columns, strict=True):
        said = f"plot {plot}" if is_used else f"plot {plot} does not count"
        groups[COUNTING if is_used else NOT_COUNTING].append(_Drawn(site, treatment, value, said))
    return {name: own for name, own in groups.items() if own}


def _means(means: pd.DataFrame) -> list[_Drawn]:
    columns = (means[name].tolist() for name in ("site", "treatment", "value", "plots"))
    return [
        _Drawn(site, treatment, value, f"mean of {plots} plots")
        for site, treatment, value, plots in zip(*columns, strict=True)
    ]


def _stroke(symbol: str, colours: list[str]) -> dict[str, Any]:
    return {"symbol": symbol, "size": STROKE_PX, "line": {"color": colours, "width": 1.6}}


def _pairs(
    rows: CompareRows,
    at: dict[str, float],
    beside: dict[str, float],
    along: str,
    across: str,
) -> list[Any]:
    """Return a thin line in each garden from the control's mean to the first treatment's.

    Gardens of one colour share a trace: neighbours in a long row do, and every trace takes its time.
    """
    names = list(rows.orders)[:2]
    means = {(one.site, one.treatment): one.value for one in _means(rows.means)}
    paired = [site for site in rows.gardens["site"] if all((site, name) in means for name in names)]
    if len(names) < 2 or len(paired) > WHISKERS_IN_COLOUR:
        return []
    known = rows.gardens[rows.gardens["site"].isin(paired)]
    return [
        scatter(
            **dict(zip((along, across), drawn.values(), strict=True)),
            mode="lines",
            line={"color": colour, "width": 1.2},
            hoverinfo="skip",
            name=" ".join(["pair", *sites]),
        )
        for colour, sites in known.groupby("colour", sort=False)["site"]
        if (
            drawn := one_line(
                ([at[site] + beside[name] for name in names], [means[site, name] for name in names])
                for site in sites
            )
        )
    ]


def _columns(rows: CompareRows, screen: Screen) -> Figure:
    stack = Stack((Strip("plots", HEIGHT_PX),), 8, 30)
    places = columns(rows.row, rows.gardens, screen.plot_width, even=False)
    at = dict(zip(rows.gardens["site"], places, strict=True))
    km = rows.row.length / screen.plot_width
    beside = {name: pixels * km for name, pixels in _beside(rows, screen).items()}
    low, high = rows.reach
    # None at the very foot, and none at the top, where the title stands beside it.
    top = high - TITLE_ROOM_PX / HEIGHT_PX * (high - low)
    values = [value for value in ticks(low, high, 4) if low + 0.02 * (high - low) < value < top]
    shapes, words = _key(rows, stack, screen)
    part = Part(
        "plots",
        {
            "range": [low, high],
            "tickvals": values,
            "ticktext": [number(value, _tick_digits(values)) for value in values],
        },
        _traces(rows, at, beside, screen),
        shapes,
        [
            *strip_title(stack, "plots", rows.outcome.title, _note(rows), screen, wrap=17),
            *_heads(rows, at, screen),
            *words,
        ],
    )
    seen = along(at, rows.row, stack, screen, rows.chosen)
    figure = blank(screen, stack.height, stack.top_margin, stack.bottom_margin, seen)
    return assemble(figure, stack, [part], {"range": [rows.row.low, rows.row.high]})


def _note(rows: CompareRows) -> str:
    """Return what is counted, and where the scale starts unless at zero."""
    low = rows.reach[0]
    if low == 0:
        return rows.outcome.note
    start = COMPARE_WORDS["scale_from"].format(start=number(low, _tick_digits([low])))
    return f"{rows.outcome.note}; {start}"


def _heads(rows: CompareRows, at: dict[str, float], screen: Screen) -> list[dict[str, Any]]:
    """Return the gardens' short names below their columns."""
    common = {"xref": "x", "yref": "paper", "y": 0, "yanchor": "top", "yshift": -6, "xanchor": "center"}
    return [
        common
        | {
            "x": at[site],
            "text": f"<b>{site}</b>",
            "font": {"color": screen.tokens["stamp" if site == rows.chosen else "ink"]},
        }
        for site in headed(rows.gardens["site"].tolist(), rows.chosen, screen.plot_width)
    ]


def _tick_digits(values: list[float]) -> int:
    return 0 if all(value == round(value) for value in values) else 1


def _key(
    rows: CompareRows, stack: Stack, screen: Screen
) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """Return the key in the right gutter: treatments, then what a stroke and a cross are."""
    anchor, tokens = anchored(1, 1, "paper", "paper"), screen.tokens
    shapes: list[dict[str, Any]] = []
    words: list[dict[str, Any]] = []
    columns = (rows.treatments[name].tolist() for name in ("is_control", "order", "label"))
    up = -16.0
    for _, order, label in sorted(zip(*columns, strict=True), key=itemgetter(0)):
        lines = textwrap.wrap(label, LABEL_LETTERS)
        middle = up - (len(lines) - 1) * LINE_PX / 2
        shapes += key_shapes(int(order), anchor, 40, middle, tokens, with_line=False)
        words.append(label_at(anchor, 54, middle, f"<b>{'<br>'.join(lines)}</b>", tokens["ink"]))
        up -= 22 + (len(lines) - 1) * LINE_PX
    stroke = {"color": tokens["ink"], "width": 1.6}
    shapes.append(anchor | {"type": "line", "x0": 36, "x1": 44, "y0": up, "y1": up, "line": stroke})
    words.append(label_at(anchor, 54, up, COMPARE_WORDS["one_plot"], tokens["ink2"]))
    if not rows.plots["used"].all():
        up -= 22
        cross = f"M37,{up - 3} L43,{up + 3} M37,{up + 3} L43,{up - 3}"
        shapes.append(anchor | {"type": "path", "path": cross, "line": stroke})
        words.append(label_at(anchor, 54, up, COMPARE_WORDS["not_used"], tokens["ink2"]))
    return shapes, words


def _lines(rows: CompareRows, screen: Screen) -> Figure:
    count = len(rows.gardens)
    stack = Stack((Strip("plots", count * GARDEN_PX, TITLE_PX + LINE_PX + NUMBERS_PX),), 4, 10)
    at = {site: (index + 0.5) * GARDEN_PX for index, site in enumerate(rows.gardens["site"])}
    low, high = rows.reach
    values = ticks(low, high, 3)
    shapes, heads = _line_heads(rows, at, screen)
    between = {"tickvals": [index * GARDEN_PX for index in range(count + 1)], "showticklabels": False}
    part = Part(
        "plots",
        {"range": [count * GARDEN_PX, 0]} | between,
        _traces(rows, at, _beside(rows, screen), screen),
        shapes,
        [*_line_title(rows, stack, screen), *heads, *_line_numbers(values, stack)],
    )
    figure = blank(screen, stack.height, stack.top_margin, stack.bottom_margin)
    figure.arrange(margin={"l": NARROW_LEFT})
    grid = {"showgrid": True, "gridcolor": screen.tokens["rule"], "showticklabels": False}
    return assemble(figure, stack, [part], {"range": [low, high], "tickvals": values} | grid)


def _line_heads(
    rows: CompareRows, at: dict[str, float], screen: Screen
) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """Return each garden's stake as a shape, and its short name and kilometre as words, at its left."""
    tokens, left = screen.tokens, NARROW_LEFT
    shapes, words = [], []
    columns = (rows.gardens[key] for key in ("site", "position_km", "colour"))
    for site, km, colour in zip(*columns, strict=True):
        anchor = anchored(0, at[site], "paper", "y")
        stake = {"x0": -left, "x1": -left + 5, "y0": -8, "y1": 8, "fillcolor": colour, "line": {"width": 0}}
        shapes.append(anchor | {"type": "rect"} | stake)
        ink = tokens["stamp" if site == rows.chosen else "ink"]
        words.append(label_at(anchor, 11 - left, 0, f"<b>{site}</b>", ink))
        words.append(label_at(anchor, -8, 0, f"{number(km)} km", tokens["ink2"]) | {"xanchor": "right"})
    return shapes, words


def _line_title(rows: CompareRows, stack: Stack, screen: Screen) -> list[dict[str, Any]]:
    """Return the measure's name, and below it what is counted: in one line a narrow screen would cut them."""
    (title,) = strip_title(stack, "plots", rows.outcome.title, "", screen)
    (note,) = strip_title(stack, "plots", "", _note(rows), screen)
    ups = {NUMBERS_PX + LINE_PX: title, NUMBERS_PX: note | {"text": note["text"].strip()}}
    return [
        words | {"yshift": words["yshift"] + up, "xshift": -NARROW_LEFT, "align": "left"}
        for up, words in ups.items()
    ]


def _line_numbers(values: list[float], stack: Stack) -> list[dict[str, Any]]:
    """Return the numbers of the scale, above the first garden."""
    common = {"xref": "x", "yref": "paper", "y": stack.domain("plots")[1], "yanchor": "bottom"}
    return [common | {"x": value, "text": number(value, _tick_digits(values))} for value in values]
