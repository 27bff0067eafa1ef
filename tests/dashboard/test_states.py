"""Every page has words for when there is nothing yet, while it is on its way, and when it cannot be made."""

import pytest

from dashboard.access.account import OPEN_ACCOUNT
from dashboard.app import create_app
from dashboard.components.shell import frame
from dashboard.data import View
from dashboard.figures.template import Screen
from dashboard.router import PAGES, route
from tests.dashboard import synthetic
from tests.dashboard.browsing import browsing
from tests.dashboard.test_router import ask
from tests.dashboard.tree import find, text_of

#: What stands before the first night on pages that say more than that there is nothing yet.
OTHERWISE = {
    "/send": "Sheets are not taken here.",
    **dict.fromkeys(("/my-garden", "/picking", "/paper-sheet"), "No garden is here yet."),
    # It explains what is asked of any sheet, so it is never empty.
    "/checks": "What we look at in every sheet",
}


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.path)
def test_before_the_first_night_every_page_says_that_there_is_nothing_yet(page):
    empty = View(synthetic.SyntheticPublished({}), OPEN_ACCOUNT)
    routed = route(empty, page.path, "", Screen())
    assert OTHERWISE.get(page.path, page.words.nothing) in text_of(routed.main)
    assert len(find(routed.main, "H1")) == 1
    assert not find(routed.main, "Graph")


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.path)
def test_while_a_page_is_on_its_way_its_own_words_are_at_hand(page):
    shell = frame(PAGES, OPEN_ACCOUNT, open_notice=True)
    (store,) = (one for one in find([shell], "Store") if one.id == "reading-by-page")
    assert store.data[page.path] == page.words.reading
    assert page.words.reading.endswith("…")


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.path)
def test_a_page_that_cannot_be_made_says_so_in_its_own_words(page):
    def broken() -> synthetic.SyntheticPublished:
        raise OSError("the disk is gone")

    answer = ask(browsing(create_app(broken)), page.path)
    assert answer.status_code == 200
    assert page.words.trouble in answer.get_data(as_text=True).encode().decode("unicode_escape")
    assert "Nothing that was sent is lost." in answer.text
    assert '"role":"alert"' in answer.text.replace(" ", "")
