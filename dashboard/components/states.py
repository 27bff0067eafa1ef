"""What stands where a page has nothing to show: nothing yet, reading, trouble, unknown or lost."""

from typing import Any

from dash import html

from dashboard.components.mark import icon, link
from dashboard.speech import ENGLISH, Speech
from dashboard.words import STATES


def nothing_yet(title: str, words: str, more: str = "") -> list[Any]:
    """Return the state of a page whose figure has no data so far."""
    return [
        html.H1(title, className="sentence"),
        html.Div(
            [icon("seed"), html.P(words, className="strong"), html.P(more)]
            if more
            else [icon("seed"), html.P(words)],
            className="empty",
        ),
    ]


def reading(words: str) -> html.Div:
    """Return the state of a page that is on its way: words and still dashes, nothing that turns."""
    return html.Div(
        [
            html.P(words, id="reading-words"),
            *(html.I(className=f"dash-{size}") for size in ("long", "middle", "short")),
        ],
        className="wait",
        role="status",
        id="reading",
    )


def trouble(words: str, speech: Speech = ENGLISH) -> list[Any]:
    """Return the state of a page that could not be made."""
    return [
        html.Div(
            [
                html.H1(words, className="sentence"),
                html.P(speech.of(STATES, "nothing_lost")),
                html.P(html.A(speech.of(STATES, "again"), href="")),
            ],
            className="trouble",
            role="alert",
        )
    ]


def unreached(speech: Speech = ENGLISH) -> html.Div:
    """Return what the browser shows by itself while the server does not answer; hidden until then."""
    again = html.A(speech.of(STATES, "again"), href="")
    return html.Div(
        [html.P(speech.of(STATES, "unreached")), html.P(again)],
        className="trouble",
        role="alert",
        id="unreached",
        hidden=True,
    )


def unknown(words: str, href: str, speech: Speech = ENGLISH) -> list[Any]:
    """Return the state of a page whose address names something that is not there."""
    return [
        html.H1(speech.of(STATES, "unknown_title"), className="sentence"),
        html.Div([html.P(words), html.P(link(speech.of(STATES, "unknown_link"), href))], className="empty"),
    ]


def lost() -> list[Any]:
    """Return the state of an address without a page."""
    return [
        html.H1(STATES["lost_title"], className="sentence"),
        html.Div(html.P(STATES["lost"]), className="empty"),
    ]
