"""What browsers are told to keep to."""

from collections.abc import Sequence

from flask import Flask, Response, request

#: Endpoints whose answers are the same for everybody and may be kept by a browser.
_SHARED = (
    "_dash_assets.static",
    "/_dash-component-suites/<string:package_name>/<path:fingerprinted_path>",
    "/_favicon.ico",
)


def keep_inside(server: Flask, script_hashes: Sequence[str], *, by_tls: bool = False) -> None:
    """Tell browsers that pages of `server` load, send and run nothing but what the server itself gives.

    `script_hashes` allow the scripts that the index carries inside; all others must be files of the server.
    Styles may stand inside, since figures carry theirs; pictures may be drawings made on the page. Nothing
    about a garden is kept in a browser's cache. With `by_tls` browsers come back by TLS only.
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
    always = {
        "Content-Security-Policy": "; ".join(rules),
        "X-Content-Type-Options": "nosniff",
        "X-Frame-Options": "DENY",
        "Referrer-Policy": "same-origin",
        "Cross-Origin-Opener-Policy": "same-origin",
        "Cross-Origin-Resource-Policy": "same-origin",
        "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
    }
    if by_tls:
        always["Strict-Transport-Security"] = "max-age=31536000"

    def add_rules(response: Response) -> Response:
        for name, value in always.items():
            response.headers.setdefault(name, value)
        if request.endpoint not in _SHARED:
            response.headers["Cache-Control"] = "no-store"
        return response

    server.after_request(add_rules)
