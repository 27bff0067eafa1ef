"""Crafted requests: other hosts, other origins, forged sessions, paths that climb, bodies that burst."""

import json
import re

import pytest

from dashboard.access.browser import COOKIE, PROOF_HEADER, proof
from tests.dashboard.access.network import OTHER, OWN, PASSPHRASE
from tests.dashboard.access.test_roles import request_for, server_callbacks

HEADER = f"HTTP_{PROOF_HEADER.upper().replace('-', '_')}"
#: Requests that change something, with an account that may.
CHANGES = [
    ("/sign-out", {}),
    ("/account/passphrase", {"old": PASSPHRASE, "new": "brown kettle sings at midnight"}),
    ("/people/2/link", {}),
    ("/upload?garden=G05", {}),
    ("/sign-in", {"name": "Ada Lind", "passphrase": PASSPHRASE}),
    ("/sign-in/link", {"name": "Ada Lind"}),
    ("/come-in/none", {}),
    ("/_dash-update-component", {}),
]
CLIMBS = [
    "/assets/../serve.py",
    "/assets/..%2f..%2fserve.py",
    "/assets/%2e%2e/%2e%2e/pyproject.toml",
    "/assets/....//....//pyproject.toml",
    "/assets/..%5c..%5cpyproject.toml",
    "/assets//etc/passwd",
    "/assets/%00/../look.css",
    "/_dash-component-suites/dash/../../../../etc/passwd",
    "/_dash-component-suites/dash/%2e%2e/%2e%2e/version.py",
    "/download/..%2f..%2fnetwork.toml.csv?figure=strips",
    "/table/..%2fnetwork.toml?figure=../../x",
    "/static/../network.toml",
    "/.longrow-key",
    "/longrow.db",
    "/archive/",
]
SECRETS = ("root:", "[project]", "create_app", 'name = "Test row"', "SQLite format")


@pytest.mark.parametrize(("path", "form"), CHANGES)
@pytest.mark.parametrize("sent", ["", "0" * 64, "of another browser"])
def test_a_change_without_the_proof_of_our_own_page_is_refused(network, path, form, sent):
    client = network.signed_in("lead")
    token = client.get_cookie(COOKIE).value
    client.environ_base[HEADER] = proof(network.door, "x") if sent == "of another browser" else sent
    answer = client.post(path, data=form)
    assert answer.status_code == 403
    assert network.door.account_of(token).role == "lead"


@pytest.mark.parametrize(("path", "form"), CHANGES)
@pytest.mark.parametrize(
    "headers",
    [{"Origin": "https://evil.example"}, {"Origin": "null"}, {"Sec-Fetch-Site": "cross-site"},
     {"Sec-Fetch-Site": "same-site"}],
)  # fmt: skip
def test_a_change_from_a_page_elsewhere_is_refused_even_with_the_proof(network, path, form, headers):
    assert network.signed_in("lead").post(path, data=form, headers=headers).status_code == 403


@pytest.mark.parametrize(("path", "form"), CHANGES)
def test_nothing_is_changed_by_a_get(network, path, form):
    client = network.signed_in("lead")
    token = client.get_cookie(COOKIE).value
    assert client.get(path.split("?")[0], query_string=form).status_code in {200, 405, 410}
    assert network.door.account_of(token).role == "lead"


@pytest.mark.parametrize(
    "host", ["evil.example", "localhost.evil.example", "127.0.0.1.nip.example", "", "localhost@evil.example",
             "evil.example#localhost", "127.0.0.1:80:80x", "[::1", "192.0.2.1"]
)  # fmt: skip
@pytest.mark.parametrize("path", ["/", "/sign-in", "/account", "/upload", "/assets/look.css"])
def test_a_strangers_host_name_gets_no_answer(network, host, path):
    client = network.signed_in("lead")
    answer = client.get(path, headers={"Host": host})
    answer.close()
    assert answer.status_code in {400, 421}


def test_a_forwarded_host_changes_no_link(network):
    client = network.signed_in("lead")
    answer = client.post("/people/2/link", headers={"X-Forwarded-Host": "evil.example"})
    assert answer.status_code == 200
    assert "evil.example" not in answer.text


@pytest.mark.parametrize(
    "token", ["", "0", "' OR 1=1 --", "A" * 43, "eyJhY2NvdW50IjoxfQ.aaaa.bbbb", "\u00e9", "A" * 4000]
)
def test_a_forged_session_is_nobody(network, token):
    client = network.app.server.test_client()
    client.set_cookie(COOKIE, token)
    assert client.get("/people").status_code == 401


def test_what_the_store_keeps_of_a_session_opens_nothing(network):
    network.signed_in("lead")
    with network.engine.connect() as connection:
        stored = connection.exec_driver_sql("SELECT token_sha256 FROM session").scalars().all()
    for digest in stored:
        client = network.app.server.test_client()
        client.set_cookie(COOKIE, digest)
        assert client.get("/people").status_code == 401


