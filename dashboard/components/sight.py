"""The mark over a figure: a plumb line through its strips, and a ring round the garden on the map."""

import json
from collections.abc import Sequence
from typing import Any

from dash import html

from dashboard.components.attributes import UNSEEN, attributes
from dashboard.figures.plain import Figure, Sight

#: Parts of the plot's width in which places are told: a tenth of a pixel of the widest plot.
_PARTS = 10_000


def _places(known: Sight, margins: Sequence[int]) -> str:
    """Return the gardens with their places across, their rings' heights and further heights in turn."""
    places, further = known.places, known.further
    told: dict[str, Any] = {
        "crowd": known.is_crowd,
        "margins": margins,
        "sites": list(places),
        "at": [round(at * _PARTS) for at, _ in places.values()],
        "up": [None if up is None else round(up, 1) for _, up in places.values()],
    }
    if further:
        told["further"] = [further.get(site) for site in places]
    return json.dumps(told, separators=(",", ":"))


def sight(figure: Figure) -> list[html.Div]:
    """Return the mark of the chosen garden over a figure; nothing for a figure that has no line of sight.

    A plumb line, a ring round its mark on the map, and in a crowd another one round its mark further down.

    It carries every garden's place, so that a script can move the mark while another one is pointed at.
    """
    known = figure.sight
    if known is None:
        return []
    place = known.places.get(known.chosen or "")
    at = place[0] if place else 0.0
    lines = [
        html.Span(
            className="plumb",
            hidden=place is None,
            style={"--at": f"{at:.5f}", "top": f"{top}px", "height": f"{height}px"},
        )
        for top, height in known.spans
    ]
    rings = [
        _ring(place is not None, at, heights.get(known.chosen or ""), name)
        for name, heights in (
            ("up", {site: up for site, (_, up) in known.places.items()}),
            ("further", known.further),
        )
        if any(height is not None for height in heights.values())
    ]
    margin = figure.layout["margin"]
    left, right = margin["l"], margin["r"]
    return [
        html.Div(
            [*lines, *rings],
            className="sight",
            style={"--left": f"{left}px", "--right": f"{right}px"},
            **UNSEEN,
            **attributes(data_places=_places(known, [left, right]), data_chosen=known.chosen or ""),
        )
    ]


def _ring(is_placed: bool, at: float, down: float | None, heights: str) -> html.Span:
    """Return a ring `down` pixels from the figure's upper edge; `heights` names those it moves by."""
    is_seen = is_placed and down is not None
    style = {"--at": f"{at:.5f}", "top": f"{down or 0:.1f}px"}
    return html.Span(className="ring", hidden=not is_seen, style=style, **attributes(data_heights=heights))
