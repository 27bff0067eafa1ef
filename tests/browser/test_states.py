"""Every page has words for being on its way, for trouble, and for before anything came in."""

from datetime import date, datetime

import pytest

from dashboard.app import create_app
from dashboard.router import PAGES
from dashboard.serve import BeforeFirstNight
from dashboard.words import STATES
from tests.browser.conftest import end, served, watched

pytestmark = pytest.mark.browser

EVERY_PAGE = pytest.mark.parametrize("page", PAGES, ids=[page.path for page in PAGES])
#: Pages that say the same before anything came in: their words rest on the checks alone.
_RESTS_ON_NOTHING = {"/checks"}
ANSWERS = "**/_dash-update-component*"
NO_SIDEWAYS = "document.documentElement.scrollWidth <= document.documentElement.clientWidth"


@pytest.fixture(scope="module")
def before_first_night():
    """Serve a network in which no night ran yet."""
    published = BeforeFirstNight(date(2025, 8, 20), datetime(2025, 8, 20, 12))
    with served(create_app(lambda: published)) as address:
        yield address


@pytest.fixture(scope="module")
def unreadable():
    """Serve a network whose store cannot be read."""

    def published():
        raise OSError("The disk cannot be read.")

    with served(create_app(published)) as address:
        yield address


@pytest.fixture
def open_at(context):
    """Return a function that gives a page of a network; nothing may be complained of or asked outside."""
    opened = []

    def start(address: str, width: int):
        opened.append(watched(context, address, width))
        return opened[-1]

    yield start
    end(opened)


@pytest.mark.parametrize("width", [1440, 390])
@EVERY_PAGE
def test_a_page_on_its_way_says_so_in_its_own_words(open_at, before_first_night, page, width):
    opened, held = open_at(before_first_night, width), []
    is_over = []
    opened.page.route(ANSWERS, lambda route: route.continue_() if is_over else held.append(route))
    opened.page.goto(before_first_night + page.path)
    waits = opened.page.get_by_role("status").filter(has_text=page.words.reading)
    waits.wait_for()
    assert opened.page.evaluate(NO_SIDEWAYS)
    assert opened.page.locator("#main").inner_text().strip() == ""
    is_over.append(True)
    for route in held:
        route.continue_()
    opened.wait()
    waits.wait_for(state="hidden")


@pytest.mark.parametrize("width", [1440, 390])
@EVERY_PAGE
def test_a_page_that_cannot_be_shown_says_that_nothing_is_lost(open_at, unreadable, page, width):
    opened = open_at(unreadable, width).go(page.path)
    told = opened.page.get_by_role("alert")
    assert told.locator("h1").inner_text() == page.words.trouble
    assert STATES["nothing_lost"] in told.inner_text()
    assert told.get_by_role("link", name=STATES["again"]).is_visible()
    assert opened.page.evaluate(NO_SIDEWAYS)


@pytest.mark.parametrize("width", [1440, 390])
@EVERY_PAGE
def test_a_page_before_the_first_night_has_its_heading_and_no_empty_figure(
    open_at, before_first_night, page, width
):
    opened = open_at(before_first_night, width).go(page.path)
    main = opened.page.locator("main")
    assert main.locator("h1").inner_text().strip()
    assert main.locator(".frame").count() == 0
    assert page.path in _RESTS_ON_NOTHING or main.locator(".empty, .ledger-none").count() > 0
    assert opened.page.evaluate(NO_SIDEWAYS)


def test_a_server_that_cannot_be_reached_is_told_and_what_stood_stays(context, base_url):
    page = context.new_page()
    page.goto(base_url + "/watch")
    page.locator("main h1").wait_for()
    stood = page.locator("main h1").inner_text()
    page.route(ANSWERS, lambda route: route.abort())
    page.get_by_label("Pages").get_by_role("link", name="Reach").click()
    told = page.get_by_role("alert").filter(has_text="We cannot reach Longrow right now.")
    told.wait_for()
    assert page.locator("main h1").inner_text() == stood
    page.unroute_all(behavior="ignoreErrors")
    told.get_by_role("link", name="Try again").click()
    page.wait_for_url("**/reach")
    page.locator(".reach-figures").wait_for()
    page.close()
