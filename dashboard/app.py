"""Builds the app: the server, its door, the tables to take away, and the one router."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import dash
from dash import ALL, ClientsideFunction, Input, Output, State, ctx, no_update
from dash.exceptions import DependencyException, PreventUpdate
from flask import Flask, Response, g, jsonify
from werkzeug.exceptions import HTTPException

from dashboard.access.account import reader
from dashboard.access.asked import callback_name
from dashboard.access.door import Door
from dashboard.access.guard import require_page, stand_guard
from dashboard.access.headers import keep_inside
from dashboard.access.own_account import show_accounts
from dashboard.access.rows import Seen
from dashboard.access.rules import may
from dashboard.access.sign_in import let_in
from dashboard.access.uploads import take_uploads
from dashboard.address import Address
from dashboard.answered import OUTPUTS, STANDING, hand_over, keep_answers
from dashboard.components import shell, states
from dashboard.data import Published, View
from dashboard.desk import Desk
from dashboard.pages.answering import take_answers
from dashboard.pages.typing_in import serve_pictures, take_typed_rows
from dashboard.releasing import release_by
from dashboard.router import FIRST, PAGES, page_at, pages_for, route, screen_of
from dashboard.sending.gate import Gate
from dashboard.sending.routes import serve_sending
from dashboard.speech import ENGLISH, Speech
from dashboard.tables import serve_tables
from dashboard.worked import Shelf
from pipeline.publish.releases import Releases
from pipeline.words import LANGUAGES

HERE = Path(__file__).parent


def create_app(
    published: Callable[[], Published],
    *,
    door: Door | None = None,
    desk: Desk | None = None,
    releases: Releases | None = None,
    gate: Gate | None = None,
) -> dash.Dash:
    """Return the dashboard over what `published` returns, asked anew for every page.

    `door` says who may ask: it knows the names of the server and its accounts. Without one the network keeps
    no accounts, and whoever can open the page sees what its lead sees. `desk` is the store behind the
    snapshot; without one no page leads back to rows or takes decisions. `releases` are the answers that
    everybody may read; without them none can be released. Sheets are handed in at `gate`; without one, none
    are taken.
    """
    door = door or Door()
    server: Any = Flask("longrow", template_folder=str(HERE / "access" / "templates"))
    # Streams are the files of assets, which are small; compressing them leaves the files open.
    server.config["COMPRESS_STREAMS"] = False
    stand_guard(server, door, [page.path for page in PAGES], lambda: app.callback_map)
    app = dash.Dash(
        "dashboard",
        server=server,
        title="Longrow",
        update_title="",
        serve_locally=True,
        compress=True,
        assets_folder=str(HERE / "assets"),
        # The index itself asks for this one, before anything is drawn.
        assets_ignore=r"first\.js",
        index_string=(HERE / "index.html").read_text(encoding="utf-8"),
        # Content comes by callback, so callbacks name parts that are not there yet; and otherwise Dash
        # would write every page's layout into the index for whoever asks.
        suppress_callback_exceptions=True,
    )
    app.layout = lambda: shell.frame(pages_for(reader()), reader(), open_notice=door.is_open())

    shelf = Shelf()

    def view() -> View:
        # A request sees one snapshot and one state of the store, however often it looks.
        if "view" not in g:
            g.view = view_now()
        seen: View = g.view
        return seen

    def view_now() -> View:
        account, snapshot = reader(), published()
        behind = desk if may(account, "act", "decide") else None
        worked = shelf.of(snapshot.id, account)
        seen = Seen(snapshot, account, shelf.of_all(snapshot.id))
        return View(seen, account, behind, releases, gate, worked)

    let_in(server, door)
    show_accounts(server, door)
    take_uploads(server, door)
    serve_tables(server, view)
    serve_sending(server, view)
    _route_by(app, door, view)
    take_answers(app, view)
    serve_pictures(server, view)
    take_typed_rows(app, view)
    release_by(app, view)
    _let_the_browser_help(app)
    _list_only_what_is_allowed(server)
    keep_answers(server, door, view)
    # Dash raises for a library that it does not have; to whoever asked, it is not there.
    server.register_error_handler(DependencyException, lambda _problem: ("", 404))
    keep_inside(server, app.csp_hashes(), by_tls=door.by_tls)
    with server.test_request_context("/"):
        # Dash learns which files its libraries have while it answers its first request; to a browser that
        # asks for one meanwhile, because another process gave it its index, it says that there is none.
        app.index()
    return app


def _list_only_what_is_allowed(server: Any) -> None:
    """Let the list of callbacks that Dash gives to browsers name only those that the reader may run."""
    list_all = server.view_functions["/_dash-dependencies"]

    def list_allowed() -> Response:
        callbacks = json.loads(list_all().get_data())
        return jsonify(
            [
                one
                for one in callbacks
                if one["clientside_function"]
                or may(reader(), "callback", callback_name(one["output"], one["inputs"]))
            ]
        )

    server.view_functions["/_dash-dependencies"] = list_allowed


def _route_by(app: dash.Dash, door: Door, view: Callable[[], View]) -> None:
    """Add the router: from the address and the screen to everything that stands on the page."""

    def trouble(problem: Exception) -> list[Any]:
        if isinstance(problem, HTTPException):
            raise problem  # not allowed: that is an answer and no trouble
        app.logger.error("A page could not be made: %s", ctx.inputs, exc_info=problem)
        page = page_at(ctx.inputs.get("url.pathname") or "/") or FIRST
        # The snapshot may be what cannot be read, so the language rests on the address and the reader alone.
        asked = Address.parse("/", ctx.inputs.get("url.search")).get("lang")
        language = asked if asked in LANGUAGES else reader().language
        speech = Speech(language) if page.speaks else ENGLISH
        told = states.trouble(speech(page.words.trouble), speech)
        filled = {"main": told, "below": [], "standing": ""}
        return [filled.get(part, no_update) for part, _ in OUTPUTS]

    @app.callback(
        *(Output(part, what) for part, what in OUTPUTS),
        Input("url", "pathname"),
        Input("url", "search"),
        Input("screen", "data"),
        *(Input(name, "data") for name in shell.CHANGED),
        State(*STANDING),
        on_error=trouble,
    )
    def show(
        path: str | None, search: str | None, screen: dict[str, Any] | None, *_further: object
    ) -> list[Any]:
        if path is None or screen is None:
            raise PreventUpdate
        address = Address.parse(path, search)
        require_page(door, path, address, [page.path for page in PAGES])
        seen = view()
        routed = route(seen, path, search or "", screen_of(screen))
        foot = shell.foot(seen.account, routed.speech, open_notice=door.is_open_to(seen.account))
        own = routed.chosen
        page = [routed.title, routed.masthead, own.ruler, routed.main, foot, routed.speech.language]
        filled = [*page, own.below, own.garden, routed.standing]
        hand_over(dict(zip(OUTPUTS, filled, strict=True)))
        return filled


def _let_the_browser_help(app: dash.Dash) -> None:
    """Add what the browser does by itself; the functions are named in assets/*.js."""

    def browser(name: str, *arguments: Any) -> None:
        app.clientside_callback(ClientsideFunction("longrow", name), *arguments)

    browser("screen", Output("screen", "data"), Input("url", "pathname"), State("screen", "data"))
    browser("title", Input("title", "data"))
    browser("language", Input("language", "data"))
    browser(
        "reading",
        Output("reading-words", "children"),
        Input("url", "pathname"),
        State("reading-by-page", "data"),
    )
    browser("mark", Input("garden", "data"))
    browser("point", Input({"type": "figure", "name": ALL}, "hoverData"))
    browser("choose", Input({"type": "figure", "name": ALL}, "clickData"))
