"""Tables to take away: the rows behind each figure as CSV, from the queries that the pages use."""

from collections.abc import Callable

import pandas as pd
from flask import Flask, Response, abort, request

from dashboard.address import Address
from dashboard.data import View
from dashboard.figures.template import Screen
from dashboard.router import page_at, selected
from sites.errors import InputError

#: A spreadsheet takes text that starts so for a formula; an apostrophe in front keeps it text.
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def serve_tables(server: Flask, view: Callable[[], View]) -> None:
    """Add /download/<page>.csv to the server: the table of the figure named in it, as chosen there."""

    def download(name: str) -> Response:
        page, figure = page_at(f"/{name}"), request.args.get("figure", "")
        if page is None or figure not in page.tables:
            abort(404)
        now = view()
        address = Address.parse(page.path, request.query_string.decode())
        try:
            selection = selected(now, page, address, Screen())
        except InputError as problem:
            return Response(f"{problem}\n", 404, mimetype="text/plain")
        if selection.trial is None:
            abort(404)
        file = f"longrow-{name}-{figure}-{selection.trial.trial}-{selection.trial.season}.csv"
        return Response(
            as_csv(page.tables[figure](now, selection, selection.trial)),
            mimetype="text/csv",
            headers={"Content-Disposition": f'attachment; filename="{file}"'},
        )

    server.add_url_rule("/download/<name>.csv", "download", download)


def as_csv(rows: pd.DataFrame) -> str:
    """Return the rows as CSV. Text that a spreadsheet would run as a formula is disarmed; numbers stay."""
    text = {
        column: rows[column].map(_disarmed, na_action="ignore")
        for column in rows.columns
        if pd.api.types.is_string_dtype(rows[column].dtype)
    }
    return rows.assign(**text).to_csv(index=False, lineterminator="\n", date_format="%Y-%m-%d")


def _disarmed(text: str) -> str:
    return f"'{text}" if text.startswith(FORMULA_STARTS) else text
