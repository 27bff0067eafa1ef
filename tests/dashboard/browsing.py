"""A client that behaves as a browser on one of our own pages: it keeps cookies and proves where it is."""

from flask.testing import FlaskClient

from dashboard.access.browser import PROOF_COOKIE, PROOF_HEADER


def browsing(app) -> FlaskClient:
    """Return a client that has opened a page, and sends with each request what its script would send."""
    client = app.server.test_client()
    client.get("/privacy")
    return proving(client)


def proving(client: FlaskClient) -> FlaskClient:
    """Let the client send the proof that it was given last."""
    given = client.get_cookie(PROOF_COOKIE)
    client.environ_base[f"HTTP_{PROOF_HEADER.upper().replace('-', '_')}"] = given.value if given else ""
    return client
