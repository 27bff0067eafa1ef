"""Pages that are kept once drawn are given only to readers who may see the same."""

from dashboard.access.account import OPEN_ACCOUNT, Account
from dashboard.address import Address
from dashboard.drawn import DrawnPages
from dashboard.figures.template import Screen
from dashboard.router import Routed
from tests.dashboard.access.network import OTHER, OWN

ADDRESS = Address.parse("/compare", "?season=2024")


def drawing(drawn: list[str], title: str):
    def draw() -> Routed:
        drawn.append(title)
        return Routed(title, [], [], [])

    return draw


def titles(*asked) -> tuple[list[str], list[str]]:
    """Return what each reader is given, and what was drawn."""
    pages, drawn, given = DrawnPages(), [], []
    for number, (snapshot, account, address, screen) in enumerate(asked):
        draw = drawing(drawn, str(number))
        given.append(pages.get(snapshot, account, address, screen, draw).title)
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
