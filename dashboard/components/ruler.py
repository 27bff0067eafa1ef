"""The ruler: every garden at its kilometre, the same on every page; one chooses a garden there."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from dash import html

from dashboard import data
from dashboard.components.attributes import UNSEEN, attributes
from dashboard.components.mark import icon, link, picture, source_of, stake, state_icon
from dashboard.data import View
from dashboard.figures import crowd
from dashboard.figures.row import Row, around, name_places, named, row_over, ticks
from dashboard.figures.template import Screen, Tokens
from dashboard.numerals import count, number
from dashboard.selection import Selection
from dashboard.words import SHELL

#: Heights in the drawing under the names, pixels: where leaders start and bend, and the ground line.
LEADER_TOP, LEADER_BEND, STAKE_TOP, GROUND, FOOT = 0.0, 2.5, 8.0, 27.0, 40.0
#: In the narrow strip: where stakes start, the ground line, and the drawing's foot.
STRIP_TOP, STRIP_GROUND, STRIP_FOOT = 12, 30, 38
#: Gardens that the ruler links to; of a longer row, `NEAREST` around the chosen one and those out of step.
#: Every further part of a page slows the page down, and stakes so close together cannot be told apart anyway.
MOST_LINKS = 100
NEAREST = 40
#: What the ruler tells of a garden.
SHOWN = ("site", "name", "county", "position_km", "state", "colour")
#: States that need no mark.
IN_ORDER = ("in step", "closed", "")
#: Units across a drawing that is stretched to the row's width.
ACROSS = 1000.0


@dataclass(frozen=True)
class Stakes:
    """What the ruler shows whichever garden is chosen: gardens that have a place, and a crowd's drawing."""

    gardens: pd.DataFrame
    row: Row
    crowd: str

    def near(self, chosen: str | None) -> pd.DataFrame:
        """Return the gardens to link to: all, or of a long row those around the chosen one."""
        return around(self.gardens, chosen, MOST_LINKS if len(self.gardens) <= MOST_LINKS else NEAREST)


def ruler(view: View, selection: Selection, screen: Screen) -> list[Any]:
    """Return the row of gardens: names over their places when wide, a strip with a stepper when narrow."""
    rests_on = ("ruler", selection.trial, screen.paper, screen.narrow)
    stakes = view.once(rests_on, lambda: stakes_of(selection.gardens, data.outlines(view), screen))
    if stakes.gardens.empty:
        return []
    return _narrow(stakes, selection, screen) if screen.narrow else _wide(stakes, selection, screen)


def stakes_of(gardens: pd.DataFrame, outlines: pd.DataFrame, screen: Screen) -> Stakes:
    """Return the stakes of a row of gardens."""
    placed = gardens.loc[gardens["position_km"].notna(), list(SHOWN)]
    row = row_over(outlines, placed)
    if not crowd.is_crowd(placed):
        return Stakes(placed, row, "")
    top, ground, width = (STRIP_TOP, STRIP_GROUND, 1.5) if screen.narrow else (STAKE_TOP, GROUND, 2.0)
    field = crowd.Field((row.low, row.high), (-ground, 0.0), round(ACROSS), round(ground), (0.0, 1.0))
    standing = placed.assign(ground=-ground)
    drawn = crowd.uprights(standing, "position_km", "ground", field, round(ground - top), width)
    return Stakes(placed, row, source_of(_sheet([drawn], STRIP_FOOT if screen.narrow else FOOT)))


