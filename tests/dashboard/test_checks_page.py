"""The page Checks lists every check with its words and the limits of crops, as the command does."""

from html import unescape

import pytest

from dashboard.figures.template import Screen
from dashboard.router import page_at, route
from pipeline.checks.listing import crop_limits, listed_checks
from sites.crops import read_crops
from tests.dashboard.tree import find, text_of


@pytest.fixture
def page(view):
    return route(view, "/checks", "", Screen()).main


def test_every_check_is_listed_under_its_theme(page):
    listed = listed_checks()
    assert len(find(page, "Li")) == len(listed)
    headings = [text_of(heading) for heading in find(page, "H2")]
    assert headings[:-1] == list(dict.fromkeys(one.theme for one in listed))


def test_a_check_says_when_it_asks_and_what_it_says_in_both_languages(client):
    pages = [client.get(f"/table/checks?figure=checks&page={page}").text for page in (1, 2)]
    text = unescape("".join(pages))
    for one in listed_checks():
        assert one.when in text
        assert one.words["en"]["message"] in text
        assert one.words["es"]["remedy"] in text


def test_every_limit_of_a_crop_stands_in_a_row_with_its_source(client):
    text = client.get("/table/checks?figure=limits").text
    assert text.count("<tr>") == 1 + len(crop_limits(read_crops()))


def test_the_page_is_not_among_those_of_the_masthead(view):
    routed = route(view, "/checks", "", Screen())
    assert page_at("/checks") is not None
    (pages,) = find(routed.masthead, "Nav")
    assert "/checks" not in [link.href.split("?")[0] for link in find(pages, "A")]
