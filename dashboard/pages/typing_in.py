"""Typing paper in: the pictures' route, and what the form's button does."""

from collections.abc import Callable
from typing import Any

import dash
from dash import ALL, Input, Output, State, ctx, no_update
from dash.exceptions import PreventUpdate
from flask import Flask, Response, abort

from dashboard.access.door import write_down
from dashboard.data import View
from sites.errors import InputError

#: Media types by the kind of picture.
MEDIA = {"JPEG": "image/jpeg", "PNG": "image/png"}


def serve_pictures(server: Flask, view: Callable[[], View]) -> None:
    """Add /picture/<number>: a picture that waits to be typed, without the place where it was taken."""

    def picture(upload: int) -> Response:
        desk = view().desk
        found = desk.picture(upload) if desk else None
        if found is None or found[0] not in MEDIA:
            abort(404)
        kind, content = found
        return Response(content, mimetype=MEDIA[kind], headers={"Cache-Control": "no-store"})

    server.add_url_rule("/picture/<int:upload>", "picture", picture)


def take_typed_rows(app: dash.Dash, view: Callable[[], View]) -> None:
    """Add the callback that puts typed rows into the inbox and shows the next picture."""

    @app.callback(
        Output("typed", "data"),
        Output("paper-trouble", "children"),
        Input("paper-save", "n_clicks"),
        State("paper-upload", "data"),
        State("paper-site", "value"),
        State({"type": "paper", "row": ALL, "column": ALL}, "value"),
        prevent_initial_call=True,
    )
    def save(clicks: int | None, upload: int, site: str | None, cells: list[str | None]) -> tuple[Any, Any]:
        if not clicks:
            raise PreventUpdate
        rows: dict[int, dict[str, str]] = {}
        for told, value in zip(ctx.states_list[2], cells, strict=True):
            rows.setdefault(told["id"]["row"], {})[told["id"]["column"]] = value or ""
        now = view()
        if now.desk is None:
            raise PreventUpdate
        try:
            name = now.desk.type_in(upload, (site or "").strip(), list(rows.values()), now.account.name)
        except InputError as problem:
            return no_update, str(problem)
        write_down("typed a picture in", site=(site or "").strip(), what=f"upload {upload}: {name}")
        return {"typed": name}, ""
