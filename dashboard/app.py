"""Builds the app: the server, its door, the tables to take away, and the one router."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import dash
from dash import ALL, ClientsideFunction, Input, Output, State, ctx, no_update
from dash.exceptions import PreventUpdate
from flask import Flask

from dashboard.access.account import OPEN_ACCOUNT
from dashboard.access.guard import LOOPBACK, keep_inside, stand_guard
from dashboard.components import shell, states
from dashboard.data import Published, View
from dashboard.router import FIRST, PAGES, page_at, route, screen_of
from dashboard.sending.gate import Gate
from dashboard.sending.routes import serve_sending
from dashboard.tables import serve_tables

HERE = Path(__file__).parent


def create_app(
    published: Callable[[], Published],
    *,
    hosts: tuple[str, ...] = LOOPBACK,
    open_notice: bool = True,
    gate: Gate | None = None,
) -> dash.Dash:
    """Return the dashboard over what `published` returns, asked anew for every page.

    It answers only requests that call it by one of `hosts`. `open_notice` says on every page that the
    network keeps no accounts. Sheets are handed in at `gate`; without one, none are taken.
    """
    server: Any = Flask("longrow")
    # Streams are the files of assets, which are small; compressing them leaves the files open.
    server.config["COMPRESS_STREAMS"] = False
    stand_guard(server, hosts)
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
    app.layout = shell.frame(PAGES, open_notice=open_notice)

    def view() -> View:
        return View(published(), OPEN_ACCOUNT, gate)

    serve_tables(server, view)
    serve_sending(server, view)
    _route_by(app, view)
    _let_the_browser_help(app)
    keep_inside(server, app.csp_hashes())
    return app


def _route_by(app: dash.Dash, view: Callable[[], View]) -> None:
    """Add the router: from the address and the screen to everything that stands on the page."""

    def trouble(problem: Exception) -> list[Any]:
        app.logger.error("A page could not be made: %s", ctx.inputs, exc_info=problem)
        page = page_at(ctx.inputs.get("url.pathname") or "/") or FIRST
        return [no_update, no_update, no_update, states.trouble(page.words.trouble)]

    @app.callback(
        Output("title", "data"),
        Output("masthead", "children"),
        Output("ruler", "children"),
        Output("main", "children"),
        Input("url", "pathname"),
        Input("url", "search"),
        Input("screen", "data"),
        Input("changed", "data"),
        on_error=trouble,
    )
    def show(
        path: str | None, search: str | None, screen: dict[str, Any] | None, _changed: object
    ) -> list[Any]:
        if path is None or screen is None:
            raise PreventUpdate
        routed = route(view(), path, search or "", screen_of(screen))
        return [routed.title, routed.masthead, routed.ruler, routed.main]


def _let_the_browser_help(app: dash.Dash) -> None:
    """Add what the browser does by itself; the functions are named in assets/*.js."""

    def browser(name: str, *arguments: Any) -> None:
        app.clientside_callback(ClientsideFunction("longrow", name), *arguments)

    browser("screen", Output("screen", "data"), Input("url", "pathname"), State("screen", "data"))
    browser("title", Input("title", "data"))
    browser(
        "reading",
        Output("reading-words", "children"),
        Input("url", "pathname"),
        State("reading-by-page", "data"),
    )
    browser("point", Input({"type": "figure", "name": ALL}, "hoverData"))
    browser("choose", Input({"type": "figure", "name": ALL}, "clickData"))
