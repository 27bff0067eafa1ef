"""Figures as plain data, in the form in which they are sent.

Plotly's own classes check every number each time a page is asked for, which takes longer than all the rest.
The tests build those classes from what is drawn here, so that nothing is sent that Plotly would refuse.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

Trace = dict[str, Any]
Place = tuple[float, float | None]


def scatter(**look: Any) -> Trace:
    """Return a trace of marks, lines or an area."""
    return {"type": "scatter", **look}


def bar(**look: Any) -> Trace:
    """Return a trace of bars."""
    return {"type": "bar", **look}


@dataclass(frozen=True)
class Sight:
    """Where every garden stands in a figure, and where the plumb line runs.

    `places` holds for each garden its fraction of the plot's width and the height of its ring, in pixels
    from the figure's upper edge, None where no ring is drawn. `spans` are the stretches of the plumb line
    as (top, height) in pixels. `chosen` is the garden marked while none is pointed at. `is_crowd` says that
    the gardens' marks are no parts of the figure: the page itself finds the one that is pointed at, by its
    ring's place or by `further`, heights of the marks in another strip.
    """

    places: Mapping[str, Place]
    spans: Sequence[tuple[int, int]]
    chosen: str | None
    is_crowd: bool = False
    further: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Figure:
    """A figure by Plotly's names: its layout, and its traces from the lowest to the topmost.

    `sight` is no part of what is drawn; the page lays it over the figure.
    """

    layout: dict[str, Any]
    data: list[Trace] = field(default_factory=list)
    sight: Sight | None = None

    def add(self, *traces: Trace) -> None:
        """Draw traces over those that are there."""
        self.data.extend(traces)

    def arrange(self, **layout: Any) -> None:
        """Change the layout; of an axis or a margin that is there already, only what is named."""
        for name, change in layout.items():
            known = self.layout.get(name)
            self.layout[name] = known | change if isinstance(known, dict) else change

    def write(self, **annotation: Any) -> None:
        """Add words."""
        self.layout.setdefault("annotations", []).append(annotation)

    def outline(self, **shape: Any) -> None:
        """Add a shape."""
        self.layout.setdefault("shapes", []).append(shape)

    def to_plotly_json(self) -> dict[str, Any]:
        """Return what Dash sends."""
        return {"data": self.data, "layout": self.layout}
