"""Releasing and taking back: what the buttons of the Release page do."""

from collections.abc import Callable
from typing import Any

import dash
from dash import ALL, Input, Output, ctx
from dash.exceptions import PreventUpdate

from dashboard import data
from dashboard.access.door import write_down
from dashboard.data import View
from dashboard.pages import release
from dashboard.wording.shared import RELEASE_WORDS as WORDS
from sites.errors import InputError


def release_by(app: dash.Dash, view: Callable[[], View]) -> None:
    """Add the callback of the buttons: it does what was pressed, says so, and shows the page anew."""

    @app.callback(
        Output("release-told", "children"),
        Output("release-answers", "children"),
        Input({"type": "release", "act": ALL, "of": ALL}, "n_clicks"),
        prevent_initial_call=True,
    )
    def press(_presses: list[int | None]) -> tuple[str, list[Any]]:
        # Buttons that have just been drawn report in as well, without a press.
        if not ctx.triggered or not ctx.triggered[0]["value"]:
            raise PreventUpdate
        return act(view(), ctx.triggered_id["act"], ctx.triggered_id["of"])


def act(view: View, what: str, of: str) -> tuple[str, list[Any]]:
    """Release or take back in the reader's name; return what is said, and the page's answers anew.

    Only the lead may; for anybody else nothing happens.
    """
    if view.account.role != "lead" or view.releases is None:
        raise PreventUpdate
    said = ""
    try:
        if what == "release":
            trial, season = of.split("|", 1)
            view.releases.release(trial, season, view.account.name)
            write_down("released", what=of)
            said = WORDS["done"].format(what=release.what(trial, season))
        else:
            number = int(of)
            known = next((one for one in view.releases.history() if one.number == number), None)
            view.releases.take_back(number, view.account.name)
            write_down("took a release back", what=of)
            said = WORDS["undone"].format(what=release.what(known.trial, known.season) if known else of)
    except InputError as problem:
        said = str(problem)
    return said, release.answers(view, [one for one in data.trial_seasons(view) if one.is_closed])
