"""Every choice of every page stands in its address, on a small network that a night ran in."""

from urllib.parse import parse_qsl, urlsplit

import pytest

from dashboard.access.account import Account
from dashboard.address import KEYS
from dashboard.data import View
from dashboard.desk import Desk
from dashboard.figures.template import Screen
from dashboard.router import PAGES, Routed, route
from dashboard.sending.gate import Gate
from dashboard.serve import newest_of
from pipeline.nightly import run_night
from pipeline.publish.releases import Releases
from pipeline.settings import Settings
from pipeline.store.engine import open_store
from pipeline.workspace import make_workspace
from tests.dashboard.sending.conftest import REGISTRY
from tests.dashboard.tree import find, text_of

HARVEST = (
    "site,plot,date,count,weight,unit\n"
    "K01,1,2025-08-05,8,3.1,lb\nK01,2,2025-08-05,7,2.9,lb\nK01,1,2025-08-12,8,,lb\nK01,3x,2025-08-12,8,3.1,lb\n"
    "K02,1,2025-08-05,8,3.1,lb\nK02,2x,2025-08-12,7,2.9,lb\n"
)
WORK = "site,date,event,volunteers,hours\nK01,2024-07-02,work day,6,12\nK02,2025-07-02,work day,7,14\n"
SENT = "site,plot,date,count,weight,unit\nK01,1,2025-08-19,8,3.2,lb\nK01,3x,2025-08-19,8,3.1,lb\n"
#: Every page as it opens, and those about gardens with one chosen.
STARTS = [
    *((page, "") for page in PAGES),
    *((page, "?garden=K01") for page in PAGES if page.has_row or page.for_volunteers),
]


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    settings = Settings(name="Invented network", today="2025-08-20")
    workspace = make_workspace(tmp_path_factory.mktemp("every") / "network", settings, REGISTRY)
    (workspace.inbox / "picked.csv").write_text(HARVEST, encoding="utf-8")
    (workspace.inbox / "outreach.csv").write_text(WORK, encoding="utf-8")
    report = run_night(workspace)
    assert report.status == "published", report.trouble
    return workspace


@pytest.fixture(scope="module")
def whole(place) -> View:
    engine = open_store(place.database_url)
    lead = Account("Ines", "lead")
    return View(
        newest_of(place, engine)(),
        lead,
        Desk(place, engine),
        Releases(engine, place.now),
        Gate(place, engine),
    )


def opened(view: View, href: str) -> Routed:
    to = urlsplit(href)
    return route(view, to.path, f"?{to.query}", Screen())


def own_links(routed: Routed, path: str) -> list[tuple[str, str]]:
    """Return words and address of the links that stay on a page."""
    links = find([*routed.masthead, *routed.chosen.ruler, *routed.main], "A")
    return [(text_of(one), one.href) for one in links if urlsplit(getattr(one, "href", "")).path == path]


@pytest.mark.parametrize(("page", "start"), STARTS, ids=[f"{page.path}{start}" for page, start in STARTS])
def test_whatever_can_be_chosen_on_a_page_is_part_of_what_its_address_keeps(whole, page, start):
    routed = opened(whole, page.path + start)
    chosen = {key for _, href in own_links(routed, page.path) for key, _ in parse_qsl(urlsplit(href).query)}
    forms = [one for one in find(routed.main, "Form") if getattr(one, "method", "") == "get"]
    fields = {field.name for field in find(forms, "Input") + find(forms, "Select") if hasattr(field, "name")}
    assert chosen | fields <= set(KEYS)


def test_questions_open_on_the_question_of_the_address(whole):
    listed = find(opened(whole, "/questions").main, "A")
    links = [one for one in listed if "question=" in getattr(one, "href", "")]
    assert len(links) > 1
    for link in links:
        (heading,) = find(opened(whole, link.href).main, "H2", id="case")
        assert text_of(link) in text_of(heading)


def test_a_visit_list_of_one_garden_is_mailed_as_that(whole):
    every = text_of(opened(whole, "/visits").main)
    one = text_of(opened(whole, "/visits?garden=K01").main)
    assert "Huerto del Cerro" in every
    assert "Huerto del Cerro" not in one
    assert "Windmill Lot" in one


@pytest.mark.parametrize("year", ["2024", "2025"])
def test_reach_opens_on_the_year_of_the_address(whole, year):
    main = opened(whole, f"/reach?year={year}").main
    assert year in text_of(find(main, "H1"))


def test_a_slip_opens_with_the_remedies_that_were_chosen(whole):
    digest = whole.gate.take("sheet.csv", SENT.encode(), "K01")
    told = f"/send?garden=K01&sent={digest}&file=sheet.csv"
    links = [one.href for one in find(opened(whole, told).main, "A") if text_of(one) == "Plot 2"]
    before = text_of(opened(whole, told).main)
    after = text_of(opened(whole, links[0]).main)
    assert "1 of 2 rows are in" in before
    assert "With this, all 2 rows are in." in after
    assert after == text_of(opened(whole, links[0]).main)


@pytest.mark.parametrize("path", ["/my-garden", "/send", "/picking", "/paper-sheet"])
@pytest.mark.parametrize(("site", "name"), [("K01", "Windmill Lot"), ("K02", "Huerto del Cerro")])
@pytest.mark.parametrize("language", ["en", "es"])
def test_a_volunteers_page_opens_on_its_garden_and_in_its_language(whole, path, site, name, language):
    routed = opened(whole, f"{path}?garden={site}&lang={language}")
    assert name in text_of(routed.main)
    assert routed.speech.language == language
