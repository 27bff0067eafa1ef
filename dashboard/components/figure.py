"""The one frame that every figure stands in."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from dash import dcc, html

from dashboard.components.attributes import attributes
from dashboard.components.mark import icon
from dashboard.components.sight import sight
from dashboard.figures.plain import Figure
from dashboard.figures.template import CONFIG
from dashboard.speech import ENGLISH, Speech
from dashboard.words import FIGURE


@dataclass(frozen=True)
class Rows:
    """Where the rows behind a figure are: the page, the figure's name on it, and the choices made there."""

    page: str
    figure: str
    query: str

    @property
    def csv(self) -> str:
        """The address of the rows as a file to take away."""
        return f"/download/{self.page}.csv?{self._named}"

    @property
    def table(self) -> str:
        """The address of the rows as a table to be read on the page."""
        return f"/table/{self.page}?{self._named}"

    @property
    def _named(self) -> str:
        return f"figure={self.figure}&{self.query}".rstrip("&")


def figure_frame(
    figure: Figure,
    *,
    finding: str,
    caption: Sequence[Any] | str,
    rows: Rows,
    beside: Sequence[Any] = (),
    speech: Speech = ENGLISH,
) -> html.Figure:
    """Return the figure with its finding for those who do not see it, caption, table, CSV, picture and slide.

    `beside` is what stands in the gutter over the figure's right edge.
    """
    graph = dcc.Graph(
        id={"type": "figure", "name": rows.figure},
        figure=figure,
        config=CONFIG,
        clear_on_unhover=True,
        style={"height": f"{figure.layout['height']}px"},
    )
    drawing = html.Div(graph, role="img", className="drawing", **attributes(aria_label=finding))
    return html.Figure(
        [
            html.Div([drawing, *sight(figure), *beside], className="plot"),
            html.Figcaption(caption),
            html.Div(
                [
                    _table(rows, speech),
                    _csv(rows, speech),
                    _picture(rows, speech),
                    *_slides(speech),
                ],
                className="under",
            ),
        ],
        className="frame",
        **attributes(data_figure=rows.figure),
    )


def caption_of(finding: str, *further: str) -> list[Any]:
    """Return a caption: what the figure shows first, then what a reader needs to know of it."""
    rest = " ".join(part for part in further if part)
    return [*([html.B(finding)] if finding else []), *([f" {rest}" if finding else rest] if rest else [])]


def table_behind(rows: Rows) -> html.Div:
    """Return the table and CSV of something that is shown as a list."""
    return html.Div(
        html.Div([_table(rows, ENGLISH), _csv(rows, ENGLISH)], className="under"),
        **attributes(data_figure=rows.figure),
    )


def _table(rows: Rows, speech: Speech) -> html.Details:
    """Return the disclosure that assets/table.js fills when it is opened."""
    told = attributes(data_table=rows.table, data_trouble=speech.of(FIGURE, "table_trouble"))
    return html.Details([html.Summary(speech.of(FIGURE, "table")), html.Div(**told)])


def _csv(rows: Rows, speech: Speech) -> html.A:
    named = attributes(aria_label=speech.of(FIGURE, "csv_name"))
    return html.A([icon("down"), " ", speech.of(FIGURE, "csv")], href=rows.csv, download="", **named)


def _picture(rows: Rows, speech: Speech) -> html.Button:
    named = attributes(aria_label=speech.of(FIGURE, "picture_name"), data_picture=rows.figure)
    return html.Button([icon("down"), " ", speech.of(FIGURE, "picture")], className="as-link", **named)


def _slides(speech: Speech) -> list[html.Button]:
    """Return the buttons that assets/slide.js answers to: one figure, its sentence, gardens and season."""
    return [
        html.Button(
            [icon("down"), " ", speech.of(FIGURE, words)],
            className="as-link",
            **attributes(aria_label=speech.of(FIGURE, f"{words}_name"), data_slide=kind),
        )
        for words, kind in (("slide", "png"), ("slide_svg", "svg"))
    ]