def test_a_token_that_a_stranger_planted_is_not_the_session_after_sign_in(network):
    client = network.browser()
    planted = "planted-by-somebody-else"
    client.set_cookie(COOKIE, planted)
    sent = proof(network.door, planted)
    form = {"name": "Ada Lind", "passphrase": PASSPHRASE, "proof": sent}
    assert client.post("/sign-in", data=form, headers={PROOF_HEADER: sent}).status_code == 303
    assert network.door.account_of(planted).role == "public"
    assert client.get_cookie(COOKIE).value != planted


@pytest.mark.parametrize("path", CLIMBS)
@pytest.mark.parametrize("role", ["public", "volunteer", "lead"])
def test_no_path_climbs_out_of_the_assets(network, role, path):
    client = network.browser() if role == "public" else network.signed_in(role)
    answer = client.get(path)
    assert answer.status_code < 500
    text = answer.get_data(as_text=True)
    answer.close()
    assert not any(secret in text for secret in SECRETS)


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"{",
        b"[]",
        b"null",
        b'"text"',
        b"[" * 100_000,
        b'{"a":' * 50_000,
        b'{"output": {}, "inputs": {}}',
        b'{"output": "moon.children", "inputs": []}',
        b'{"output": "..title.data...masthead.children..", "inputs": "x"}',
        b"\xff\xfe\x00",
        json.dumps({"output": "x" * 900_000, "inputs": []}).encode(),
    ],
)
def test_a_garbled_callback_request_is_a_plain_no(network, body):
    answer = network.signed_in("lead").post(
        "/_dash-update-component", data=body, content_type="application/json"
    )
    assert answer.status_code in {400, 403}
    assert "Traceback" not in answer.text


def test_a_value_cannot_be_sent_under_another_parts_name(network):
    client = network.signed_in("volunteer")
    for callback in server_callbacks(network.app):
        body = request_for(callback, {"screen.data": {}})
        for part in body["inputs"]:
            if isinstance(part, dict):
                part |= {"id": "moon", "value": "/watch" if part["property"] == "pathname" else "?"}
        assert client.post("/_dash-update-component", json=body).status_code in {400, 403}


@pytest.mark.parametrize("role", ["lead", "volunteer"])
def test_a_body_that_is_too_large_is_not_read(network, role):
    client = network.signed_in(role)
    answer = client.post("/_dash-update-component", data=b" " * 1_000_001, content_type="application/json")
    assert answer.status_code in {400, 413}


@pytest.mark.parametrize("figure", ["tonight", "strips", "plots", "effects", "season"])
@pytest.mark.parametrize("page", ["watch", "compare", "gradient"])
def test_a_volunteer_takes_no_table_of_the_network_by_any_address(network, page, figure):
    client = network.signed_in("volunteer")
    for address in (
        f"/download/{page}.csv?figure={figure}",
        f"/download/{page}.csv?figure={figure}&garden={OWN}",
        f"/table/{page}?figure={figure}&garden={OWN}&garden={OTHER}",
        f"/download//{page}.csv?figure={figure}",
        f"/download/{page.upper()}.csv?figure={figure}",
        f"/download/%2f{page}.csv?figure={figure}",
    ):
        answer = client.get(address)
        assert answer.status_code in {200, 301, 308, 403, 404}
        assert not re.search(r"\bG\d\d\b", answer.text.replace(OTHER, "")), address


def test_methods_that_nobody_offers_are_refused(network):
    client = network.signed_in("lead")
    for method in ("PUT", "DELETE", "PATCH", "TRACE", "CONNECT", "PROPFIND"):
        assert client.open("/watch", method=method).status_code in {403, 405}


def test_an_answer_tells_nothing_of_the_program_behind_it(network):
    for path in ("/", "/sign-in", "/moon", "/people"):
        headers = {name.lower() for name, _ in network.browser().get(path).headers}
        assert not headers & {"server", "x-powered-by", "via"}


@pytest.mark.parametrize("path", ["/", "/sign-in", "/account", "/privacy", "/assets/look.css", "/moon"])
def test_every_answer_tells_browsers_what_to_keep_to(network, path):
    answer = network.signed_in("lead").get(path)
    answer.close()
    headers = answer.headers
    policy = headers["Content-Security-Policy"]
    assert "unsafe-eval" not in policy
    assert "'unsafe-inline'" not in policy.split("script-src")[1].split(";")[0]
    assert "frame-ancestors 'none'" in policy
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["X-Frame-Options"] == "DENY"
    assert headers["Referrer-Policy"] == "same-origin"
    if not path.startswith("/assets"):
        assert headers["Cache-Control"] == "no-store"
