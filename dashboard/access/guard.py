"""The door: every request passes here before anything else answers."""

from collections.abc import Sequence
from urllib.parse import urlsplit

from flask import Flask, Response, request

#: Names under which a server that listens on this machine alone may be asked. A page elsewhere that points
#: its own name at this machine (DNS rebinding) is turned away.
LOOPBACK = ("127.0.0.1", "localhost", "::1")


def stand_guard(server: Flask, hosts: tuple[str, ...]) -> None:
    """Let `server` answer only requests that call it by one of `hosts`; others get status 421.

    Must be called before the first request, and before other `before_request` functions are added.
    """
    known = {host.lower() for host in hosts}

    def refuse_strangers() -> Response | None:
        if host_asked_for(request.headers.get("Host", "")) in known:
            return None
        return Response("This address is not one of the names of this server.\n", 421, mimetype="text/plain")

    server.before_request(refuse_strangers)


def keep_inside(server: Flask, script_hashes: Sequence[str]) -> None:
    """Tell browsers that pages of `server` load, send and run nothing but what the server itself gives.

    `script_hashes` allow the scripts that the index carries inside; all others must be files of the server.
    Styles may stand inside, since figures carry theirs; pictures may be drawings made on the page.
    """
    rules = (
        "default-src 'self'",
        " ".join(("script-src 'self'", *script_hashes)),
        "style-src 'self' 'unsafe-inline'",
        "img-src 'self' data: blob:",
        "object-src 'none'",
        "base-uri 'none'",
        "form-action 'self'",
        "frame-ancestors 'none'",
    )

    def add_rules(response: Response) -> Response:
        response.headers.setdefault("Content-Security-Policy", "; ".join(rules))
        response.headers.setdefault("X-Content-Type-Options", "nosniff")
        response.headers.setdefault("Referrer-Policy", "same-origin")
        return response

    server.after_request(add_rules)


def host_asked_for(header: str) -> str | None:
    """Return the host of a Host header without its port, in lower case; None where there is none."""
    try:
        return urlsplit(f"//{header}").hostname
    except ValueError:
        return None