def _sheet(parts: Sequence[str], foot: float) -> str:
    """Return a drawing to be stretched sideways over the row."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {ACROSS:.0f} {foot:.0f}" '
        f'preserveAspectRatio="none" fill="none">{"".join(parts)}</svg>'
    )


def label_fractions(gardens: pd.DataFrame, is_written: pd.Series, row: Row, plot_width: float) -> list[float]:
    """Return where each garden's name stands along the row, as fractions of its length.

    Names that are written out keep clear of each other; the other gardens stay at their true place.
    """
    written = gardens[is_written]
    placed = gardens["position_km"].copy()
    placed[is_written] = name_places(list(written["position_km"]), list(written["site"]), row, plot_width)
    fractions: list[float] = ((placed - row.low) / row.length).tolist()
    return fractions


def drawing(stakes: Stakes, labels: Sequence[float], written: Sequence[bool], tokens: Tokens) -> str:
    """Return leaders to written names, stakes, ground line and ticks as SVG; a crowd lies under it."""
    gardens, row = stakes.gardens, stakes.row
    still = 'vector-effect="non-scaling-stroke"'
    parts = []
    step = row.ticks()[1] - row.ticks()[0] if len(row.ticks()) > 1 else row.length
    for km in ticks(row.low, row.high, round(10 * row.length / step)):
        share = abs(km / step - round(km / step))
        long = 12 if share < 1e-6 else 8 if abs(share - 0.5) < 1e-6 else 4
        x = ACROSS * row.fraction(km)
        if km >= 0 or row.low >= 0:
            parts.append(f'<path d="M{x:.2f} {GROUND}v{long}" stroke="{tokens["ink3"]}" {still}/>')
    singly = np.asarray(written) if stakes.crowd else np.full(len(gardens), fill_value=True)
    columns = zip(*(np.compress(singly, gardens[name]) for name in ("position_km", "colour")), strict=True)
    places = zip(columns, np.compress(singly, labels), np.compress(singly, written), strict=True)
    for (km, colour), label, is_written in places:
        x, top = ACROSS * row.fraction(km), ACROSS * label
        leader = f"M{top:.2f} {LEADER_TOP}V{LEADER_BEND}L{x:.2f} {STAKE_TOP}" if is_written else ""
        parts.append(
            f'<path d="{leader}" stroke="{colour}" {still}/>'
            f'<path d="M{x:.2f} {STAKE_TOP}V{GROUND}" stroke="{tokens["paper"]}" stroke-width="6.4" {still}/>'
            f'<path d="M{x:.2f} {STAKE_TOP}V{GROUND}" stroke="{colour}" stroke-width="5" {still}/>'
        )
    parts.append(f'<path d="M0 {GROUND}H{ACROSS}" stroke="{tokens["ink"]}" stroke-width="1.5" {still}/>')
    return _sheet(parts, FOOT)


def _accessible_name(garden: dict[str, Any]) -> str:
    state = f", {garden['state']}" if garden["state"] else ""
    return f"{garden['name']}, {number(garden['position_km'])} {SHELL['km_east']}{state}"


def _garden_link(garden: dict[str, Any], selection: Selection, *, is_chosen: bool, is_named: bool) -> html.A:
    """Return one garden's link: its state where it is not in step, and its short name where there is room."""
    parts: list[Any] = []
    if is_named:
        parts = [] if garden["state"] in IN_ORDER else [state_icon(garden["state"])]
        parts.append(html.Span(garden["site"], className="id"))
    return link(
        parts,
        selection.address.choosing(garden=garden["site"]).href,
        current="true" if is_chosen else None,
        className="garden" if is_named else "garden unnamed",
        title=_accessible_name(garden),
        **attributes(data_site=garden["site"], aria_label=_accessible_name(garden)),
    )


def _story(selection: Selection) -> Any:
    """Return the link to the chosen garden's own page; where none is chosen, that one can be."""
    if selection.garden is None or selection.address.path == "/garden":
        return html.Span(SHELL["ruler_hint"])
    address = selection.address.at("/garden").choosing(garden=selection.garden, question=None)
    return link(SHELL["story"].format(garden=selection.garden), address.href)


def _ends(gardens: pd.DataFrame, selection: Selection) -> tuple[html.Div, html.Div]:
    counties = gardens["county"].dropna().nunique()
    return (
        html.Div([html.Strong(SHELL["ruler_title"]), _story(selection)], className="ruler-end"),
        html.Div(
            [
                html.Strong(count(len(gardens), "garden", "gardens")),
                html.Span(count(counties, "county", "counties")),
            ],
            className="ruler-end right",
        ),
    )


def _wide(stakes: Stakes, selection: Selection, screen: Screen) -> list[Any]:
    gardens, row, chosen = stakes.gardens, stakes.row, selection.garden
    written = named(gardens, chosen, screen.plot_width)
    labels = label_fractions(gardens, written, row, screen.plot_width)
    linked = written | gardens["site"].isin(stakes.near(chosen)["site"])
    shown = gardens[linked].assign(label=np.compress(linked, labels), is_named=written[linked])
    items = [
        html.Li(
            _garden_link(garden, selection, is_chosen=garden["site"] == chosen, is_named=garden["is_named"]),
            style={"left": f"{100 * garden['label']:.3f}%"},
        )
        for garden in shown.to_dict("records")
    ]
    drawn = drawing(stakes, labels, written.tolist(), screen.tokens)
    west, east = _ends(gardens, selection)
    numbers = [html.Span(number(km), style={"left": f"{100 * row.fraction(km):.3f}%"}) for km in row.ticks()]
    return [
        west,
        html.Ol(items, className="ruler-row"),
        picture("ruler-drawing", source_of(drawn), stakes.crowd),
        html.Div(
            [*numbers, html.Span(SHELL["km_east"], className="unit")],
            className="ruler-km",
            **UNSEEN,
        ),
        *_plumb(gardens, row, chosen),
        east,
    ]


def _plumb(gardens: pd.DataFrame, row: Row, chosen: str | None) -> list[html.Span]:
    places = gardens.loc[gardens["site"] == chosen, "position_km"]
    return [
        html.Span(className="ruler-plumb", style={"--at": f"{row.fraction(km):.5f}"}, **UNSEEN)
        for km in places
    ]


