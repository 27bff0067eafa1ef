"""The lead finds and decides the question that matters most, in a real browser, on a night of its own."""

import threading

import pytest
import sqlalchemy as sa
from werkzeug.serving import make_server

from dashboard.app import create_app
from dashboard.desk import Desk
from dashboard.serve import demo, newest_of
from pipeline.nightly import run_night
from pipeline.store.engine import open_store
from pipeline.store.tables import decisions
from pipeline.store.timeline import row_timeline
from pipeline.workspace import open_workspace
from tests.browser.conftest import set_aside_what_matters_most

pytestmark = pytest.mark.browser

ADDRESS = "/questions?trial=eggplant-graft&season=2024"


@pytest.fixture(scope="module")
def desk(tmp_path_factory) -> Desk:
    folder = tmp_path_factory.mktemp("questions") / "network"
    demo(folder, no_serve=True)
    workspace = open_workspace(folder)
    return Desk(workspace, open_store(workspace.database_url))


@pytest.fixture(scope="module")
def app_factory(desk):
    return lambda: create_app(newest_of(desk.workspace, desk.engine), desk=desk)


@pytest.fixture(scope="module")
def base_url(app_factory):
    server = make_server("127.0.0.1", 0, app_factory().server, threaded=True)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    yield f"http://127.0.0.1:{server.server_port}"
    server.shutdown()
    thread.join()
    server.server_close()


@pytest.fixture(autouse=True)
def nothing_decided(desk):
    yield
    with desk.engine.begin() as connection:
        connection.execute(sa.delete(decisions))


def first_title(opened) -> str:
    return opened.page.locator(".asked-list a[href*='question=']").first.inner_text()


def test_the_lead_decides_the_question_that_matters_most_by_keyboard(open_page, desk):
    opened = open_page(ADDRESS)
    page = opened.page
    set_aside_what_matters_most(page)
    kept = desk.decisions().iloc[0]
    assert (kept["answer"], kept["made_by"], kept["kind"]) == ("set aside", "open", "harvest")
    assert page.evaluate("document.activeElement.id") == "case-part"


def test_an_answer_is_taken_back_from_where_it_was_noted(open_page, desk):
    opened = open_page(ADDRESS)
    page, most = opened.page, first_title(opened)
    page.locator("[data-key='1']").click()
    page.wait_for_selector(".noted")

    page.locator(".noted button").click()

    page.wait_for_selector(".noted", state="detached")
    assert first_title(opened) == most
    assert desk.decisions().empty


def test_a_change_that_cannot_be_read_is_refused_in_words_and_changes_nothing(open_page, desk):
    page = open_page(ADDRESS).page
    page.locator("#answer-value").fill("a good lot")
    page.locator("[data-key='4']").click()

    page.wait_for_selector(".answer-trouble:not(:empty)")

    assert "cannot be read" in page.locator(".answer-trouble").inner_text()
    assert desk.decisions().empty


def test_a_change_is_part_of_the_rows_after_the_next_night(open_page, desk):
    asked = newest_of(desk.workspace, desk.engine)().frame("questions", "eggplant-graft", "2024")
    slip = asked[asked["check"] == "decimal-slip"].iloc[0]
    page = open_page(f"{ADDRESS}&question={slip['finding']}").page
    page.locator("#answer-value").fill("0.9 lb")
    page.locator("[data-key='4']").click()
    page.wait_for_selector(".noted")

    run_night(desk.workspace)

    with desk.engine.connect() as connection:
        versions = row_timeline(connection, "harvest", int(slip["row"]))
    # 1 lb is 0.45359237 kg (NIST SP 811, appendix B.8).
    assert versions["marketable_weight"].iloc[-1] == pytest.approx(0.9 * 0.45359237)
    assert versions["answer"].iloc[-1] == "change it"
