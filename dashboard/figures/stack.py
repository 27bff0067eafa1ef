"""Strips stacked in one figure: heights in pixels, turned into what Plotly asks for."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from dashboard.figures.plain import Figure


@dataclass(frozen=True)
class Strip:
    """One strip: its name, its height, and the room above it for air and for a title."""

    name: str
    height: int
    above: int = 0


@dataclass(frozen=True)
class Stack:
    """Strips from top to bottom, with a margin above the first and below the last, all in pixels."""

    strips: tuple[Strip, ...]
    top_margin: int
    bottom_margin: int

    @property
    def area(self) -> int:
        """Height of the plot area."""
        return sum(strip.above + strip.height for strip in self.strips)

    @property
    def height(self) -> int:
        """Height of the whole figure."""
        return self.top_margin + self.area + self.bottom_margin

    def top(self, name: str) -> int:
        """Return the pixels from the figure's upper edge to the strip's."""
        return self.top_margin + self._above(name)

    def domain(self, name: str) -> tuple[float, float]:
        """Return the strip's lower and upper edge as fractions of the plot area, from below."""
        upper = self._above(name)
        return 1 - (upper + self._strip(name).height) / self.area, 1 - upper / self.area

    def pixels(self, name: str) -> int:
        """Return the strip's height."""
        return self._strip(name).height

    def axis(self, name: str) -> str:
        """Return the name by which traces call the strip's vertical axis: y, y2 and so on."""
        number = [strip.name for strip in self.strips].index(name) + 1
        return "y" if number == 1 else f"y{number}"

    def layout_key(self, name: str) -> str:
        """Return the key of that axis in a figure's layout."""
        return self.axis(name).replace("y", "yaxis")

    def _strip(self, name: str) -> Strip:
        return next(strip for strip in self.strips if strip.name == name)

    def _above(self, name: str) -> int:
        pixels = 0
        for strip in self.strips:
            pixels += strip.above
            if strip.name == name:
                return pixels
            pixels += strip.height
        raise KeyError(name)


@dataclass(frozen=True)
class Part:
    """What one strip puts into a figure: its vertical axis, traces, shapes, annotations and pictures."""

    name: str
    axis: dict[str, Any]
    traces: list[Any] = field(default_factory=list)
    shapes: list[dict[str, Any]] = field(default_factory=list)
    annotations: list[dict[str, Any]] = field(default_factory=list)
    images: list[dict[str, Any]] = field(default_factory=list)


def assemble(figure: Figure, stack: Stack, parts: Sequence[Part], xaxis: dict[str, Any]) -> Figure:
    """Return `figure` with every part drawn in its strip over one horizontal axis."""
    figure.add(*(trace for part in parts for trace in part.traces))
    axes = {
        stack.layout_key(part.name): part.axis | {"domain": list(stack.domain(part.name)), "anchor": "x"}
        for part in parts
        if part.axis
    }
    lowest = stack.axis(stack.strips[-1].name)
    figure.arrange(
        **axes,
        barmode="overlay",
        xaxis={"showticklabels": False, "anchor": lowest} | xaxis,
        shapes=[shape for part in parts for shape in part.shapes],
        annotations=[note for part in parts for note in part.annotations],
        images=[image for part in parts for image in part.images],
    )
    return figure
