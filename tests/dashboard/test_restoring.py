"""Every view has an address that restores it, so that it can be mailed."""

import pytest

from dashboard.address import Address
from dashboard.components.attributes import attributes
from dashboard.figures.template import Screen
from dashboard.router import route
from tests.dashboard.tree import find, text_of

#: Pages whose choices are links, with an address that chooses something there.
CHOSEN = [
    ("/watch", "?season=2024&garden=G05"),
    ("/compare", "?season=2024&outcome=marketable_fruits_per_plant&treatment=tressel&garden=G05"),
    ("/gradient", "?season=2024&treatment=tressel&axis=position_km&garden=G05"),
    ("/gradient", "?season=2025&outcome=marketable_kg_per_plant"),
    ("/garden", "?season=2024&garden=G05"),
    ("/plan", "?gain=15&blocks=4&power=90"),
]


def currents(routed) -> list[str]:
    """Return what is marked as chosen on a page."""
    name = next(iter(attributes(aria_current="true")))
    links = find([*routed.masthead, *routed.chosen.ruler, *routed.main], "A")
    return [text_of(one) for one in links if getattr(one, name, None) in ("true", "page")]


@pytest.mark.parametrize(("path", "search"), CHOSEN)
def test_an_address_opened_again_shows_the_same_page(view, path, search):
    first = route(view, path, search, Screen())
    again = Address.parse(path, search)
    second = route(view, again.path, f"?{again.query}", Screen())
    assert text_of(second.main) == text_of(first.main)
    assert currents(second) == currents(first)


@pytest.mark.parametrize(("path", "search"), CHOSEN[:4])
def test_every_choice_of_a_page_leads_to_an_address_with_that_choice_marked(view, path, search):
    routed = route(view, path, search, Screen())
    options = [one for one in find(routed.main, "A") if "option" in str(getattr(one, "className", ""))]
    if path != "/watch":
        assert options
    for option in options:
        to, _, query = option.href.partition("?")
        assert text_of(option) in currents(route(view, to, f"?{query}", Screen()))


@pytest.mark.parametrize(("path", "search"), CHOSEN)
def test_the_garden_and_season_of_an_address_are_kept_on_the_way_to_other_pages(view, path, search):
    kept = Address.parse(path, search).keeping("season", "garden").query
    links = [one.href for one in find(route(view, path, search, Screen()).masthead, "A")]
    to_compare = next(href for href in links if href.startswith("/compare"))
    for part in filter(None, kept.split("&")):
        assert part in to_compare
