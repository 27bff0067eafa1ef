"""The tables behind figures, served to be read on the page or taken away, from the queries that pages use."""

import re
from collections.abc import Callable, Sequence

import pandas as pd
from flask import Flask, Response, abort, request

from dashboard import data
from dashboard.address import Address
from dashboard.components.arranged import Arrangement, arranged
from dashboard.components.figure import Rows
from dashboard.components.table import table
from dashboard.data import View, meanings
from dashboard.figures.template import Screen
from dashboard.formulas import disarmed
from dashboard.pages import reach
from dashboard.router import FIRST, page_at, selected
from dashboard.speech import ENGLISH, Speech
from dashboard.words import TABLES
from sites.errors import InputError

#: What an address may put into a file's name.
IN_FILE_NAMES = re.compile(r"[\w.-]+", re.ASCII)


def serve_tables(server: Flask, view: Callable[[], View]) -> None:
    """Add /download/<page>.csv, /table/<page> and /download/reach.pdf to the server.

    The two give the table of the page's figure that `figure` in the address names, for the choices made
    there; the first as a file, the second as HTML to be put into a page. `sort`, `falling`, `search` and
    `page` arrange its rows. A figure or a choice that is not there is not found.
    """

    def download(name: str) -> Response:
        rows, about, figure = _asked_for(name, view())
        file = "-".join(("longrow", name, figure, *about)) + ".csv"
        disposition = f'attachment; filename="{file}"'
        wanted = arranged(rows, Arrangement.parse(request.args))
        return Response(as_csv(wanted), mimetype="text/csv", headers={"Content-Disposition": disposition})

    def show(name: str) -> Response:
        rows, _, figure = _asked_for(name, view())
        page = page_at(f"/{name}") or FIRST
        wanted = Arrangement.parse(request.args)
        address = Address.parse(f"/{name}", request.query_string.decode())
        csv = Rows(name, figure, address.query).csv
        speech = Speech(page.language(view(), address))
        meant = meanings(view()) if speech == ENGLISH else {}
        written = table(rows, speech(TABLES[figure]), meant, arrangement=wanted, csv=csv, speech=speech)
        return Response(written, mimetype="text/html")

    def document() -> Response:
        return _reach_document(view())

    server.add_url_rule("/download/<name>.csv", "download", download)
    server.add_url_rule("/download/reach.pdf", "reach-document", document)
    server.add_url_rule("/table/<name>", "table", show)


def _reach_document(view: View) -> Response:
    """Return the document of the year that the address names, or that there is none."""
    from pipeline.publish.reach_document import reach_document

    try:
        found = reach.asked(view, Address.parse(reach.PAGE.path, request.query_string.decode()))
    except InputError as problem:
        abort(Response(f"{problem}\n", 404, mimetype="text/plain"))
    if found is None:
        abort(404)
    content = reach_document(
        found, data.outlines(view), data.network_name(view) or "Longrow", view.published.published
    )
    disposition = f'attachment; filename="longrow-reach-{found.year}.pdf"'
    return Response(content, mimetype="application/pdf", headers={"Content-Disposition": disposition})


def _asked_for(name: str, view: View) -> tuple[pd.DataFrame, Sequence[str], str]:
    """Return the rows that the request asks for, what they are about, and the figure's name."""
    page, figure = page_at(f"/{name}"), request.args.get("figure", "")
    if page is None or figure not in page.tables:
        abort(404)
    address = Address.parse(page.path, request.query_string.decode())
    try:
        selection = selected(view, page, address, Screen())
        trial = selection.trial
        if trial is None and page.has_row:
            abort(404)
        rows = page.tables[figure](view, selection, trial)
    except InputError as problem:
        abort(Response(f"{problem}\n", 404, mimetype="text/plain"))
    if trial is not None:
        return rows, (trial.trial, trial.season), figure
    about = [word for key in ("trial", "season", "county", "year") if (word := address.get(key))]
    return rows, [word for word in about if IN_FILE_NAMES.fullmatch(word)], figure


def as_csv(rows: pd.DataFrame) -> str:
    """Return the rows as CSV. Text that a spreadsheet would run as a formula is disarmed; numbers stay."""
    text = {
        column: rows[column].map(disarmed, na_action="ignore")
        for column in rows.columns
        if pd.api.types.is_string_dtype(rows[column].dtype)
    }
    safe = rows.assign(**text).rename(columns=lambda name: disarmed(str(name)))
    return safe.to_csv(index=False, lineterminator="\n", date_format="%Y-%m-%d")
