"""The routes of an account: oneself, one's passphrase, what is kept; and for leads, everybody."""

from typing import Any

import sqlalchemy as sa
from flask import Flask, Response, abort, jsonify, request

from dashboard.access import audit, delays, invitations, people
from dashboard.access.account import Account, reader
from dashboard.access.answers import cannot_be_shown, page, words_of
from dashboard.access.delays import Try
from dashboard.access.door import Door
from dashboard.access.letters import as_picture
from dashboard.access.passphrases import SHORTEST, hashed, is_right, refuse_weak
from dashboard.access.sign_in import begin_session
from pipeline.personal import record_of
from pipeline.store.engine import writing
from sites.errors import InputError


def show_accounts(server: Flask, door: Door) -> None:
    """Add the routes to `server`. Where no store is behind the door there are no accounts to show."""

    def privacy() -> Response:
        return page(door, "privacy.html")

    server.add_url_rule("/privacy", "privacy", privacy)
    if door.engine is None:
        return
    engine = door.engine

    def account() -> Response:
        return _own_page(door, engine)

    def passphrase() -> Response:
        return _change(door, engine, reader())

    def own_record() -> Response:
        if door.workspace is None:
            abort(404)
        answer: Response = jsonify(record_of(engine, door.workspace, reader().name))
        answer.headers["Content-Disposition"] = 'attachment; filename="longrow-record.json"'
        return answer

    def everybody() -> Response:
        door.note(reader(), "saw contact details", what="people")
        with engine.connect() as connection:
            known, lines = people.everybody(connection), audit.newest(connection)
        return page(door, "people.html", people=known, lines=lines)

    def new_link(number: int) -> Response:
        with writing(engine) as connection:
            chosen = people.by_id(connection, number)
            if chosen is None:
                abort(404)
            token = invitations.make(connection, chosen, reader().name, door.clock())
            audit.write(connection, reader(), "made a link", door.clock(), what=f"account {number}")
        return _show_link(door, chosen, token)

    def trouble(problem: Exception) -> Response:
        server.logger.error("The store cannot be read.", exc_info=problem)
        return cannot_be_shown(door)

    server.register_error_handler(sa.exc.DBAPIError, trouble)
    server.add_url_rule("/account", "account", account)
    server.add_url_rule("/account/passphrase", "passphrase", passphrase, methods=["POST"])
    server.add_url_rule("/account/record.json", "own_record", own_record)
    server.add_url_rule("/people", "people", everybody)
    server.add_url_rule("/people/<int:number>/link", "new_link", new_link, methods=["POST"])


def _own_page(door: Door, engine: sa.Engine, told: tuple[str, ...] = (), status: int = 200) -> Response:
    account = reader()
    stored = None
    if account.id:
        with engine.connect() as connection:
            stored = people.passphrase_of(connection, account)
    values: dict[str, Any] = {"account": account, "gardens": account.gardens, "shortest": SHORTEST}
    return page(door, "account.html", status, told, has_passphrase=stored is not None, **values)


def _change(door: Door, engine: sa.Engine, account: Account) -> Response:
    words, new = words_of(door), request.form.get("new", "")
    if not account.id:
        abort(404)
    with engine.connect() as connection:
        stored = people.passphrase_of(connection, account)
    if stored is not None and (refusal := _refuse_wrong_old(door, engine, account, stored)):
        return refusal
    network = door.workspace.settings.name if door.workspace else ""
    try:
        refuse_weak(new, (account.name, network, "longrow", *account.gardens))
    except InputError:
        return _own_page(door, engine, (words("too_weak", shortest=SHORTEST),), 422)
    kept = hashed(new)
    with writing(engine) as connection:
        people.set_passphrase(connection, account, kept)
        begin_session(door, connection, account, "changed the passphrase")
    return _own_page(door, engine, (words("saved"),))


def _refuse_wrong_old(door: Door, engine: sa.Engine, account: Account, stored: str) -> Response | None:
    """Return the answer to a wrong old passphrase, None to the right one.

    Guesses count with those at the door: a device left open must not be a faster way to find the passphrase.
    """
    words, attempt = words_of(door), Try(people.sign_in_name(account.name), request.remote_addr or "")
    with writing(engine) as connection:
        wait = delays.wait_seconds(connection, attempt, door.key, door.clock())
        if wait <= 0:
            delays.failed(connection, attempt, door.key, door.clock())
    if wait > 0:
        whole = int(wait) + 1
        answer = _own_page(door, engine, (words("wait", seconds=whole),), 429)
        answer.headers["Retry-After"] = str(whole)
        return answer
    right = is_right(request.form.get("old", ""), stored)
    with writing(engine) as connection:
        if not right:
            audit.write(connection, account, "gave a wrong old passphrase", door.clock())
            return _own_page(door, engine, (words("old_wrong"),), 422)
        delays.succeeded(connection, attempt, door.key)
    return None


def _show_link(door: Door, account: Account, token: str) -> Response:
    link = f"{door.address or request.host_url.rstrip('/')}/come-in/{token}"
    days = invitations.INVITATION_DAYS
    return page(door, "link.html", account=account, link=link, picture=as_picture(link), days=days)
