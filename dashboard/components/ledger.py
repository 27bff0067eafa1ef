"""Ledgers: a mark, what there is to say, and at most one thing to do."""

from collections.abc import Sequence
from typing import Any

from dash import html

from dashboard.address import Address
from dashboard.components.attributes import UNSEEN
from dashboard.components.mark import link, stake, state_icon
from dashboard.components.plain import Part, part
from dashboard.numerals import number


def ledger(entries: Sequence[Part], none: str) -> Any:
    """Return the entries as a ruled list, or the words that say there are none."""
    return html.Ul(list(entries), className="ledger") if entries else html.P(none, className="ledger-none")


def entry(state: str, heading: Sequence[Any], words: Any, action: Any = None) -> Part:
    """Return one entry: the state's mark, heading and words, and what can be done about it."""
    return part(
        "Li",
        [
            state_icon(state),
            part("Div", [part("Div", heading), part("Div", words)]),
            *([action] if action is not None else []),
        ],
    )


def story_of(site: str) -> str:
    """Return the address of a garden's own page."""
    return Address("/garden", {}).choosing(garden=site).href


def garden_heading(garden: dict[str, Any]) -> list[Any]:
    """Return a garden's stake, its names as the way to its own page, and its kilometre."""
    return [
        stake(garden["colour"]),
        link(part("B", f"{garden['site']} {garden['name']}"), story_of(garden["site"]), className="quiet"),
        " ",
        part("Span", f"{number(garden['position_km'])} km", className="second nowrap"),
    ]


def completeness(title: str, at_the_right: str, share: float, words: str) -> html.Div:
    """Return one trial's share as a bar ruled in tenths, with number and count in words."""
    return html.Div(
        [
            html.Div([html.B(title), html.Span(at_the_right, className="second nowrap")], className="line"),
            html.Span(
                html.I(style={"--share": f"{100 * share:.1f}%"}),
                className="tenths",
                **UNSEEN,
            ),
            html.Div(words, className="small second"),
        ],
        className="complete",
    )
