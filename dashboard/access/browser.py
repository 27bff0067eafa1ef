"""What a browser keeps for us, and how a request proves that it was made on a page of ours."""

from urllib.parse import urlsplit

from flask import Flask, Response, g, request

from dashboard.access.account import NOBODY, OPEN_ACCOUNT
from dashboard.access.door import Door
from dashboard.access.tokens import is_same, keyed, new_token

#: The cookie that the browser keeps, and the one from which our own script proves that it is our page.
COOKIE, PROOF_COOKIE, PROOF_HEADER = "longrow", "_csrf_token", "X-CSRFToken"
#: Seconds for which a browser keeps them; the session behind may end earlier.
_KEPT_SECONDS = 180 * 86_400
#: Largest body of a form, in bytes.
_LARGEST_FORM = 20_000


def know_the_reader(door: Door) -> None:
    """Find out who sent the request, and what its browser must send with a change."""
    token = request.cookies.get(cookie_name(door), "")
    g.token, g.token_is_new = token or new_token(), not token
    account = door.account_of(g.token)
    # A network without accounts is open to this machine alone: what a proxy hands on comes from elsewhere.
    is_handed_on = any(name in request.headers for name in ("X-Forwarded-For", "Forwarded", "Via"))
    g.account = NOBODY if account == OPEN_ACCOUNT and is_handed_on else account
    g.proof = proof(door, g.token)


def cookie_name(door: Door) -> str:
    """Return the cookie's name: behind TLS one that browsers bind to this host alone (RFC 6265bis, 4.1.3)."""
    return f"__Host-{COOKIE}" if door.by_tls else COOKIE


def proof(door: Door, token: str) -> str:
    """Return what a request that changes something must carry beside the browser's token."""
    return keyed(door.key, "proof", token)


def give_token(token: str) -> None:
    """Let the browser keep another token from this answer on."""
    g.token, g.token_is_new, g.must_send_token = token, True, True


def is_from_our_page(door: Door) -> bool:
    """Return whether a request that changes something was sent by a page of this server.

    Three proofs: what the browser says of the sender, its origin, and a value that other pages cannot read.
    """
    if request.headers.get("Sec-Fetch-Site", "same-origin") not in ("same-origin", "none"):
        return False
    origin = request.headers.get("Origin")
    if origin is not None and host_asked_for(urlsplit(origin).netloc) != host_asked_for(
        request.headers.get("Host", "")
    ):
        return False
    sent = request.headers.get(PROOF_HEADER)
    if sent is None and request.mimetype == "application/x-www-form-urlencoded":
        request.max_content_length = _LARGEST_FORM
        sent = request.form.get("proof")
    return sent is not None and is_same(sent, proof(door, g.token))


def keep_cookies(server: Flask, door: Door) -> None:
    """Let browsers of `server` keep the token of their session, or of their visit, and its proof."""

    def send_cookies(response: Response) -> Response:
        # A proof from before the server began anew, or of another one on this machine, is given anew too.
        is_stale = "token" in g and request.cookies.get(PROOF_COOKIE) != proof(door, g.token)
        if (g.get("token_is_new") or is_stale) and (
            response.mimetype == "text/html" or g.get("must_send_token")
        ):
            for name, value, is_hidden in (
                (cookie_name(door), g.token, True),
                (PROOF_COOKIE, proof(door, g.token), False),
            ):
                response.set_cookie(
                    name,
                    value,
                    max_age=180 * 86_400,
                    secure=door.by_tls,
                    httponly=is_hidden,
                    samesite="Lax" if is_hidden else "Strict",
                )
        return response

    server.after_request(send_cookies)


def host_asked_for(header: str) -> str | None:
    """Return the host of a Host header without its port, in lower case; None where it makes no sense."""
    try:
        parts = urlsplit(f"//{header}")
        return parts.hostname if parts.port is None or parts.port > 0 else None
    except ValueError:
        return None
