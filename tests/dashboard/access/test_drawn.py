"""Pages that are kept once drawn are given only to readers who may see the same."""

import gzip
import json
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any, cast

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboard import answered, app, data
from dashboard.access import people
from dashboard.access.account import OPEN_ACCOUNT, Account
from dashboard.address import Address
from dashboard.answered import OUTPUTS
from dashboard.data import View
from dashboard.drawn import DrawnPage, DrawnPages, OpenAnswer
from dashboard.figures.template import Screen
from dashboard.router import Routed, page_at
from pipeline.store.engine import writing
from tests.dashboard.access.network import OTHER, OWN, START
from tests.dashboard.access.test_roles import request_for, server_callbacks

ADDRESS = Address.parse("/compare", "?season=2024")


@dataclass
class Kept:
    """A store of which nothing is asked but whether somebody decided something since."""

    decided: int = 0

    def mark(self) -> tuple[object, ...]:
        return (self.decided,)


def seen(account: Account = OPEN_ACCOUNT, snapshot: int = 7, desk: Any = None) -> View:
    """Return what somebody sees of a snapshot of which only the number matters."""
    return View(cast(Any, SimpleNamespace(id=snapshot)), account, desk)


def titles(*asked) -> tuple[list[str], list[str]]:
    """Return what each reader is given, and what was drawn."""
    pages, drawn, told = DrawnPages(), [], []
    for number, (view, address, screen) in enumerate(asked):

        def draw(title: str = str(number)) -> DrawnPage:
            drawn.append(title)
            return DrawnPage(OpenAnswer(b"page "), title)

        page = page_at(address.path)
        told.append(pages.get(view, page, address, screen, draw).language)
    return told, drawn


def test_the_same_page_is_drawn_once_for_readers_who_see_the_same():
    lead = Account("Ada", "lead", (), 1)
    told, drawn = titles(*[(seen(account), ADDRESS, Screen()) for account in (OPEN_ACCOUNT, lead)])
    assert (told, drawn) == (["0", "0"], ["0"])


def test_a_page_is_drawn_anew_for_another_garden_role_snapshot_screen_or_choice():
    asked = [
        (seen(), ADDRESS, Screen()),
        (seen(Account("Rosa", "volunteer", (OWN,), 2)), ADDRESS, Screen()),
        (seen(Account("Max", "volunteer", (OTHER,), 3)), ADDRESS, Screen()),
        (seen(snapshot=8), ADDRESS, Screen()),
        (seen(), ADDRESS, Screen(narrow=True)),
        (seen(), ADDRESS.choosing(garden=OWN), Screen()),
        (seen(), ADDRESS.choosing(plot="3"), Screen()),
    ]
    told, _ = titles(*asked)
    assert told == [str(number) for number in range(len(asked))]


@pytest.mark.parametrize("path", ["/watch", "/gradient", "/plan", "/reach"])
def test_a_page_that_is_the_same_for_any_garden_is_drawn_once_for_all(path):
    addresses = [Address.parse(path, f"?garden={site}") for site in (OWN, OTHER)]
    _, drawn = titles(*[(seen(), address, Screen()) for address in addresses])
    assert drawn == ["0"]


def test_a_page_is_drawn_anew_after_a_decision():
    _, drawn = titles(*[(seen(desk=Kept(decided)), ADDRESS, Screen()) for decided in (1, 1, 2)])
    assert drawn == ["0", "2"]


def test_a_page_that_tells_of_right_now_is_drawn_anew_in_a_while(monkeypatch):
    clock = iter([0.0, 14.0, 16.0])
    monkeypatch.setattr("dashboard.drawn.monotonic", lambda: next(clock))
    _, drawn = titles(*[(seen(), Address.parse("/watch", ""), Screen())] * 3)
    assert drawn == ["0", "2"]


@pytest.mark.parametrize("path", ["/send", "/my-garden", "/release"])
def test_pages_that_change_by_what_others_send_or_release_are_never_kept(path):
    _, drawn = titles(*[(seen(), Address.parse(path, ""), Screen())] * 2)
    assert drawn == ["0", "1"]


@given(start=st.binary(max_size=3000), ends=st.lists(st.binary(max_size=300), max_size=3))
def test_an_answer_packed_as_far_as_it_goes_takes_any_number_of_ends(start, ends):
    answer = OpenAnswer(start)
    assert [gzip.decompress(answer.ended(end)) for end in ends] == [start + end for end in ends]


def asked_of_router(network, role: str, path: str, **changed: object):
    """Return what the router answers to a browser of the role, its request changed in some keys."""
    client = network.signed_in(role)
    router = next(one for one in server_callbacks(network.app) if "main.children" in one["output"])
    values = {"url.pathname": path, "url.search": "", "screen.data": {"paper": "light"}}
    return client.post("/_dash-update-component", json=request_for(router, values) | changed)


@pytest.fixture
def routed(monkeypatch):
    """Give the list of pages that the router was asked to make."""
    made: list[str] = []

    def route(view, path, search, screen):
        made.append(path)
        return Routed(f"page {len(made)}", [], [])

    monkeypatch.setattr(app, "route", route)
    return made


