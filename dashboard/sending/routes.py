"""What browsers hand in and take away on a volunteer's pages: files, pickings, corrected and blank sheets."""

from collections.abc import Callable
from contextlib import closing
from datetime import date
from typing import Any
from urllib.parse import quote, urlencode

from flask import Flask, Response, abort, jsonify, request

from dashboard.access.door import write_down
from dashboard.access.uploads import note_upload
from dashboard.data import View
from dashboard.sending.blank_sheet import blank_sheet
from dashboard.sending.chosen import read, written
from dashboard.sending.gate import Gate, answering
from dashboard.sending.picking import file_name, harvest_sheet, read_form, still_wanted
from dashboard.sending.told import Told, corrected_file, corrected_grids, said_right
from dashboard.sending.ways import Reader
from dashboard.sending.words import say
from dashboard.sending.writing import csv_bytes, workbook_bytes
from pipeline.checks.names import sheet_name
from pipeline.inbox import fit_name
from pipeline.intake.sheets import sheets
from pipeline.said_right import keep_said
from pipeline.store.decisions import Answer, Asked
from sites.absences import LONGEST_DAYS, add_absence
from sites.errors import InputError

#: Answers that a garden may give about its own rows.
ANSWERS: tuple[Answer, ...] = ("use it", "set aside", "change it", "not sure")
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
        with closing(handed):
            return _taken(gate(), handed.filename, handed.read())

    def take_picking() -> Response:
        place, site, language = gate(), _site(gate()), _language()
        picking = read_form(site, place.garden(site).plots, request.form)
        wants = still_wanted(picking, place.workspace.today(), language)
        if wants:
            return _wants(*wants)
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

    def say_right() -> Response:
        place, site = gate(), _site(gate())
        told, _ = _told(place)
        answers = read(request.args.get("fix", ""))
        keep_said(place.workspace.root, site, request.args["sent"], said_right(told, answers))
        names = ("garden", "lang", "sent", "file")
        kept = {name: value for name in names if (value := request.args.get(name))}
        query = kept | ({"fix": written(answers)} if answers else {})
        return jsonify(next=f"/send?{urlencode(query)}")

    def blank(sheet: str, form: str) -> Response:
        place, site, language = gate(), _site(gate()), _language()
        if sheet not in sheets() or form not in _TYPES:
            abort(404)
        unit = "lb" if place.workspace.settings.units == "us" else "kg"
        grid = blank_sheet(sheet, place.garden(site), language, unit)
        content = csv_bytes(grid) if form == "csv" else workbook_bytes([grid], frozen_rows=1)
        return _file(content, f"{sheet_name(sheet, language)}-{site}.{form}")

    _serve_own_garden(server, gate)
    server.add_url_rule("/send/file", "send_file_in", take_file, methods=["POST"])
    server.add_url_rule("/send/picking", "send_picking_in", take_picking, methods=["POST"])
    server.add_url_rule("/send/corrected/send", "send_corrected", send_corrected, methods=["POST"])
    server.add_url_rule("/send/right", "say_right", say_right, methods=["POST"])
    server.add_url_rule("/send/corrected/<form>", "take_corrected", corrected)
    server.add_url_rule("/send/blank/<sheet>.<form>", "take_blank", blank)


def _serve_own_garden(server: Flask, gate: Callable[[], Gate]) -> None:
    """Add the addresses under /my-garden that take a garden's answers and absences."""

    def answer() -> Response:
        place, site, language = gate(), _site(gate()), _language()
        found = _finding(place, site, request.form.get("finding", ""))
        words = request.form.get("answer", "")
        if found is None or words not in ANSWERS:
            return _wants(say("answer_gone", language))
        asked = Asked(
            words,
            answering(site),
            kind=found["kind"] or "harvest",
            row_id=found["row_id"],
            finding_id=found["finding_id"],
            check=found["check"],
            site=site,
            column=request.form.get("column") if words == "change it" else None,
            value=request.form.get("value", "").strip() if words == "change it" else None,
        )
        try:
            place.decide(asked)
        except InputError:
            name = "answer_unclear" if words == "change it" else "answer_gone"
            return _wants(say(name, language, value=(asked.value or "")[:60]))
        write_down("decided", site=site, what=f"{words}: {asked.check}")
        return _back_to("/my-garden", site, language)

    def undo() -> Response:
        place, site, language = gate(), _site(gate()), _language()
        number = request.form.get("decision", "")
        try:
            place.take_back(int(number) if number.isdigit() else -1, site)
        except InputError:
            return _wants(say("answer_gone", language))
        write_down("took a decision back", site=site, what=number)
        return _back_to("/my-garden", site, language)

    def away() -> Response:
        place, site, language = gate(), _site(gate()), _language()
        first, last = (_day(request.form.get(name, "")) for name in ("from", "to"))
        if first is None or last is None:
            return _wants(say("away_days", language))
        if last < first:
            return _wants(say("away_order", language))
        if (last - first).days >= LONGEST_DAYS:
            return _wants(say("away_long", language, n=LONGEST_DAYS))
        add_absence(place.workspace.registry, site, first, last, request.form.get("stand_in", "")[:60])
        write_down("said who is away", site=site, what=f"{first} to {last}")
        return _back_to("/my-garden", site, language)

    server.add_url_rule("/my-garden/answer", "answer_own", answer, methods=["POST"])
    server.add_url_rule("/my-garden/undo", "undo_own", undo, methods=["POST"])
    server.add_url_rule("/my-garden/away", "away_own", away, methods=["POST"])


def _finding(gate: Gate, site: str, number: str) -> dict[str, Any] | None:
    """Return the open finding of this garden with that number; those of others are not there."""
    own = (finding for finding in gate.open_questions(site) if str(finding["finding_id"]) == number)
    return next(own, None)


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def _wants(*words: str) -> Response:
    return jsonify(wants=list(words))


def _back_to(path: str, site: str, language: str) -> Response:
    return jsonify(next=f"{path}?{urlencode({'garden': site, 'lang': language})}", again=True)


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
    note_upload(site, digest, fit_name(name), len(content), on_behalf_of=request.args.get("for"))
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
