"""A choice: words in a line, each a link to the same page with that choice made."""

from collections.abc import Sequence
from typing import Any

from dash import html

from dashboard.components.attributes import attributes
from dashboard.components.mark import key, link
from dashboard.figures.template import Screen
from dashboard.selection import Selection
from dashboard.wording.measures import OUTCOMES
from dashboard.words import COMPARE_WORDS


def choice(legend: str, options: Sequence[tuple[Any, str]], chosen: int | None) -> html.Div:
    """Return links as (what stands there, href) behind a legend, the one at `chosen` marked as current."""
    links = [
        link(what, href, current="true" if index == chosen else None, className="option")
        for index, (what, href) in enumerate(options)
    ]
    return html.Div(
        [html.Span(legend, className="legend"), html.Ul([html.Li(one) for one in links])],
        className="choice",
        role="group",
        **attributes(aria_label=legend),
    )


def measure_choice(selection: Selection) -> html.Div:
    """Return the measures that the page can show, the one shown marked."""
    outcomes = list(selection.outcomes)
    options = [
        (OUTCOMES[outcome].name, selection.address.choosing(outcome=outcome).href) for outcome in outcomes
    ]
    return choice(COMPARE_WORDS["measure"], options, outcomes.index(selection.outcome))


def treatment_choice(legend: str, selection: Selection, screen: Screen) -> html.Div:
    """Return the treatments compared with the control, each with its key, the one in focus marked."""
    compared = selection.compared
    columns = ("treatment", "order", "label")
    options: list[tuple[Any, str]] = [
        ([key(int(order), screen.tokens), label], selection.address.choosing(treatment=name).href)
        for name, order, label in zip(*(compared[column] for column in columns), strict=True)
    ]
    return choice(legend, options, compared["treatment"].tolist().index(selection.treatment))
