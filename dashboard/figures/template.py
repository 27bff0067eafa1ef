"""The Plotly template, its two papers, and what every graph is handed."""

from dataclasses import dataclass
from typing import Any, Literal

from dashboard.figures.plain import Figure, Sight
from dashboard.speech import ENGLISH, Speech

Tokens = dict[str, str]

#: Colours by role on light paper, the same as in assets/tokens.css; contrast figures stand there.
LIGHT: Tokens = {
    "paper": "#F6F2E7",
    "sheet": "#FDFBF5",
    "furrow": "#ECE6D6",
    "ink": "#1D2421",
    "ink2": "#50564F",
    "ink3": "#7C7B6C",
    "rule": "#D3CCB9",
    "stamp": "#343F8F",
    "stampink": "#FDFBF5",
    "madder": "#8A2E1C",
    "marker": "#F6E2A0",
    "band": "#FFFEFB",
    "band2": "#FAF7EE",
}
#: The same roles on dark paper.
DARK: Tokens = {
    "paper": "#14191A",
    "sheet": "#1B2223",
    "furrow": "#242C2D",
    "ink": "#ECE7DA",
    "ink2": "#B6B8AB",
    "ink3": "#868C84",
    "rule": "#384142",
    "stamp": "#B3BCFF",
    "stampink": "#14191A",
    "madder": "#F2A48F",
    "marker": "#4B4117",
    "band": "#262F30",
    "band2": "#1D2425",
}
SANS = "Longrow Sans, Atkinson Hyperlegible, Verdana, Segoe UI, sans-serif"
SERIF = "Longrow Serif, Rockwell, Roboto Slab, Georgia, serif"
#: The smallest text anywhere, in pixels.
SMALL = 13
#: Handed to every graph. Without the mode bar there is no zoom to fall into and no offer to share a figure.
CONFIG: Any = {
    "displayModeBar": False,
    "displaylogo": False,
    "showSendToCloud": False,
    "scrollZoom": False,
    "doubleClick": False,
    "responsive": True,
}
#: Pixels left and right of the plot area: (wide, narrow). Wide, they are --gutter-left and --gutter-right of
#: tokens.css, which the ruler uses too, so that ruler and figure never drift apart.
GUTTERS = {False: (168, 176), True: (44, 6)}
#: Width of the plot area, in pixels, that pixel distances along the row are worked out for: (wide, narrow).
PLOT_WIDTH = {False: 1016, True: 308}


@dataclass(frozen=True)
class Screen:
    """What a figure is drawn for: paper, whether the screen is narrow, time zone and language."""

    paper: Literal["light", "dark"] = "light"
    narrow: bool = False
    zone: str = "UTC"
    speech: Speech = ENGLISH

    @property
    def tokens(self) -> Tokens:
        """The colours by role."""
        return DARK if self.paper == "dark" else LIGHT

    @property
    def gutters(self) -> tuple[int, int]:
        """Pixels left and right of the plot area."""
        return GUTTERS[self.narrow]

    @property
    def plot_width(self) -> int:
        """Pixels across the plot area at the width that figures are worked out for."""
        return PLOT_WIDTH[self.narrow]


def template(tokens: Tokens) -> dict[str, Any]:
    """Return the template for one paper."""
    ink, ink2, paper = tokens["ink"], tokens["ink2"], tokens["paper"]
    marks = {"marker": {"size": 11, "line": {"width": 1.2, "color": paper}}, "line": {"width": 2.5}}
    return {
        "layout": {
            "font": {"family": SANS, "size": SMALL, "color": ink},
            "paper_bgcolor": paper,
            "plot_bgcolor": paper,
            "colorway": [ink],
            "showlegend": False,
            "dragmode": False,
            "hovermode": "closest",
            "hoverdistance": 24,
            "transition": {"duration": 0},
            "hoverlabel": {
                "bgcolor": tokens["sheet"],
                "bordercolor": ink,
                "align": "left",
                "namelength": -1,
                "font": {"family": SANS, "size": 15, "color": ink},
            },
            "xaxis": _axis(tokens),
            "yaxis": _axis(tokens) | _grid(tokens),
            "annotationdefaults": {
                "showarrow": False,
                "align": "left",
                "font": {"size": SMALL, "color": ink2},
            },
            "shapedefaults": {"line": {"color": tokens["stamp"], "width": 1.5}},
        },
        "data": {"scatter": [{"type": "scatter"} | marks]},
    }


def _axis(tokens: Tokens) -> dict[str, Any]:
    """Return an axis of numbers alone: no line, no ticks, nothing that can be dragged or zoomed."""
    return {
        "showgrid": False,
        "zeroline": False,
        "showline": False,
        "ticks": "",
        "fixedrange": True,
        "automargin": False,
        "tickfont": {"size": SMALL, "color": tokens["ink2"]},
        "title": {"text": ""},
        "linecolor": tokens["ink"],
        "linewidth": 1.5,
    }


def _grid(tokens: Tokens) -> dict[str, Any]:
    return {
        "showgrid": True,
        "gridcolor": tokens["rule"],
        "gridwidth": 1,
        "nticks": 4,
        "ticklabelstandoff": 8,
    }


def blank(screen: Screen, height: int, top: int, bottom: int, sight: Sight | None = None) -> Figure:
    """Return a figure without traces, `height` pixels high, on the screen's paper and in its gutters."""
    left, right = screen.gutters
    return Figure(
        layout={
            "template": template(screen.tokens),
            "height": height,
            "margin": {"l": left, "r": right, "t": top, "b": bottom, "pad": 0, "autoexpand": False},
        },
        sight=sight,
    )
