"""Choosing a garden on Gradient marks it in the figure that stands, also where hundreds stand in it."""

import pytest

from dashboard.app import create_app
from tests.browser.conftest import end, served, watched
from tests.dashboard.repeated import Repeated

pytestmark = pytest.mark.browser

ADDRESS = "/gradient?season=2024&garden=G07"
FIGURE = "document.querySelector('.js-plotly-plot')"
#: Where a garden's mark stands on the page, by its place in the list of places and the name of the heights.
SPOT = """([index, heights]) => {
  const sight = document.querySelector("[data-places]");
  const places = JSON.parse(sight.dataset.places);
  const [left, right] = places.margins;
  const box = sight.getBoundingClientRect();
  const x = box.left + left + (places.at[index] / 10000) * (box.width - left - right);
  return { x, y: box.top + places[heights][index], site: places.sites[index] };
}"""

#: How far each ring of the first figure stands from where its garden's mark is by the list of places, pixels.
OFF_THE_MARK = """site => {
  const sight = document.querySelector("[data-places]");
  const places = JSON.parse(sight.dataset.places);
  const index = places.sites.indexOf(site);
  return [...sight.querySelectorAll(".ring")].map(
    ring => ring.hidden ? null : Math.abs(parseFloat(ring.style.top) - places[ring.dataset.heights][index]));
}"""
#: Whether the choices above the figure and the names of the pages lead to no garden.
NONE_NAMED = """() => [...document.querySelectorAll("a[data-keeps], .bar a")]
  .every(link => !link.href.includes("garden="))"""


@pytest.fixture(scope="module")
def many(published):
    with served(create_app(lambda: Repeated(published))) as address:
        yield address


@pytest.fixture
def crowd(context, many):
    opened = watched(context, many, 1440)
    opened.page.goto(many + "/gradient?season=2024&garden=G07")
    opened.wait()
    yield opened.page
    end([opened])


def reads_out(page, site: str) -> None:
    page.wait_for_function(
        "site => document.querySelector('.readout-where').textContent.startsWith(site)", arg=site
    )


def choose(page, site: str) -> None:
    page.locator(f".ruler a[data-site={site}]").click()
    page.locator(f".ruler a[aria-current][data-site={site}]").wait_for()
    # Away from the row, where a garden that is pointed at goes before the chosen one.
    page.mouse.move(0, 0)
    reads_out(page, site)


def test_the_figure_is_not_drawn_again_for_another_garden(open_page):
    page = open_page(ADDRESS).page
    page.evaluate(f"{FIGURE}.stood = true")
    choose(page, "G12")
    assert page.evaluate(f"{FIGURE}.stood")
    assert "garden=G12" in page.url


def test_the_mark_stands_at_the_garden_that_was_chosen_last(open_page):
    page = open_page(ADDRESS).page
    first = page.locator(".plumb").evaluate("mark => mark.style.getPropertyValue('--at')")
    choose(page, "G12")
    then = page.locator(".plumb").evaluate("mark => mark.style.getPropertyValue('--at')")
    assert float(then) > float(first)


def test_choices_above_the_figure_and_other_pages_keep_the_garden_that_was_chosen_last(open_page):
    opened = open_page(ADDRESS)
    page = opened.page
    choose(page, "G12")
    page.locator(".bar").get_by_role("link", name="Tressel stock").click()
    page.wait_for_url("**treatment=tressel*")
    opened.wait()
    reads_out(page, "G12")
    page.get_by_label("Pages").get_by_role("link", name="Compare").click()
    page.wait_for_url("**/compare?*garden=G12*")


def test_going_back_marks_the_garden_before(open_page):
    page = open_page(ADDRESS).page
    choose(page, "G12")
    page.go_back()
    page.wait_for_url("**garden=G07*")
    reads_out(page, "G07")


@pytest.mark.parametrize("heights", ["up", "further"])
def test_a_garden_among_hundreds_is_pointed_at_by_its_place(crowd, heights):
    spot = crowd.evaluate(SPOT, [5, heights])
    crowd.mouse.move(spot["x"], spot["y"])
    # Its copies stand within the same pixel.
    reads_out(crowd, spot["site"].split("-")[0])


def test_both_rings_of_hundreds_move_to_the_garden_that_is_pointed_at(crowd):
    spot = crowd.evaluate(SPOT, [5, "up"])
    before = crowd.evaluate(OFF_THE_MARK, spot["site"])
    crowd.mouse.move(spot["x"], spot["y"])
    # Its copies stand within the same pixel.
    reads_out(crowd, spot["site"].split("-")[0])
    assert min(before) > 1
    assert crowd.evaluate(OFF_THE_MARK, spot["site"]) == [pytest.approx(0, abs=1)] * 2


def test_a_garden_among_hundreds_is_chosen_by_a_click(crowd):
    spot = crowd.evaluate(SPOT, [400, "up"])
    crowd.mouse.click(spot["x"], spot["y"])
    crowd.wait_for_url("**/gradient?*garden=*")
    crowd.wait_for_function("place => new URL(location).searchParams.get('garden') !== place", arg="G07")
    crowd.mouse.move(0, 0)
    reads_out(crowd, crowd.evaluate("new URL(location).searchParams.get('garden')"))


def test_a_reader_who_chose_no_garden_is_led_to_none_by_a_page_that_was_drawn_for_another(open_page):
    open_page("/gradient?season=2024&axis=rain_mm&garden=G07")
    page = open_page("/gradient?season=2024&axis=rain_mm").page
    page.locator(".bar a").nth(1).wait_for()
    page.wait_for_function(NONE_NAMED)


def test_a_plan_is_worked_out_for_the_garden_that_was_chosen_after_it_was_drawn(open_page):
    page = open_page("/plan?garden=G07").page
    page.evaluate(f"{FIGURE}.stood = true")
    page.locator(".ruler a[data-site=G12]").click()
    page.locator("#below h2", has_text="A draft for G12").wait_for()
    assert page.evaluate(f"{FIGURE}.stood") is True
    page.fill("input[name=gain]", "35")
    page.get_by_role("button", name="Work it out").click()
    page.wait_for_url("**gain=35*")
    assert "garden=G12" in page.url
    page.locator("#main", has_text="a difference of 35% is seen").wait_for()
    page.locator("#below h2", has_text="A draft for G12").wait_for()
