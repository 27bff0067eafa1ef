"""What browsers hand in and take away on the pages of a volunteer: files, pickings, corrected and blank sheets."""

from collections.abc import Callable
from typing import Any
from urllib.parse import quote, urlencode

from flask import Flask, Response, abort, jsonify, request

from dashboard.data import View
from dashboard.sending.blank_sheet import blank_sheet
from dashboard.sending.chosen import read
from dashboard.sending.gate import Gate, fit_name
from dashboard.sending.picking import file_name, harvest_sheet, read_form, still_wanted
from dashboard.sending.told import Told, corrected_file, corrected_grids
from dashboard.sending.ways import Reader
from dashboard.sending.writing import csv_bytes, workbook_bytes
from pipeline.checks.names import sheet_name
from pipeline.intake.sheets import sheets
from sites.errors import InputError

_TYPES = {
    "csv": "text/csv",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}
#: Languages that pages are written in; anything else an address asks for is answered in the first.
_LANGUAGES = ("en", "es")


def serve_sending(server: Flask, view: Callable[[], View]) -> None:
    """Add the addresses under /send that take sheets and give them.

    Those that take something answer with `next`, the address of the page that says what was found; what is
    still wanted of a picking comes as `wants`.
    """

    def gate() -> Gate:
        found = view().gate
        if found is None:
            abort(404)
        return found

    def take_file() -> Response:
        handed = request.files.get("file")
        if handed is None or not handed.filename:
            abort(400)
        return _taken(gate(), handed.filename, handed.read())

    def take_picking() -> tuple[Response, int] | Response:
        place, site, language = gate(), _site(gate()), _language()
        picking = read_form(site, place.garden(site).plots, request.form)
        wants = still_wanted(picking, place.workspace.today(), language)
        if wants:
            return jsonify(wants=wants), 422
        return _taken(place, file_name(picking), csv_bytes(harvest_sheet(picking)))

    def corrected(form: str) -> Response:
        told, reader = _told(gate())
        answers = read(request.args.get("fix", ""))
        if form == "csv":
            file = corrected_file(told, answers, reader)
            return _file(file.content, file.name)
        grids = corrected_grids(told, answers, reader)
        return _file(workbook_bytes(grids), f"{told.file.name.rsplit('.', 1)[0]}.xlsx")

    def send_corrected() -> Response:
        told, reader = _told(gate())
        file = corrected_file(told, read(request.args.get("fix", "")), reader)
        return _taken(gate(), file.name, file.content)

    def blank(sheet: str, form: str) -> Response:
        place, site, language = gate(), _site(gate()), _language()
        if sheet not in sheets() or form not in _TYPES:
            abort(404)
        unit = "lb" if place.workspace.settings.units == "us" else "kg"
        grid = blank_sheet(sheet, place.garden(site), language, unit)
        content = csv_bytes(grid) if form == "csv" else workbook_bytes([grid], frozen_rows=1)
        return _file(content, f"{sheet_name(sheet, language)}-{site}.{form}")

    server.add_url_rule("/send/file", "send_file_in", take_file, methods=["POST"])
    server.add_url_rule("/send/picking", "send_picking_in", take_picking, methods=["POST"])
    server.add_url_rule("/send/corrected/send", "send_corrected", send_corrected, methods=["POST"])
    server.add_url_rule("/send/corrected/<form>", "take_corrected", corrected)
    server.add_url_rule("/send/blank/<sheet>.<form>", "take_blank", blank)


def _site(gate: Gate) -> str:
    """Return the garden that the request is about; one that nobody knows is not found."""
    site = request.args.get("garden", "")
    if site not in set(gate.registry.gardens["site"]):
        abort(404)
    return site


def _language() -> str:
    asked = request.args.get("lang", "")
    return asked if asked in _LANGUAGES else _LANGUAGES[0]


def _taken(gate: Gate, name: str, content: bytes) -> Response:
    """Keep a file, and answer with the address of what is said of it."""
    site = _site(gate)
    try:
        digest = gate.take(name, content, site)
    except InputError as problem:
        abort(Response(f"{problem}\n", 422, mimetype="text/plain"))
    query = {"garden": site, "lang": request.args.get("lang", ""), "sent": digest, "file": fit_name(name)}
    return jsonify(next=f"/send?{urlencode({key: value for key, value in query.items() if value})}")


def _told(gate: Gate) -> tuple[Told, Reader]:
    """Return the file that the request is about and for whom it is mended; one nobody kept is not found."""
    site = _site(gate)
    try:
        told = gate.told(request.args.get("sent", ""), request.args.get("file", ""), site)
    except InputError:
        abort(404)
    plots = tuple(gate.garden(site).plots)
    return told, Reader(_language(), gate.workspace.settings.units, site, plots)


def _file(content: bytes, name: str) -> Response:
    headers: dict[str, Any] = {"Content-Disposition": f"attachment; filename*=UTF-8''{quote(name)}"}
    return Response(content, mimetype=_TYPES[name.rsplit(".", 1)[-1]], headers=headers)

