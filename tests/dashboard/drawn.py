"""Pages by what they are made from, and what they draw as Plotly sees it."""

import plotly.graph_objects as go

from dashboard.figures.plain import Figure
from dashboard.router import PAGES

#: Pages that draw the snapshot alone. The others lead back to rows, which a snapshot held in memory lacks.
DRAWN = [page for page in PAGES if page.path in ("/watch", "/compare", "/gradient")]


def accepted(figure: Figure) -> go.Figure:
    """Return a figure as Plotly's own class, which raises ValueError on what it cannot draw."""
    return go.Figure(figure.to_plotly_json())
