"""The one frame that every figure stands in."""

from collections.abc import Sequence
from typing import Any

import pandas as pd
import plotly.graph_objects as go
from dash import dcc, html

from dashboard.components.attributes import attributes
from dashboard.components.mark import icon
from dashboard.components.table import table as ruled_table
from dashboard.figures.template import CONFIG
from dashboard.words import FIGURE


def figure_frame(
    figure: go.Figure,
    *,
    finding: str,
    caption: Sequence[Any] | str,
    table: pd.DataFrame,
    name: str,
    csv: str,
    beside: Sequence[Any] = (),
) -> html.Figure:
    """Return the figure with its finding for those who do not see it, caption, table, CSV and picture.

    `name` is unique on the page, `csv` the address of the table, and `beside` what stands in the gutter
    over the figure's right edge.
    """
    graph = dcc.Graph(
        id={"type": "figure", "name": name},
        figure=figure,
        config=CONFIG,
        clear_on_unhover=True,
        style={"height": f"{figure.layout.height}px"},
    )
    return html.Figure(
        [
            html.Div(
                [html.Div(graph, role="img", className="drawing", **attributes(aria_label=finding)), *beside],
                className="plot",
            ),
            html.Figcaption(caption),
            html.Div(
                [
                    html.Details([html.Summary(FIGURE["table"]), ruled_table(table, finding)]),
                    html.A(
                        [icon("down"), " ", FIGURE["csv"]],
                        href=csv,
                        download="",
                        **attributes(aria_label=FIGURE["csv_name"]),
                    ),
                    html.Button(
                        [icon("down"), " ", FIGURE["picture"]],
                        className="as-link",
                        **attributes(aria_label=FIGURE["picture_name"], data_picture=name),
                    ),
                ],
                className="under",
            ),
        ],
        className="frame",
        **attributes(data_figure=name),
    )
