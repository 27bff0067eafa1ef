"""The router's answers, kept as the bytes browsers get: writing a page out costs more than drawing it."""

import json
from collections.abc import Callable, Mapping, Sequence
from typing import Any

import sqlalchemy as sa
from flask import Flask, Response, g, make_response, request
from plotly.io.json import to_json_plotly

from dashboard.access.door import Door
from dashboard.access.guard import CALLBACK, require_page
from dashboard.address import Address
from dashboard.components import shell
from dashboard.components.shell import CHANGED
from dashboard.data import View
from dashboard.drawn import DrawnPage, DrawnPages
from dashboard.router import PAGES, choose_garden, screen_of
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
#: What the browser tells of the page that it shows.
STANDING = ("standing", "data")
#: Which of them names the reader: that one is made for each answer.
_OWN = "foot"
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
        if any(str(name).split(".")[0] in CHANGED for name in body.get("changedPropIds") or ()):
            drawn.forget()
        address, screen = asked
        require_page(door, address.path, address, [page.path for page in PAGES])
        try:
            seen = view()
        except (OSError, sa.exc.SQLAlchemyError):
            # The router meets the same trouble, writes it to the log and says so in the page's own words.
            return make_response(answer_anew())
        chosen = _chosen_alone(seen, address, screen, body)
        if chosen is not None:
            return chosen
        made: list[Response] = []

        def draw() -> DrawnPage | None:
            made.append(make_response(answer_anew()))
            is_whole = made[0].status_code == 200 and not g.get("page_had_trouble")
            return _without_the_reader(made[0].get_data()) if is_whole else None

        kept = drawn.get(seen.published.id, seen.account, address, screen_of(screen), draw)
        if made or kept is None:
            return made[0]
        foot = shell.foot(seen.account, Speech(kept.language), open_notice=door.is_open())
        return Response(_with_the_reader(kept.content, foot), mimetype="application/json")

    server.view_functions[CALLBACK] = answer


def _chosen_alone(seen: View, address: Address, screen: Mapping[str, Any], body: Any) -> Response | None:
    """Return what changes where only another garden is chosen; None where that has to be a whole page."""
    told = (part.get("value") for part in body.get("state") or () if _is(part, STANDING))
    standing = next(told, None)
    if not isinstance(standing, str) or body.get("changedPropIds") != ["url.search"]:
        return None
    try:
        routed = choose_garden(seen, address, screen_of(screen), standing)
    except InputError:
        return None  # the router says what is wrong with the address
    if routed is None:
        return None
    filled = {
        "ruler": {"children": routed.ruler},
        "below": {"children": routed.below},
        "garden": {"data": routed.garden},
    }
    return Response(to_json_plotly({"multi": True, "response": filled}), mimetype="application/json")


def _is(part: Any, named: tuple[str, str]) -> bool:
    return isinstance(part, dict) and (part.get("id"), part.get("property")) == named


def page_asked(body: Any) -> tuple[Address, Mapping[str, Any]] | None:
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
    return Address.parse(path, search), screen


def _without_the_reader(content: bytes) -> DrawnPage:
    """Return an answer of the router to keep: JSON that is still open behind the last part of the page."""
    filled = json.loads(content)["response"]
    del filled[_OWN]
    parts = json.dumps(filled, separators=(",", ":"), ensure_ascii=False)
    return DrawnPage(f'{{"multi":true,"response":{parts}'.encode(), filled["language"]["data"])


def _with_the_reader(content: bytes, foot: Sequence[Any]) -> bytes:
    own = to_json_plotly({_OWN: {"children": foot}})
    return b"".join((content[:-1], b",", own[1:].encode(), b"}"))