def strip_drawing(stakes: Stakes, chosen: str | None, tokens: Tokens) -> str:
    """Return the narrow screen's strip: stakes on a ground line with ticks, the chosen one taller."""
    gardens, row = stakes.gardens, stakes.row
    still = 'vector-effect="non-scaling-stroke"'
    parts = [f'<path d="M0 {STRIP_GROUND}H{ACROSS}" stroke="{tokens["ink"]}" stroke-width="1.5" {still}/>']
    parts += [
        f'<path d="M{ACROSS * row.fraction(km):.2f} {STRIP_GROUND}v6" stroke="{tokens["ink3"]}" {still}/>'
        for km in ticks(row.low, row.high, 13)
        if km >= 0 or row.low >= 0
    ]
    singly = gardens[gardens["site"] == chosen] if stakes.crowd else gardens
    for site, km, colour in zip(singly["site"], singly["position_km"], singly["colour"], strict=True):
        x, top = ACROSS * row.fraction(km), 5 if site == chosen else STRIP_TOP
        parts.append(
            f'<path d="M{x:.2f} {top}V{STRIP_GROUND}" stroke="{tokens["paper"]}" stroke-width="5" {still}/>'
            f'<path d="M{x:.2f} {top}V{STRIP_GROUND}" stroke="{colour}" stroke-width="3.6" {still}/>'
        )
    return _sheet(parts, STRIP_FOOT)


def _narrow(stakes: Stakes, selection: Selection, screen: Screen) -> list[Any]:
    gardens = stakes.gardens
    sites = gardens["site"].tolist()
    index = sites.index(selection.garden) if selection.garden in sites else -1
    now = _garden_at(gardens, index)
    near = stakes.near(selection.garden).to_dict("records")
    listed = html.Ol([html.Li(_list_link(garden, selection)) for garden in near])
    middle = html.Details([html.Summary(_now(now, gardens)), listed], className="now")
    west, east = _step(gardens, index - 1, selection, "west"), _step(gardens, index + 1, selection, "east")
    parts = [_strip(stakes, selection, now, screen), html.Div([west, middle, east], className="stepper")]
    return (
        [*parts, html.P(_story(selection), className="ruler-story")]
        if selection.garden and selection.address.path != "/garden"
        else parts
    )


def _garden_at(gardens: pd.DataFrame, index: int) -> dict[str, Any] | None:
    """Return the garden at a place of the row; None beyond its ends."""
    is_there = 0 <= index < len(gardens)
    found: dict[str, Any] | None = gardens.iloc[[index]].to_dict("records")[0] if is_there else None
    return found


def _strip(stakes: Stakes, selection: Selection, now: dict[str, Any] | None, screen: Screen) -> html.Div:
    """Return the narrow screen's strip with a few kilometres, and a pointer over the chosen garden."""
    row = stakes.row

    def at(km: float) -> dict[str, str]:
        return {"left": f"{100 * row.fraction(km):.3f}%"}

    pointer = [html.Span(className="pointer", style=at(now["position_km"]))] if now else []
    own = strip_drawing(stakes, selection.garden, screen.tokens)
    drawn = picture("strip-drawing", source_of(own), stakes.crowd)
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


def _list_link(garden: dict[str, Any], selection: Selection) -> html.A:
    """Return one garden of the narrow screen's list, by its whole name and with its state."""
    mark = [] if garden["state"] in IN_ORDER else [state_icon(garden["state"])]
    return link(
        [
            stake(garden["colour"]),
            html.Span([html.B(garden["site"]), " ", garden["name"]]),
            html.Span(f"{number(garden['position_km'])} km", className="second"),
            *mark,
        ],
        selection.address.choosing(garden=garden["site"]).href,
        current="true" if garden["site"] == selection.garden else None,
        **attributes(aria_label=f"{garden['site']} {_accessible_name(garden)}"),
    )


def _now(garden: dict[str, Any] | None, gardens: pd.DataFrame) -> list[Any]:
    """Return what stands between the two arrows: the chosen garden, or that one can be chosen."""
    if garden is None:
        words = count(len(gardens), "garden", "gardens")
        return [html.B(words), html.Span(SHELL["ruler_hint"], className="fine second")]
    return [
        html.Span([stake(garden["colour"]), html.B(f"{garden['site']} {garden['name']}")]),
        html.Span(_whereabouts(garden), className="fine second"),
    ]


def _whereabouts(garden: dict[str, Any]) -> str:
    place = SHELL["km"].format(km=number(garden["position_km"]))
    return f"{place}, {SHELL['county'].format(county=garden['county'])}" if garden["county"] else place


def _step(gardens: pd.DataFrame, index: int, selection: Selection, direction: str) -> Any:
    """Return the link to the next garden west or east; at the row's end a blank that says so."""
    if index < -1 or (index < 0 and selection.garden is None):
        return html.Span(className="step", **UNSEEN)
    garden = _garden_at(gardens, index)
    if garden is None:
        return html.Span(className="step", role="img", **attributes(aria_label=SHELL[f"end_{direction}"]))
    return link(
        icon(direction),
        selection.address.choosing(garden=garden["site"]).href,
        className="step",
        **attributes(aria_label=SHELL[direction].format(garden=f"{garden['site']} {garden['name']}")),
    )
