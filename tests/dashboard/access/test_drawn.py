"""Pages that are kept once drawn are given only to readers who may see the same."""

import pytest

from dashboard import app
from dashboard.access import people
from dashboard.access.account import OPEN_ACCOUNT, Account
from dashboard.address import Address
from dashboard.answered import OUTPUTS
from dashboard.drawn import DrawnPage, DrawnPages
from dashboard.figures.template import Screen
from dashboard.router import Routed
from pipeline.store.engine import writing
from tests.dashboard.access.network import OTHER, OWN, START
from tests.dashboard.access.test_roles import request_for, server_callbacks

ADDRESS = Address.parse("/compare", "?season=2024")


def drawing(drawn: list[str], title: str):
    def draw() -> DrawnPage:
        drawn.append(title)
        return DrawnPage(title.encode(), "en")

    return draw


def titles(*asked) -> tuple[list[str], list[str]]:
    """Return what each reader is given, and what was drawn."""
    pages, drawn, given = DrawnPages(), [], []
    for number, (snapshot, account, address, screen) in enumerate(asked):
        draw = drawing(drawn, str(number))
        given.append(pages.get(snapshot, account, address, screen, draw).content.decode())
    return given, drawn


def test_the_same_page_is_drawn_once_for_readers_who_see_the_same():
    lead = Account("Ada", "lead", (), 1)
    given, drawn = titles(*[(7, account, ADDRESS, Screen()) for account in (OPEN_ACCOUNT, lead)])
    assert (given, drawn) == (["0", "0"], ["0"])


def test_a_page_is_drawn_anew_for_another_garden_role_snapshot_screen_or_choice():
    volunteer = Account("Rosa", "volunteer", (OWN,), 2)
    asked = [
        (7, OPEN_ACCOUNT, ADDRESS, Screen()),
        (7, volunteer, ADDRESS, Screen()),
        (7, Account("Max", "volunteer", (OTHER,), 3), ADDRESS, Screen()),
        (8, OPEN_ACCOUNT, ADDRESS, Screen()),
        (7, OPEN_ACCOUNT, ADDRESS, Screen(narrow=True)),
        (7, OPEN_ACCOUNT, ADDRESS.choosing(garden=OWN), Screen()),
    ]
    given, _ = titles(*asked)
    assert given == [str(number) for number in range(len(asked))]


def test_pages_that_change_by_day_are_never_kept():
    for path in ("/questions", "/send", "/release"):
        _, drawn = titles(*[(7, OPEN_ACCOUNT, Address.parse(path, ""), Screen())] * 2)
        assert drawn == ["0", "1"]


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
        return Routed(f"page {len(made)}", [], [], [])

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
    monkeypatch.setattr(app, "route", lambda *_asked: Routed("well again", [], [], []))
    told = asked_of_router(fresh, "lead", "/compare").get_json()["response"]
    assert told["title"] == {"data": "well again"}
