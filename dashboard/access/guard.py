"""The guard: every request passes here before anything else answers.

In this order: the server's own name, the size, who asks, the rule of the route, the proof that a change was
asked for on our own page, and the rule of the page or callback with the gardens that the request names.
"""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from flask import Flask, Response, abort, g, jsonify, make_response, request

from dashboard.access.account import Account, reader
from dashboard.access.answers import ask_to_sign_in, refused
from dashboard.access.asked import GARDEN_KEYS, callback_name, gardens_named, is_as_registered, parts_of
from dashboard.access.browser import host_asked_for, is_from_our_page, keep_cookies, know_the_reader
from dashboard.access.door import Door
from dashboard.access.rules import Kind, Verdict, may
from dashboard.access.uploads import UPLOADS, largest_upload, too_many
from dashboard.address import Address

#: Largest body of any request but an upload, in bytes; what a callback sends is far smaller.
LARGEST_BODY = 1_000_000
CALLBACK = "/_dash-update-component"
_INDEX = ("/", "/<path:path>")
_SAFE = ("GET", "HEAD", "OPTIONS")


def stand_guard(
    server: Flask, door: Door, pages: Sequence[str], callbacks: Callable[[], Mapping[str, Any]]
) -> None:
    """Let `server` answer only what the rules allow.

    `pages` are the paths that it serves, `callbacks` gives the callbacks that are registered, by output.
    Must be called before the first request, and before other `before_request` functions are added.
    """
    server.config["MAX_CONTENT_LENGTH"] = LARGEST_BODY

    def check() -> Response | None:
        if host_asked_for(request.headers.get("Host", "")) not in door.hosts:
            return Response(
                "This address is not one of the names of this server.\n", 421, mimetype="text/plain"
            )
        know_the_reader(door)
        g.door, g.pages = door, pages
        account, endpoint = reader(), request.endpoint
        if endpoint is None:
            return None  # no route, no answer but 404 or 405
        gardens = [value for key in GARDEN_KEYS for value in request.args.getlist(key)]
        if not (verdict := may(account, "route", endpoint, gardens)):
            return _turn_away(door, account, verdict, endpoint)
        if endpoint in UPLOADS and request.method == "POST":
            request.max_content_length = largest_upload(door)
        if request.method not in _SAFE and not is_from_our_page(door):
            return _turn_away(door, account, Verdict(False, "Open the page again and repeat this."), endpoint)
        if endpoint in UPLOADS and (words := too_many(door, gardens)):
            return make_response(jsonify(message=words), 429)
        verdict, about = _by_what_is_asked(account, endpoint, pages, callbacks)
        return None if verdict else _turn_away(door, account, verdict, about)

    server.before_request(check)
    # What came with a form lies in files of its own, also where the request was turned away.
    server.teardown_request(lambda _problem: request.close())
    keep_cookies(server, door)


def require(door: Door, kind: Kind, name: str, gardens: Sequence[str] = ()) -> Account:
    """Return the reader where the rules allow this; else answer 403 (401 to nobody) and write it down."""
    account = reader()
    verdict = may(account, kind, name, gardens)
    if not verdict:
        abort(_turn_away(door, account, verdict, f"{kind} {name}", gardens))
    return account


def require_page(door: Door, path: str, address: Address, pages: Sequence[str]) -> None:
    """Answer 403 (401 to nobody) and write it down, where the reader may not open a page at this address."""
    gardens = [value for key in GARDEN_KEYS if (value := address.get(key))]
    account = reader()
    verdict = on_page(account, path, gardens, pages)
    if not verdict:
        abort(_turn_away(door, account, verdict, f"page {path}", gardens))


def _plain(words: str, status: int) -> Response:
    return Response(f"{words}\n", status, mimetype="text/plain")


def _turn_away(
    door: Door, account: Account, verdict: Verdict, about: str, gardens: Sequence[str] = ()
) -> Response:
    is_page = request.method == "GET" and request.endpoint in _INDEX
    if account.role == "public":
        words = _plain(f"Please sign in. {verdict.reason}", 401)
        answer = ask_to_sign_in(door) if is_page else words
        # A 401 names a way to sign in (RFC 9110, 15.5.2); browsers know none for a form.
        answer.headers["WWW-Authenticate"] = 'Form realm="Longrow"'
        return answer
    door.note(account, "refused", site=", ".join(gardens) or None, what=f"{about}: {verdict.reason}")
    return (
        refused(door, verdict.reason)
        if is_page
        else Response(f"{verdict.reason}\n", 403, mimetype="text/plain")
    )


def _by_what_is_asked(
    account: Account, endpoint: str, pages: Sequence[str], callbacks: Callable[[], Mapping[str, Any]]
) -> tuple[Verdict, str]:
    """Return the verdict on the page, table or callback that the request is about, and what it is about."""
    if endpoint == CALLBACK:
        return _on_callback(account, pages, callbacks())
    path = request.path
    if endpoint in ("download", "table"):
        path = f"/{(request.view_args or {}).get('name', '')}"
    elif endpoint not in _INDEX:
        return Verdict(True, ""), endpoint
    gardens = [value for key in GARDEN_KEYS for value in request.args.getlist(key)]
    return on_page(account, path, gardens, pages), request.path


def on_page(account: Account, path: str, gardens: Sequence[str], pages: Sequence[str]) -> Verdict:
    """Return the verdict on a page; one that is not there is said to be lost, to people with an account."""
    path = path.rstrip("/")
    if not path:
        return Verdict(account.role != "public", "Pages are for people with an account.")
    if path in pages:
        return may(account, "page", path, gardens)
    return Verdict(account.role != "public", "Pages are for people with an account.")


def _on_callback(account: Account, pages: Sequence[str], callbacks: Mapping[str, Any]) -> tuple[Verdict, str]:
    try:
        body = request.get_json(silent=True)
    except RecursionError:
        abort(400)
    if not isinstance(body, dict):
        abort(400)
    registered = callbacks.get(str(body.get("output")))
    if registered is None or not is_as_registered(body, registered):
        abort(400)
    name = callback_name(str(body["output"]), registered["inputs"])
    gardens = sorted(set(gardens_named(body)))
    verdict = may(account, "callback", name, gardens)
    for part in parts_of(body):
        if verdict and part.get("id") == "url" and part.get("property") == "pathname":
            verdict = on_page(account, str(part.get("value") or "/"), gardens, pages)
    return verdict, f"callback {name}"
