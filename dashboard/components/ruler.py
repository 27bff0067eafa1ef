"""The ruler: every garden at its kilometre, the same on every page; one chooses a garden there."""

from collections.abc import Mapping
from typing import Any

from dash import html

from dashboard import data
from dashboard.components.attributes import UNSEEN, attributes
from dashboard.components.mark import icon, link, picture, source_of_quoted, stake, state_icon
from dashboard.components.plain import Part, part
from dashboard.components.stakes import Stake, Stakes, drawing, stakes_of, strip_drawing
from dashboard.data import View
from dashboard.figures.template import Screen
from dashboard.numerals import count, number
from dashboard.selection import Selection
from dashboard.words import SHELL

#: States that need no mark.
IN_ORDER = ("in step", "closed", "")


def ruler(view: View, selection: Selection, screen: Screen) -> list[Any]:
    """Return the row of gardens: names over their places when wide, a strip with a stepper when narrow."""
    rests_on = ("ruler", selection.trial, screen.paper)
    stakes = view.once(rests_on, lambda: stakes_of(selection.gardens, data.outlines(view), screen.tokens))
    if not stakes.gardens:
        return []
    return _narrow(stakes, selection, screen) if screen.narrow else _wide(stakes, selection, screen)


def _accessible_name(garden: Stake) -> str:
    state = f", {garden.state}" if garden.state else ""
    return f"{garden.name}, {number(garden.position_km)} {SHELL['km_east']}{state}"


def _mark(garden: Stake) -> list[Part]:
    """Return the mark of a garden's state, where that is not in step."""
    if garden.state in IN_ORDER:
        return []
    return [state_icon(garden.state)]


def _garden_link(garden: Stake, href: str, *, is_chosen: bool, is_named: bool) -> Part:
    """Return one garden's link: its state where it is not in step, and its short name where there is room."""
    name = _accessible_name(garden)
    return link(
        [*_mark(garden), part("Span", garden.site, className="id")] if is_named else [],
        href,
        current="true" if is_chosen else None,
        className="garden" if is_named else "garden unnamed",
        title=name,
        **attributes(data_site=garden.site, aria_label=name),
    )


def _story(selection: Selection) -> Any:
    """Return the link to the chosen garden's own page; where none is chosen, that one can be."""
    if selection.garden is None or selection.address.path == "/garden":
        return html.Span(SHELL["ruler_hint"])
    address = selection.address.at("/garden").choosing(garden=selection.garden, question=None)
    return link(SHELL["story"].format(garden=selection.garden), address.href)


def _ends(stakes: Stakes, selection: Selection) -> tuple[html.Div, html.Div]:
    return (
        html.Div([html.Strong(SHELL["ruler_title"]), _story(selection)], className="ruler-end"),
        html.Div(
            [
                html.Strong(count(len(stakes.gardens), "garden", "gardens")),
                html.Span(count(stakes.counties, "county", "counties")),
            ],
            className="ruler-end right",
        ),
    )


def _wide(stakes: Stakes, selection: Selection, screen: Screen) -> list[Any]:
    row, chosen = stakes.row, selection.garden
    names = stakes.names(stakes.written(chosen, screen.plot_width), screen.plot_width)
    west, east = _ends(stakes, selection)
    numbers = [html.Span(number(km), style={"left": f"{100 * row.fraction(km):.3f}%"}) for km in row.ticks()]
    return [
        west,
        part("Ol", _links(stakes, names, selection), className="ruler-row"),
        picture(
            "ruler-drawing",
            source_of_quoted(drawing(stakes, names, screen.tokens)),
            stakes.grounds[screen.narrow].crowd,
        ),
        html.Div([*numbers, html.Span(SHELL["km_east"], className="unit")], className="ruler-km", **UNSEEN),
        *_plumb(stakes, chosen),
        east,
    ]


def _links(stakes: Stakes, names: Mapping[int, float], selection: Selection) -> list[Part]:
    """Return the links of the written gardens and of those near the chosen one, each at its place."""
    places = sorted({*names, *stakes.near(selection.garden)})
    linked = [stakes.gardens[at] for at in places]
    hrefs = selection.address.hrefs("garden", (garden.site for garden in linked))
    items = []
    for at, garden, href in zip(places, linked, hrefs, strict=True):
        is_named = at in names
        stands = names[at] if is_named else stakes.row.fraction(garden.position_km)
        content = _garden_link(garden, href, is_chosen=garden.site == selection.garden, is_named=is_named)
        items.append(part("Li", content, style={"left": f"{100 * stands:.3f}%"}))
    return items


