"""The routes by which people come in and go out: passphrase, link, mailed link, sign-out."""

from datetime import timedelta
from urllib.parse import urlsplit

import sqlalchemy as sa
from flask import Flask, Response, g, redirect, request

from dashboard.access import audit, delays, invitations, people, sessions
from dashboard.access.account import Account, reader
from dashboard.access.answers import ask_to_sign_in, page, words_of
from dashboard.access.browser import give_token
from dashboard.access.delays import Try
from dashboard.access.door import Door
from dashboard.access.letters import write_letter
from dashboard.access.passphrases import is_right
from dashboard.access.tokens import new_token
from pipeline.store.engine import writing


def let_in(server: Flask, door: Door) -> None:
    """Add the routes to `server`. Without a store behind the door nobody signs in."""
    if door.engine is None:
        return
    engine = door.engine

    def sign_in() -> Response:
        if request.method == "GET":
            return ask_to_sign_in(door, status=200)
        return _try_passphrase(door, engine)

    def send_link() -> Response:
        return _mail_link(door, engine)

    def invitation(token: str) -> Response:
        if request.method == "GET":
            with engine.connect() as connection:
                account = invitations.account_behind(connection, token, door.clock())
            return page(door, "invitation.html", account=account) if account else _over(door)
        with writing(engine) as connection:
            account = invitations.use(connection, token, door.clock())
            if account is None:
                return _over(door)
            begin_session(door, connection, account, "came in by a link")
            has_passphrase = people.passphrase_of(connection, account) is not None
        return _see("/" if has_passphrase else "/account")

    def sign_out() -> Response:
        with writing(engine) as connection:
            sessions.end(connection, g.token)
            audit.write(connection, reader(), "signed out", door.clock())
        give_token(new_token())
        words = words_of(door)
        link = words("sign_in")
        heading = words("signed_out")
        answer = page(door, "told.html", heading=heading, line="", href="/sign-in", link=link)
        answer.headers["Clear-Site-Data"] = '"cache", "storage"'
        return answer

    server.add_url_rule("/sign-in", "sign_in", sign_in, methods=["GET", "POST"])
    server.add_url_rule("/sign-in/link", "send_link", send_link, methods=["POST"])
    server.add_url_rule("/come-in/<token>", "invitation", invitation, methods=["GET", "POST"])
    server.add_url_rule("/sign-out", "sign_out", sign_out, methods=["POST"])


def begin_session(door: Door, connection: sa.Connection, account: Account, act: str) -> None:
    """Sign this browser in, under a token that it has not had before."""
    now = door.clock()
    sessions.end(connection, g.token)
    sessions.sweep(connection, now)
    audit.sweep(connection, now)
    give_token(sessions.begin(connection, account, now))
    audit.write(connection, account, act, now)


def inside(address: str) -> str:
    """Return the address where it leads to a page of this server, else the first page."""
    parts = urlsplit(address)
    is_ours = address.startswith("/") and not address.startswith(("//", "/\\")) and not parts.netloc
    return address if is_ours and address.isprintable() else "/"


def _see(address: str) -> Response:
    answer = redirect(address, 303)
    return Response(answer.get_data(), answer.status_code, answer.headers)


def _attempt() -> Try:
    return Try(people.sign_in_name(request.form.get("name", "")), request.remote_addr or "")


def _try_passphrase(door: Door, engine: sa.Engine) -> Response:
    attempt, name = _attempt(), request.form.get("name", "")[:80]
    further = inside(request.form.get("next", "/"))
    words = words_of(door)
    # Counted as failed before it is tried, so that many at once cannot all slip past the wait.
    with writing(engine) as connection:
        delays.sweep(connection, door.clock())
        wait = delays.wait_seconds(connection, attempt, door.key, door.clock())
        if wait > 0:
            return _wait(door, wait, name, further)
        delays.failed(connection, attempt, door.key, door.clock())
        account = people.by_name(connection, name)
        stored = people.passphrase_of(connection, account)
    right = is_right(request.form.get("passphrase", ""), stored)
    with writing(engine) as connection:
        if account is None or not right:
            if account is not None:
                audit.write(connection, account, "failed to sign in", door.clock())
            return ask_to_sign_in(door, (words("no_match"),), 401, name, further)
        delays.succeeded(connection, attempt, door.key)
        begin_session(door, connection, account, "signed in")
    return _see(further)


def _wait(door: Door, seconds: float, name: str, further: str) -> Response:
    whole = int(seconds) + 1
    told = words_of(door)("wait", seconds=whole)
    answer = ask_to_sign_in(door, (told,), 429, name, further)
    answer.headers["Retry-After"] = str(whole)
    return answer


def _mail_link(door: Door, engine: sa.Engine) -> Response:
    """Write a letter with a link, where the name has a mail address; the answer is the same where not."""
    attempt, words = _attempt(), words_of(door)
    workspace = door.workspace
    told = words("link_sent", minutes=invitations.MAILED_MINUTES)
    with writing(engine) as connection:
        wait = delays.wait_seconds(connection, attempt, door.key, door.clock())
        if wait > 0:
            return _wait(door, wait, "", "/")
        delays.failed(connection, attempt, door.key, door.clock())
        account = people.by_name(connection, request.form.get("name", ""))
        mail = people.mail_of(connection, account) if account else None
        if workspace and workspace.settings.serving.mail_links and account and mail:
            lifetime = timedelta(minutes=invitations.MAILED_MINUTES)
            token = invitations.make(connection, account, account.name, door.clock(), lifetime)
            write_letter(workspace, account, mail, f"{door.address}/come-in/{token}", lifetime)
            audit.write(connection, account, "asked for a link", door.clock())
    return ask_to_sign_in(door, (told,), 200)


def _over(door: Door) -> Response:
    words = words_of(door)
    heading, line = words("link_over"), words("link_over_lead", days=invitations.INVITATION_DAYS)
    return page(door, "told.html", 410, heading=heading, line=line, href="/sign-in", link=words("sign_in"))
