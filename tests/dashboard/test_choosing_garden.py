"""Whoever writes for no garden of their own chooses one; among many gardens, by way of the county."""

import pytest

from dashboard.access.account import OPEN_ACCOUNT
from dashboard.data import View
from dashboard.figures.template import Screen
from dashboard.pages.volunteer import MOST_LISTED
from dashboard.router import route
from tests.dashboard.repeated import COPIES, Repeated
from tests.dashboard.tree import find, text_of

PATHS = ("/my-garden", "/picking", "/paper-sheet")


def choices(view: View, path: str, query: str = "") -> dict[str, str]:
    """Return where each choice leads, by its words."""
    lists = find(list(route(view, path, query, Screen()).main), "Ul")
    chosen = next(one for one in lists if getattr(one, "className", "") == "gardens-to-choose")
    return {text_of([link]): link.href for link in find([chosen], "A")}


@pytest.fixture
def many(published) -> View:
    return View(Repeated(published), OPEN_ACCOUNT)


@pytest.mark.parametrize("path", PATHS)
def test_few_gardens_are_listed_at_once(view, path):
    gardens = view.published.frame("gardens")
    assert set(choices(view, path)) == set(gardens["name"])


@pytest.mark.parametrize("path", PATHS)
def test_many_gardens_are_found_by_their_county(many, path):
    gardens = many.published.frame("gardens")
    assert len(gardens) > MOST_LISTED
    counties = choices(many, path)
    assert set(counties) == {f"{county} County" for county in gardens["county"].dropna()}
    county = gardens["county"].dropna().iloc[0]
    listed = choices(many, path, counties[f"{county} County"].partition("?")[2])
    own = gardens[gardens["county"] == county]
    assert len(own) % COPIES == 0
    assert {href.partition("garden=")[2] for href in listed.values()} <= set(own["site"])


def test_a_county_that_is_not_there_leads_back_to_the_choice_of_counties(many):
    assert choices(many, "/picking", "?county=Atlantis") == choices(many, "/picking")


def test_a_garden_of_no_county_is_listed_beside_the_counties(many, published):
    class OneWithout(Repeated):
        def frame(self, name, trial=None, season=None):
            rows = super().frame(name, trial, season)
            return (
                rows.assign(county=rows["county"].mask(rows["site"] == "G01")) if name == "gardens" else rows
            )

    name = published.frame("gardens").set_index("site").loc["G01", "name"]
    assert name in choices(View(OneWithout(published), OPEN_ACCOUNT), "/picking")
