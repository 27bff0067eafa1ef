"""The door: every request passes here before anything else answers."""

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


def host_asked_for(header: str) -> str | None:
    """Return the host of a Host header without its port, in lower case; None where there is none."""
    try:
        return urlsplit(f"//{header}").hostname
    except ValueError:
        return None