def test_a_page_answered_before_is_the_same_answer_without_making_it_again(fresh, routed):
    first, second = (asked_of_router(fresh, "lead", "/compare") for _ in range(2))
    assert routed == ["/compare"]
    assert second.get_json() == first.get_json()
    assert second.get_json()["response"]["title"] == {"data": "page 1"}


def test_two_readers_of_one_answer_that_was_kept_are_each_named_by_their_own_name(fresh, routed):
    with writing(fresh.engine) as connection:
        people.add(connection, "Uma Vale", "lead", [], known_gardens=[], made_by="test", now=START)
    assert "Ada Lind" in asked_of_router(fresh, "lead", "/compare").text
    fresh.account = lambda _role: by_name(fresh, "Uma Vale")
    told = asked_of_router(fresh, "lead", "/compare").text
    assert routed == ["/compare"]
    assert "Uma Vale" in told
    assert "Ada Lind" not in told


def by_name(network, name: str) -> Account:
    with network.engine.connect() as connection:
        return people.by_name(connection, name)


def test_an_answer_that_was_kept_is_still_refused_to_who_may_not_see_it(fresh, routed):
    asked_of_router(fresh, "lead", "/compare")
    assert asked_of_router(fresh, "volunteer", "/compare").status_code == 403


def test_a_request_with_other_outputs_leaves_nothing_for_the_next_reader(fresh, routed):
    asked_of_router(
        fresh, "lead", "/gradient", outputs=[{"id": "main", "property": "children"}] * len(OUTPUTS)
    )
    told = asked_of_router(fresh, "lead", "/gradient").get_json()["response"]
    assert set(told) == {part for part, _ in OUTPUTS}


def test_a_page_that_had_trouble_is_made_anew(fresh, monkeypatch):
    def trouble(*_asked: object) -> Routed:
        raise RuntimeError("for this test")

    monkeypatch.setattr(app, "route", trouble)
    asked_of_router(fresh, "lead", "/compare", changedPropIds=["url.search"])
    monkeypatch.setattr(app, "route", lambda *_asked: Routed("well again", [], []))
    told = asked_of_router(fresh, "lead", "/compare").get_json()["response"]
    assert told["title"] == {"data": "well again"}


GRADIENT = "/gradient"


def gradient_of(network, garden: str = "", **changed: object) -> dict[str, Any]:
    """Return the parts of the answer of Gradient to a lead, by a link that may name a garden."""
    values = {"url.pathname": GRADIENT, "url.search": garden and f"?garden={garden}", "screen.data": {}}
    client = network.signed_in("lead")
    router = next(one for one in server_callbacks(network.app) if "main.children" in one["output"])
    told = client.post("/_dash-update-component", json=request_for(router, values) | changed)
    return told.get_json()["response"]


def test_a_link_to_another_garden_gives_the_page_that_was_kept_with_that_garden(fresh):
    first, then = gradient_of(fresh, OWN), gradient_of(fresh, OTHER)
    assert then["main"] == first["main"]
    assert (first["garden"]["data"]["site"], then["garden"]["data"]["site"]) == (OWN, OTHER)
    assert then["ruler"] != first["ruler"]


def test_a_page_is_there_whole_where_what_is_added_to_a_kept_one_could_not_be_read(fresh, monkeypatch):
    def trouble(*_asked: object) -> None:
        raise OSError("for this test")

    monkeypatch.setattr(answered, "choose_garden", trouble)
    assert gradient_of(fresh, OWN)["garden"]["data"]["site"] == OWN


def test_an_address_that_names_no_garden_is_told_so_and_leaves_nothing_for_the_next_reader(fresh):
    assert "G99" in str(gradient_of(fresh, "G99")["main"])
    assert "G99" not in str(gradient_of(fresh)["main"])
    assert "G99" in str(gradient_of(fresh, "G99")["main"])


def twice(network, coding: str) -> tuple[Any, Any]:
    """Return two answers of Gradient to a browser that unpacks this coding; the second one was kept."""
    client = network.signed_in("lead")
    router = next(one for one in server_callbacks(network.app) if "main.children" in one["output"])
    values = {"url.pathname": GRADIENT, "url.search": "", "screen.data": {}}
    asked = {"json": request_for(router, values), "headers": {"Accept-Encoding": coding}}
    first, then = (client.post("/_dash-update-component", **asked) for _ in range(2))
    return first, then


def test_a_browser_that_unpacks_nothing_gets_a_kept_page_plain(fresh):
    first, then = twice(fresh, "identity")
    assert "Content-Encoding" not in then.headers
    assert then.get_json() == first.get_json()


def test_a_kept_page_is_sent_packed(fresh):
    plain, _ = twice(fresh, "identity")
    _, then = twice(fresh, "gzip")
    assert then.headers["Content-Encoding"] == "gzip"
    assert len(then.data) < len(plain.data) / 2
    assert json.loads(gzip.decompress(then.data)) == plain.get_json()


def test_what_pages_share_is_worked_out_once_for_all_who_may_see_the_same(fresh, monkeypatch):
    made = []
    work = data._row_of_gardens
    monkeypatch.setattr(
        data, "_row_of_gardens", lambda *asked: (made.append(asked[1].season), work(*asked))[1]
    )
    for path in ("/compare", GRADIENT):
        asked_of_router(fresh, "lead", path)
    assert len(made) == len(set(made)) == 1
