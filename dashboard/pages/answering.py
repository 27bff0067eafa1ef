"""Taking the lead's answers: what the buttons of the questions page do."""

from collections.abc import Callable, Mapping
from typing import Any, get_args

import dash
from dash import ALL, Input, Output, State, ctx, no_update
from dash.exceptions import PreventUpdate

from dashboard.access.door import write_down
from dashboard.data import View
from pipeline.store.decisions import Answer, Asked
from sites.errors import InputError


def take_answers(app: dash.Dash, view: Callable[[], View]) -> None:
    """Add the callbacks that record a decision and take one back; each shows the page anew."""

    @app.callback(
        Output("decided", "data"),
        Output("answer-trouble", "children"),
        Input({"type": "answer", "answer": ALL}, "n_clicks"),
        State("case", "data"),
        *(State(f"answer-{name}", "value") for name in FIELDS),
        prevent_initial_call=True,
    )
    def answer(_clicks: list[int | None], about: dict[str, Any], *fields: str | None) -> tuple[Any, Any]:
        if not _was_pressed():
            raise PreventUpdate
        pressed = str(ctx.triggered_id["answer"])
        filled = {name: (value or "").strip() for name, value in zip(FIELDS, fields, strict=True)}
        try:
            decided = decide(view(), pressed, about, filled)
        except InputError as problem:
            return no_update, str(problem)
        sites = {finding["site"] for finding in about["findings"] if finding["site"]}
        write_down("decided", site=", ".join(sorted(sites)) or None, what=f"{pressed}: {decided}")
        return {"decided": decided}, ""

    @app.callback(
        Output("undone", "data"),
        Input({"type": "undo", "decision": ALL, "place": ALL}, "n_clicks"),
        prevent_initial_call=True,
    )
    def undo(_clicks: list[int | None]) -> Any:
        if not _was_pressed():
            raise PreventUpdate
        decision = int(ctx.triggered_id["decision"])
        now = view()
        if now.desk is None:
            raise PreventUpdate
        try:
            now.desk.undo(decision, now.account.name)
        except InputError:
            # Somebody else was faster; the page shown anew says so.
            return {"undone": decision, "again": True}
        write_down("took a decision back", what=str(decision))
        return {"undone": decision}


#: All answers that there are.
KNOWN: tuple[Answer, ...] = get_args(Answer)
#: What the form beside the answers holds.
FIELDS = ("column", "value", "where", "other", "from", "scope", "why")


def _was_pressed() -> bool:
    """Return whether a button was pressed; buttons that only came onto the page ask for nothing."""
    return ctx.triggered_id is not None and bool(ctx.triggered[0]["value"])


def decide(view: View, pressed: str, about: Mapping[str, Any], filled: Mapping[str, str]) -> list[int]:
    """Record an answer for the chosen finding, or for all with its cause, and return the decisions' numbers.

    Raises InputError where the answer lacks something or a row has changed since the page was opened.
    """
    if view.desk is None:
        raise InputError("The rows behind this page are not at hand. Open the page again in a minute.")
    findings = [
        finding
        for finding in about["findings"]
        if filled["scope"] == "all" or finding["finding"] == about["chosen"]
    ]
    if pressed in ("change it", "swapped"):
        findings = [finding for finding in findings if finding["finding"] == about["chosen"]]
    asked = [_asked(view, pressed, finding, filled) for finding in findings]
    return [view.desk.decide(each) for each in asked]


def _asked(view: View, pressed: str, finding: Mapping[str, Any], filled: Mapping[str, str]) -> Asked:
    answer, column, value = pressed, None, None
    if pressed == "change it":
        column, value = filled["column"] or finding["column"], filled["value"]
        if not value:
            raise InputError("Write the value that it should be changed to, then choose again.")
        if view.desk is not None:
            view.desk.check_value(finding["sheet"], column, value)
    if pressed == "swapped":
        answer = filled["where"] or "swapped"
        value = _swap(view, finding, filled)
    known = next((one for one in KNOWN if one == answer), None)
    if known is None:
        raise InputError("This answer is not known. Open the page again.")
    return Asked(
        answer=known,
        made_by=view.account.name,
        why=filled["why"],
        kind=finding["sheet"] or "harvest",
        row_id=finding["row"],
        finding_id=finding["finding"],
        check=finding["check"],
        site=finding["site"],
        column=column,
        value=value,
    )


def _swap(view: View, finding: Mapping[str, Any], filled: Mapping[str, str]) -> str:
    """Return the two plots and the first day of a swap, as a decision holds them."""
    if view.desk is None or finding["row"] is None:
        raise InputError("Open the page again, then choose once more.")
    row = view.desk.row(finding["sheet"], int(finding["row"]))
    other = filled["other"]
    if row is None or not isinstance(row["plot"], str) or not other or other == row["plot"]:
        raise InputError("Write the plot that this one was swapped with, then choose again.")
    view.desk.check_value(finding["sheet"], "date", filled["from"])
    return f"{row['plot']} {other} {filled['from']}"