def _plumb(stakes: Stakes, chosen: str | None) -> list[html.Span]:
    place = stakes.place_of(chosen)
    if place is None:
        return []
    at = stakes.row.fraction(stakes.gardens[place].position_km)
    return [html.Span(className="ruler-plumb", style={"--at": f"{at:.5f}"}, **UNSEEN)]


def _narrow(stakes: Stakes, selection: Selection, screen: Screen) -> list[Any]:
    place = stakes.place_of(selection.garden)
    now = None if place is None else stakes.gardens[place]
    near = [stakes.gardens[at] for at in stakes.near(selection.garden)]
    hrefs = selection.address.hrefs("garden", (garden.site for garden in near))
    listed = [
        part("Li", _list_link(garden, href, is_chosen=garden.site == selection.garden))
        for garden, href in zip(near, hrefs, strict=True)
    ]
    middle = html.Details([html.Summary(_now(now, stakes)), part("Ol", listed)], className="now")
    west, east = _step(stakes, selection, -1, "west"), _step(stakes, selection, 1, "east")
    parts = [_strip(stakes, selection, now, screen), html.Div([west, middle, east], className="stepper")]
    return (
        [*parts, html.P(_story(selection), className="ruler-story")]
        if selection.garden and selection.address.path != "/garden"
        else parts
    )


def _strip(stakes: Stakes, selection: Selection, now: Stake | None, screen: Screen) -> html.Div:
    """Return the narrow screen's strip with a few kilometres, and a pointer over the chosen garden."""
    row = stakes.row

    def at(km: float) -> dict[str, str]:
        return {"left": f"{100 * row.fraction(km):.3f}%"}

    pointer = [html.Span(className="pointer", style=at(now.position_km))] if now else []
    own = strip_drawing(stakes, selection.garden, screen.tokens)
    drawn = picture("strip-drawing", source_of_quoted(own), stakes.grounds[screen.narrow].crowd)
    numbers = [html.Span(number(km), style=at(km)) for km in row.ticks()[::2]]
    words = SHELL["km_east"].split(" ")
    return html.Div(
        [
            html.Span(words[0], className="strip-unit"),
            html.Span(words[1], className="strip-unit below"),
            html.Div([*pointer, drawn, *numbers], className="strip-row"),
        ],
        className="strip",
        **UNSEEN,
    )


def _list_link(garden: Stake, href: str, *, is_chosen: bool) -> Part:
    """Return one garden of the narrow screen's list, by its whole name and with its state."""
    return link(
        [
            stake(garden.colour),
            part("Span", [part("B", garden.site), " ", garden.name]),
            part("Span", f"{number(garden.position_km)} km", className="second"),
            *_mark(garden),
        ],
        href,
        current="true" if is_chosen else None,
        **attributes(aria_label=f"{garden.site} {_accessible_name(garden)}"),
    )


def _now(garden: Stake | None, stakes: Stakes) -> list[Any]:
    """Return what stands between the two arrows: the chosen garden, or that one can be chosen."""
    if garden is None:
        words = count(len(stakes.gardens), "garden", "gardens")
        return [html.B(words), html.Span(SHELL["ruler_hint"], className="fine second")]
    return [
        html.Span([stake(garden.colour), html.B(f"{garden.site} {garden.name}")]),
        html.Span(_whereabouts(garden), className="fine second"),
    ]


def _whereabouts(garden: Stake) -> str:
    place = SHELL["km"].format(km=number(garden.position_km))
    return f"{place}, {SHELL['county'].format(county=garden.county)}" if garden.county else place


def _step(stakes: Stakes, selection: Selection, by: int, direction: str) -> Any:
    """Return the link to the next garden west or east; at the row's end a blank that says so.

    While no garden is chosen the row begins with its first one, to the east.
    """
    place = stakes.place_of(selection.garden)
    after = (-1 if place is None else place) + by
    if after < -1 or (after < 0 and selection.garden is None):
        return html.Span(className="step", **UNSEEN)
    if not 0 <= after < len(stakes.gardens):
        return html.Span(className="step", role="img", **attributes(aria_label=SHELL[f"end_{direction}"]))
    garden = stakes.gardens[after]
    return link(
        icon(direction),
        selection.address.choosing(garden=garden.site).href,
        className="step",
        **attributes(aria_label=SHELL[direction].format(garden=f"{garden.site} {garden.name}")),
    )
