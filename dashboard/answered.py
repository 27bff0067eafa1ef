"""The router's answers, kept as the bytes browsers get: writing a page out costs more than drawing it."""

import gzip
from collections.abc import Callable, Mapping
from typing import Any

import sqlalchemy as sa
from dash.exceptions import PreventUpdate
from flask import Flask, Response, g, make_response, request
from plotly.io.json import to_json_plotly

from dashboard.access.door import Door
from dashboard.access.guard import CALLBACK, require_page
from dashboard.address import Address
from dashboard.components import shell
from dashboard.data import View
from dashboard.drawn import DrawnPage, DrawnPages, OpenAnswer
from dashboard.figures.template import Screen
from dashboard.pages.page import Page
from dashboard.router import PAGES, choose_garden, page_of, screen_of, standing
from dashboard.speech import Speech
from sites.errors import InputError

#: What the router fills, in its order.
OUTPUTS = (
    ("title", "data"),
    ("masthead", "children"),
    ("ruler", "children"),
    ("main", "children"),
    ("foot", "children"),
    ("language", "data"),
    ("below", "children"),
    ("garden", "data"),
    ("standing", "data"),
)
#: What the router filled, by part and property.
Filled = dict[tuple[str, str], Any]
#: What the browser tells of the page that it shows.
STANDING = ("standing", "data")
#: Those of the chosen garden, and the one that names the reader: they are made for each answer.
_OF_GARDEN = (("ruler", "children"), ("below", "children"), ("garden", "data"))
_OF_READER = "foot"
_NAME = "..{}..".format("...".join(f"{part}.{what}" for part, what in OUTPUTS))
_PLAIN = [{"id": part, "property": what} for part, what in OUTPUTS]


def keep_answers(server: Flask, door: Door, view: Callable[[], View]) -> None:
    """Let `server` answer a page that it has answered before without making it again.

    The guard has held the request against the rules by then; the page's own rule is asked once more here.
    """
    answer_anew = server.view_functions[CALLBACK]
    drawn = DrawnPages()

    def answer() -> Response:
        body = request.get_json(silent=True)
        asked = page_asked(body)
        if asked is None or not isinstance(body, dict):
            return make_response(answer_anew())
        address, screen = asked
        require_page(door, address.path, address, [page.path for page in PAGES])
        try:
            seen = view()
            page = page_of(seen, address)
            if page is None:
                return make_response(answer_anew())
            if _stands(seen, address, screen, body):
                return _plain(_of_garden(seen, address, screen))
            anew: list[Filled | Response] = []

            def draw() -> DrawnPage | None:
                anew.append(_filled_by(answer_anew))
                return _kept_of(anew[0], page)

            kept = drawn.get(seen, page, address, screen, draw)
            if kept is None:
                return anew[0] if isinstance(anew[0], Response) else _plain(_by_part(anew[0]))
            own = _of_garden(seen, address, screen) if page.is_for_any_garden else {}
            foot = shell.foot(seen.account, Speech(kept.language), open_notice=door.is_open_to(seen.account))
            return _ended(kept.answer, own | {_OF_READER: {"children": foot}})
        except (OSError, sa.exc.SQLAlchemyError, InputError):
            # The router meets the same trouble, writes it to the log and says so in the page's own words.
            return make_response(answer_anew())

    server.view_functions[CALLBACK] = answer


def hand_over(filled: Filled) -> None:
    """Give what the router filled to whoever writes it out in place of Dash; nothing where nobody asked.

    Dash writes every page out whole, and most of a page is written once for all that ask for it. Raises
    PreventUpdate where it was taken: Dash has nothing left to write.
    """
    if take := g.get("take_filled"):
        take(filled)
        raise PreventUpdate


def _filled_by(answer: Callable[[], Any]) -> Filled | Response:
    """Return what the router fills for this request, or its answer where that tells of trouble."""
    taken: Filled = {}
    g.take_filled = taken.update
    try:
        return make_response(answer())
    except PreventUpdate:
        if not taken:
            raise
        return taken
    finally:
        # Should the rest of the answer fail, Dash writes the page out itself.
        g.pop("take_filled")


def _by_part(filled: Filled) -> dict[str, Any]:
    """Return what was filled as browsers get it."""
    return {part: {what: value} for (part, what), value in filled.items()}


def _stands(view: View, address: Address, screen: Screen, body: Mapping[str, Any]) -> bool:
    """Return whether the page stands that is asked for, and only another garden is chosen on it."""
    if body.get("changedPropIds") != ["url.search"]:
        return False
    told = (part.get("value") for part in body.get("state") or () if _is(part, STANDING))
    named = standing(view, address, screen)
    return bool(named) and next(told, None) == named


def _of_garden(view: View, address: Address, screen: Screen) -> dict[str, Any]:
    """Return the parts of an answer that are of the chosen garden.

    Raises InputError where the address names something that the snapshot does not hold.
    """
    chosen = choose_garden(view, address, screen)
    parts = (chosen.ruler, chosen.below, chosen.garden)
    return {name: {what: part} for (name, what), part in zip(_OF_GARDEN, parts, strict=True)}


def _plain(parts: Mapping[str, Any]) -> Response:
    return Response(to_json_plotly({"multi": True, "response": parts}), mimetype="application/json")


def _is(part: Any, named: tuple[str, str]) -> bool:
    return isinstance(part, dict) and (part.get("id"), part.get("property")) == named


def page_asked(body: Any) -> tuple[Address, Screen] | None:
    """Return the address and the screen that a request to the router tells; None for any other request.

    One whose outputs are not those of our own pages is another one: what it gets must not be kept for others.
    """
    if not isinstance(body, dict) or body.get("output") != _NAME or body.get("outputs") != _PLAIN:
        return None
    told = {
        (part.get("id"), part.get("property")): part.get("value")
        for part in body.get("inputs") or ()
        if isinstance(part, dict) and isinstance(part.get("id"), str)
    }
    path, search, screen = (
        told.get(name) for name in (("url", "pathname"), ("url", "search"), ("screen", "data"))
    )
    if not isinstance(path, str) or not isinstance(screen, dict) or not isinstance(search, str | None):
        return None
    return Address.parse(path, search), screen_of(screen)


def _kept_of(filled: Filled | Response, page: Page) -> DrawnPage | None:
    """Return what to keep of what the router filled: JSON that is still open behind its last part.

    None where it tells of trouble, or that the address names nothing.
    """
    if isinstance(filled, Response) or (page.of_garden and not filled[STANDING]):
        return None
    left_out = {_OF_READER} | ({name for name, _ in _OF_GARDEN} if page.is_for_any_garden else set())
    kept = {name: part for name, part in _by_part(filled).items() if name not in left_out}
    start = f'{{"multi":true,"response":{to_json_plotly(kept)[:-1]},'.encode()
    return DrawnPage(OpenAnswer(start), filled["language", "data"])


def _ended(answer: OpenAnswer, parts: Mapping[str, Any]) -> Response:
    """Return a kept answer with the parts that it lacks, packed where the browser takes that."""
    content = answer.ended(to_json_plotly(parts)[1:].encode() + b"}")
    if not request.accept_encodings.quality("gzip"):
        return Response(gzip.decompress(content), mimetype="application/json")
    told = {"Content-Encoding": "gzip", "Vary": "Accept-Encoding"}
    return Response(content, mimetype="application/json", headers=told)
