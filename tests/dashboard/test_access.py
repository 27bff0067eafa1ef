"""The door, and what browsers are told to keep to."""

import re

import pytest

from dashboard.access.browser import host_asked_for
from dashboard.access.door import Door
from dashboard.app import create_app

PATHS = ["/", "/watch", "/_dash-layout", "/_dash-dependencies", "/assets/look.css", "/download/gradient.csv"]


@pytest.mark.parametrize(
    ("header", "expected"),
    [
        ("localhost:8050", "localhost"),
        ("LOCALHOST", "localhost"),
        ("[::1]:8050", "::1"),
        ("127.0.0.1", "127.0.0.1"),
        ("localhost.evil.example", "localhost.evil.example"),
        ("", None),
        ("[::1", None),
    ],
)
def test_the_host_is_read_without_its_port(header, expected):
    assert host_asked_for(header) == expected


@pytest.mark.parametrize("path", PATHS)
@pytest.mark.parametrize("host", ["evil.example", "localhost.evil.example", "127.0.0.1.evil.example", ""])
def test_no_path_answers_under_a_strangers_name(client, path, host):
    answer = client.get(path, headers={"Host": host})
    assert answer.status_code == 421


@pytest.mark.parametrize("host", ["127.0.0.1:8050", "localhost", "[::1]:8050"])
def test_loopback_names_are_answered(client, host):
    assert client.get("/", headers={"Host": host}).status_code == 200


def test_a_server_answers_to_the_names_that_it_was_given(published):
    client = create_app(lambda: published, door=Door(hosts=("garden.example",))).server.test_client()
    assert client.get("/", headers={"Host": "garden.example"}).status_code == 200
    assert client.get("/", headers={"Host": "localhost"}).status_code == 421


def test_nothing_of_the_network_is_sent_before_a_callback_asks(client):
    for path in ("/", "/_dash-layout", "/_dash-dependencies"):
        text = client.get(path).text
        assert "Corvane" not in text
        assert "G01" not in text


def test_the_index_names_no_other_server(client):
    text = re.sub(r'<script id="_dash-config".*?</script>', "", client.get("/").text, flags=re.DOTALL)
    assert re.findall(r'(?:src|href)="(?!/)[^"]*"', text) == []
    assert '<html lang="en">' in text


def test_a_server_knows_the_files_of_its_libraries_before_anybody_asks(published):
    # Dash learns them while it answers its first request, and has none of them for those that come meanwhile.
    app = create_app(lambda: published)
    known = {library: set(files) for library, files in app.registered_paths.items()}
    app.server.test_client().get("/")
    assert known["dash"]
    assert known == app.registered_paths


def test_browsers_are_told_to_run_only_the_servers_own_scripts(client):
    policy = client.get("/").headers["Content-Security-Policy"]
    scripts = next(rule for rule in policy.split("; ") if rule.startswith("script-src"))
    assert "unsafe" not in scripts
    assert policy.startswith("default-src 'self'")
    assert "http" not in policy


def test_an_open_network_says_so_on_every_page(client):
    assert "keeps no accounts" in client.get("/_dash-layout").text


def test_no_door_of_dash_stands_open_beside_the_pages(client):
    assert client.get("/_mcp").status_code in {200, 404}
    paths = {rule.rule for rule in client.application.url_map.iter_rules()}
    assert not any("mcp" in path or "_dash-ws" in path for path in paths)
