"""Pages kept ready: the same answer at once, for the same reader, of the same snapshot, and no other."""

import json
from dataclasses import replace

import brotli
import pytest
from flask import Flask

from dashboard.access.account import OPEN_ACCOUNT, Account
from dashboard.app import create_app
from dashboard.data import View
from dashboard.kept import MOST, SECONDS, Kept, keep_answers
from dashboard.router import PAGES
from tests.dashboard.test_router import ask


class Network:
    """A server that counts the pages that it makes, for a reader and a snapshot that can change."""

    def __init__(self, published) -> None:
        self.published, self.account, self.made, self.good = published, OPEN_ACCOUNT, 0, True
        server = Flask("counting")

        @server.post("/_dash-update-component")
        def page():
            from flask import g

            self.made += 1
            g.is_routed = self.good
            return {"page": self.made}

        self.now = 0.0
        keep_answers(server, lambda: View(self.published, self.account), Kept(clock=lambda: self.now))
        self.client = server.test_client()

    def ask(self, path: str = "/watch", search: str = "", encoding: str = "br", **screen: str) -> int:
        values = {
            "url.pathname": path,
            "url.search": search,
            "screen.data": {"paper": "light"} | screen,
        }
        body = {
            "output": "..title.data...masthead.children..",
            "inputs": [
                dict(zip(("id", "property"), name.split("."), strict=True)) | {"value": value}
                for name, value in values.items()
            ],
        }
        answer = self.client.post("/_dash-update-component", json=body, headers={"Accept-Encoding": encoding})
        content = answer.data
        if answer.headers.get("Content-Encoding") == "br":
            content = brotli.decompress(content)
        return json.loads(content)["page"]


@pytest.fixture
def network(published) -> Network:
    return Network(published)


def test_the_same_page_is_made_once(network):
    assert [network.ask(), network.ask(search="?unknown=1"), network.made] == [1, 1, 1]


@pytest.mark.parametrize(
    "other", [{"search": "?garden=G07"}, {"path": "/gradient"}, {"paper": "dark"}, {"width": "narrow"}]
)
def test_another_address_or_screen_is_another_page(network, other):
    assert [network.ask(), network.ask(**other)] == [1, 2]


def test_another_reader_never_gets_what_was_made_for_somebody_else(network):
    network.ask()
    network.account = Account("Ada", "lead")
    assert network.ask() == 2


def test_a_new_snapshot_is_seen_at_once(network):
    network.ask()
    network.published = replace(network.published, id=215)
    assert network.ask() == 2


def test_a_page_is_made_anew_after_a_while(network):
    network.ask()
    network.now = SECONDS + 1
    assert network.ask() == 2


def test_trouble_is_not_kept(network):
    network.good = False
    assert [network.ask(), network.ask()] == [1, 2]


def test_pages_that_rest_on_more_than_the_snapshot_are_made_each_time(network):
    live = [page.path for page in PAGES if not page.is_kept]
    assert "/release" in live
    assert "/results" in live
    assert [network.ask(path="/release"), network.ask(path="/release")] == [1, 2]


def test_a_browser_that_cannot_read_brotli_gets_the_page_all_the_same(network):
    assert [network.ask(), network.ask(encoding="gzip"), network.ask(encoding="identity")] == [1, 2, 3]


def test_the_oldest_answers_make_room():
    kept = Kept()
    for number in range(MOST + 5):
        kept.put(number, b"page")
    assert kept.get(0) is None
    assert kept.get(MOST + 4) == b"page"


def test_a_page_of_the_dashboard_is_the_same_made_and_kept(published):
    client = create_app(lambda: published).server.test_client()
    made = ask(client, "/watch").get_json()
    kept = [ask(client, "/watch").get_json() for _ in range(2)]
    assert kept == [made, made]
