"""What a volunteer comes for: a sheet mended and taken, and a picking typed in on a phone."""

import pytest

from dashboard.app import create_app
from dashboard.sending.gate import Gate
from dashboard.serve import newest_of
from pipeline.nightly import run_night
from pipeline.settings import Settings
from pipeline.store.engine import open_store
from pipeline.workspace import make_workspace
from tests.dashboard.sending.conftest import REGISTRY

pytestmark = pytest.mark.browser

SHEET = "site,plot,date,count,weight,unit\nK01,1,2025-08-12,8,3.2,lb\nK01,3x,2025-08-12,8,3.1,lb\n"


@pytest.fixture(scope="module")
def gate(tmp_path_factory):
    settings = Settings(name="Invented network", today="2025-08-20")
    workspace = make_workspace(tmp_path_factory.mktemp("volunteer") / "network", settings, REGISTRY)
    report = run_night(workspace)
    assert report.status == "published", report.trouble
    return Gate(workspace, open_store(workspace.database_url))


@pytest.fixture(scope="module")
def app_factory(gate):
    return lambda: create_app(newest_of(gate.workspace, gate.engine), gate=gate)


@pytest.fixture(scope="module")
def base_url(app_factory):
    import threading

    from werkzeug.serving import make_server

    server = make_server("127.0.0.1", 0, app_factory().server, threaded=True)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    yield f"http://127.0.0.1:{server.server_port}"
    server.shutdown()
    thread.join()
    server.server_close()


def test_a_volunteer_mends_a_faulty_sheet_and_sees_it_taken(open_page, gate):
    page = open_page("/send?garden=K01", 390).page
    sheet = {"name": "sheet.csv", "mimeType": "text/csv", "buffer": SHEET.encode()}
    page.set_input_files("#file-to-send", sheet)
    page.get_by_role("heading", name="Thank you! 1 of 2 rows are in. 1 waits for a small fix.").wait_for()
    page.get_by_role("link", name="Plot 2", exact=True).click()
    page.get_by_text("With this, all 2 rows are in.").wait_for()
    page.get_by_role("button", name="Send the corrected sheet").click()
    page.get_by_role("heading", name="Thank you! We could use all 2 rows.").wait_for()
    assert len(gate.waiting("K01")) == 2


def test_a_volunteer_enters_a_picking_by_hand_on_a_phone_in_spanish(open_page, gate):
    page = open_page("/picking?garden=K02", 390).page
    page.get_by_role("heading", name="Anotar un corte").wait_for()
    first = page.get_by_role("group", name="Parcela 1", exact=True)
    first.get_by_label("Frutos buenos").fill("8")
    page.get_by_role("button", name="Enviar este corte").click()
    page.get_by_text("Parcela 1: escriba el peso o elija “No se pesó”.").wait_for()
    first.get_by_label("Su peso").fill("3.2")
    page.get_by_role("group", name="Parcela 2", exact=True).get_by_text("Nada maduro").click()
    page.get_by_role("button", name="Enviar este corte").click()
    page.get_by_role("heading", name="¡Gracias! Pudimos usar las 2 filas.").wait_for()
    assert page.locator(".hand").get_attribute("lang") == "es"
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert len(gate.waiting("K02")) == 1
