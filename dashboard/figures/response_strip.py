"""The strip of the response, with each treatment named at its line."""

import textwrap
from collections.abc import Callable, Mapping
from typing import Any

import pandas as pd

from dashboard.figures import crowd, response, titles
from dashboard.figures.gradient_rows import GradientRows
from dashboard.figures.marks import anchored, key_shapes
from dashboard.figures.stack import Part, Stack
from dashboard.figures.template import Screen
from dashboard.words import GRADIENT_WORDS

#: Height of one row of the key above the strip on a narrow screen, pixels.
KEY_ROW_PX = 22
#: Pixels of the right gutter that the readout of the chosen garden takes at the strip's top.
READOUT_PX = 46
#: Pixels from the plot's edge to a key's middle, and to its label.
KEY_RIGHT, LABEL_RIGHT = 22, 42
#: Letters that fit behind a key in the right gutter.
LABEL_LETTERS = 18
#: Pixels across a figure on the narrowest screen that pages are made for: 320, less its margins.
NARROWEST_PX = 288
#: Pixels from a key's left end to its label on a narrow screen, and those of a letter there.
KEY_LABEL_PX, LETTER_PX = 34, 7


def key_rows(treatments: pd.DataFrame, screen: Screen) -> list[list[tuple[int | None, str, int]]]:
    """Return the key of a narrow screen as rows of (order, label, pixels from the left); none when wide.

    It fits the narrowest screen. The rest of a label longer than a row stands below, without an order.
    """
    if not screen.narrow:
        return []
    rows: list[list[tuple[int | None, str, int]]] = [[]]
    left = 0
    for order, label in zip(treatments["order"].astype(int), treatments["label"], strict=True):
        first, *rest = textwrap.wrap(label, (NARROWEST_PX - KEY_LABEL_PX) // LETTER_PX)
        needs = KEY_LABEL_PX + 10 + LETTER_PX * len(first)
        if rows[-1] and (rest or left + needs > NARROWEST_PX):
            rows.append([])
            left = 0
        rows[-1].append((order, first, left))
        rows += [[(None, line, 0)] for line in rest]
        left = NARROWEST_PX if rest else left + needs
    return rows


def response_part(rows: GradientRows, stack: Stack, screen: Screen) -> Part:
    """Return the strip: bands and lines once the trial is closed, the gardens' own differences always."""
    tokens, axis = screen.tokens, stack.axis("response")
    orders = _orders(rows.treatments)
    bands = _bands(rows)
    focus = bands.get(rows.focus, rows.bands.iloc[:0])
    marks, span = _marks(rows), _reach(rows)
    traces: list[Any] = [
        *response.band_traces(focus, axis, tokens),
        response.zero_line(rows.span.low, rows.span.high, axis, tokens),
    ]
    for name, band in bands.items():
        if name != rows.focus:
            traces += response.mean_line(band, orders[name], axis, tokens, focus=False)
    if len(rows.straight):
        traces.append(response.line_beside(rows.straight, axis, tokens))
    if len(focus):
        traces += response.mean_line(focus, orders[rows.focus], axis, tokens, focus=True)
    shown = {name: order for name, order in orders.items() if name != rows.focus and not rows.is_closed}
    others = {order: rows.effects[rows.effects["treatment"] == name] for name, order in shown.items()}
    images = []
    if crowd.is_crowd(marks):
        field = crowd.field_of(stack, "response", screen, rows.span, span)
        images = [crowd.picture(_crowd(others | {orders[rows.focus]: marks}, field, screen), field)]
    else:
        for order, effects in others.items():
            traces.append(response.garden_effects(effects, "x", order, axis, tokens, 0.7, rows.unit))
        scale = 0.8 if screen.narrow else 1.0
        traces += response.whiskers(marks, "x", axis, tokens)
        traces.append(response.garden_effects(marks, "x", orders[rows.focus], axis, tokens, scale, rows.unit))
    shapes, labels = (_key if screen.narrow else _gutter)(rows, bands, span, stack, screen)
    return Part(
        "response",
        response.percent_axis(span, stack.pixels("response"), short=screen.narrow, unit=rows.unit),
        traces,
        shapes,
        labels,
        images,
    )


def heights_of(rows: GradientRows, stack: Stack) -> dict[str, float]:
    """Return how far below the figure's upper edge each garden's mark stands in this strip, pixels."""
    low, high = _reach(rows)
    per_percent = stack.pixels("response") / (high - low)
    marks = _marks(rows)
    down = stack.top("response") + (high - marks["percent"]) * per_percent
    return dict(zip(marks["site"], down.round(1), strict=True))


def _marks(rows: GradientRows) -> pd.DataFrame:
    return rows.effects[rows.effects["treatment"] == rows.focus]


def _bands(rows: GradientRows) -> dict[str, pd.DataFrame]:
    known = set(rows.treatments["treatment"])
    return {str(name): band for name, band in rows.bands.groupby("treatment") if name in known}


def _reach(rows: GradientRows) -> tuple[float, float]:
    """Return the percents that the strip spans."""
    bands = _bands(rows)
    lines = [band[["at", "percent"]] for band in bands.values()]
    focus = bands.get(rows.focus, rows.bands.iloc[:0])
    return response.reach(_marks(rows) if rows.is_closed else rows.effects, pd.concat([focus, *lines]))


def _crowd(effects: Mapping[int, pd.DataFrame], field: crowd.Field, screen: Screen) -> str:
    """Return the marks of the treatments by their order, the last on top; whiskers would hide them all."""
    size = crowd.mark_px(screen)
    return "".join(
        crowd.dots(rows, "x", "percent", field, size, order, opacity=0.6) for order, rows in effects.items()
    )


def _orders(treatments: pd.DataFrame) -> dict[str, int]:
    return dict(zip(treatments["treatment"], treatments["order"].astype(int), strict=True))


def _key(
    rows: GradientRows,
    bands: dict[str, pd.DataFrame],
    span: tuple[float, float],
    stack: Stack,
    screen: Screen,
) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """Return the strip's title and, between it and the strip, the key of the treatments."""
    del span
    keys = key_rows(rows.treatments, screen)
    title = titles.strip_title(stack, "response", GRADIENT_WORDS["difference"], "", screen)
    for note in title:
        note["yshift"] += KEY_ROW_PX * len(keys)
    anchor = anchored(0, stack.domain("response")[1], "paper", "paper")
    shapes, labels = [], title
    for number, row in enumerate(reversed(keys)):
        up = KEY_ROW_PX * number + 12
        for order, label, left in row:
            edge = left - screen.gutters[0]
            if order is not None:
                shapes += key_shapes(order, anchor, edge + 14, up, screen.tokens, with_line=bool(bands))
            labels.append(titles.label_at(anchor, edge + KEY_LABEL_PX, up, label, screen.tokens["ink"]))
    return shapes, labels


def _gutter(
    rows: GradientRows,
    bands: dict[str, pd.DataFrame],
    span: tuple[float, float],
    stack: Stack,
    screen: Screen,
) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """Return the strip's title, and in the right gutter the lines' names, each led to its line's end."""
    tokens, height = screen.tokens, stack.pixels("response")
    anchor = anchored(1, stack.domain("response")[0], "paper", "paper")

    def up(percent: float) -> float:
        return (percent - span[0]) / (span[1] - span[0]) * height

    items = _names(rows, bands, up, float(height))
    heights = titles.gutter_places(
        [end for end, _, _ in items], [text.count("<br>") + 1 for _, text, _ in items], 0, height - READOUT_PX
    )
    # Lines end at the easternmost garden, short of the plot's edge.
    last = max((band["at"].iloc[-1] for band in bands.values()), default=rows.span.high)
    short = (1 - rows.span.fraction(last)) * screen.plot_width
    shapes: list[dict[str, Any]] = []
    labels = titles.strip_title(
        stack, "response", GRADIENT_WORDS["difference"], rows.against, screen, wrap=13
    )
    for (end, text, order), at in zip(items, heights, strict=True):
        if bands:
            stop = KEY_RIGHT - 15 if order is not None else LABEL_RIGHT - 27
            shapes.append(titles.leader(anchor, (3 - short, end), (stop, at), tokens))
        if order is None:
            labels.append(titles.label_at(anchor, 18, at, text, tokens["ink2"]))
        else:
            shapes += key_shapes(order, anchor, KEY_RIGHT, at, tokens, with_line=bool(bands))
            labels.append(titles.label_at(anchor, LABEL_RIGHT, at, f"<b>{text}</b>", tokens["ink"]))
    return shapes, labels


def _names(
    rows: GradientRows, bands: dict[str, pd.DataFrame], up: Callable[[float], float], top: float
) -> list[tuple[float, str, int | None]]:
    """Return (wanted height, words, order) for each line and for the dotted edge, which has no order.

    A treatment without a line is named from the top down.
    """
    items: list[tuple[float, str, int | None]] = []
    columns = (rows.treatments[key] for key in ("treatment", "order", "label"))
    for name, order, label in zip(*columns, strict=True):
        end = up(bands[name]["percent"].iloc[-1]) if name in bands else top
        items.append((end, "<br>".join(textwrap.wrap(label, LABEL_LETTERS)), int(order)))
    focus = bands.get(rows.focus)
    if focus is not None and focus["new_high"].notna().all():
        words = "<br>".join(textwrap.wrap(GRADIENT_WORDS["new_gardens"], LABEL_LETTERS + 3))
        items.append((up(focus["new_high"].iloc[-1]), words, None))
    return items
