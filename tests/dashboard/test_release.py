"""The lead gives an answer to everybody, and takes it back."""

import pytest
from dash.exceptions import PreventUpdate

from dashboard.access.account import OPEN_ACCOUNT, Account
from dashboard.data import View
from dashboard.figures.template import Screen
from dashboard.releasing import act
from dashboard.router import route
from tests.dashboard.invented import CLOSED, RUNNING, TRIAL
from tests.dashboard.tree import find, text_of


@pytest.fixture
def view(published, releases) -> View:
    return View(published, Account("Ada", "lead"), releases=releases)


def page(view: View) -> str:
    return text_of(route(view, "/release", "", Screen()).main)


def buttons(view: View) -> list[str]:
    return [button.id["act"] for button in find(route(view, "/release", "", Screen()).main, "Button")]


def test_a_closed_season_is_offered_with_every_word_that_readers_would_see(view):
    assert "Not released" in page(view)
    assert "Corvane stock gave about 16 percent more than own-root." in page(view)
    assert "Tressel stock gave about" in page(view)
    assert buttons(view) == ["release"]


def test_a_running_season_is_not_offered(view):
    assert RUNNING not in page(view)


def test_what_rounding_does_to_the_answer_is_said_before_it_is_released(view):
    assert "3.0%\u00a0less" in page(view)
    assert "3.2%\u00a0less" in page(view)


def test_releasing_says_so_and_offers_to_take_it_back(view):
    said, _ = act(view, "release", f"{TRIAL}|{CLOSED}")
    assert said == f"{TRIAL} {CLOSED} is released. Readers see it now."
    assert "Released Aug\u00a012, 2025 by Ada" in page(view)
    assert buttons(view) == ["take back"]


def test_taking_back_says_so_and_leaves_its_trace(view):
    act(view, "release", f"{TRIAL}|{CLOSED}")
    said, _ = act(view, "take back", str(view.releases.standing()[0].number))
    assert said == f"{TRIAL} {CLOSED} is taken back. Readers do not see it any more."
    assert "taken back Aug\u00a012, 2025 by Ada" in page(view)
    assert view.releases.standing() == []


def test_what_somebody_else_did_in_the_meantime_is_told(view):
    act(view, "release", f"{TRIAL}|{CLOSED}")
    said, _ = act(view, "release", f"{TRIAL}|{CLOSED}")
    assert "released already" in said


def test_an_account_that_is_not_the_leads_releases_nothing(published, releases):
    visitor = View(published, Account("Bo", "volunteer"), releases=releases)
    with pytest.raises(PreventUpdate):
        act(visitor, "release", f"{TRIAL}|{CLOSED}")
    assert releases.history() == []


def test_without_accounts_nobody_is_named(published, releases):
    act(View(published, OPEN_ACCOUNT, releases=releases), "release", f"{TRIAL}|{CLOSED}")
    assert "by the trial team" in page(View(published, OPEN_ACCOUNT, releases=releases))
