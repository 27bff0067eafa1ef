"""What is the same of several rows of a sheet is told once; every row keeps its own answers."""

import io

import pytest

from dashboard.access.account import OPEN_ACCOUNT
from dashboard.app import create_app
from dashboard.data import View
from dashboard.figures.template import Screen
from dashboard.router import route
from dashboard.sending.gate import Gate
from dashboard.serve import newest_of
from pipeline.nightly import run_night
from pipeline.settings import Settings
from pipeline.store.engine import open_store
from pipeline.workspace import make_workspace
from tests.dashboard.browsing import browsing
from tests.dashboard.sending.conftest import REGISTRY
from tests.dashboard.tree import find, text_of

HEAD = b"site,plot,date,count,weight,unit\n"
#: Three rows of a plot that is not there, and three weights that are blank beside other counts.
ROWS = (
    *(b"K01,99,2025-08-12,8,3.1,lb\n", b"K01,99,2025-08-13,8,3.1,lb\n", b"K01,99,2025-08-14,8,3.1,lb\n"),
    *(b"K01,1,2025-08-12,8,,lb\n", b"K01,2,2025-08-12,7,,lb\n", b"K01,9,2025-08-12,6,,lb\n"),
)


@pytest.fixture(scope="module")
def gate(tmp_path_factory) -> Gate:
    settings = Settings(name="Invented network", today="2025-08-20")
    network = make_workspace(tmp_path_factory.mktemp("told") / "network", settings, REGISTRY)
    assert run_night(network).status == "published"
    return Gate(network, open_store(network.database_url))


def page_of(gate: Gate, query: str):
    newest = newest_of(gate.workspace, gate.engine)
    return route(View(newest(), OPEN_ACCOUNT, gate=gate), "/send", query, Screen()).main


def slip(gate: Gate, begins: str, rows: tuple[bytes, ...] = ROWS, language: str = "en", fix: str = ""):
    """Return the slip with this heading on the page that answers to a sheet of `rows`."""
    digest = gate.take("sheet.csv", HEAD + b"".join(rows), "K01")
    query = f"?garden=K01&lang={language}&sent={digest}&file=sheet.csv&fix={fix}"
    page = page_of(gate, query)
    (found,) = (one for one in find(page, "Article") if text_of(one).startswith(begins))
    return found


@pytest.mark.parametrize(
    ("language", "heading", "message", "rows"),
    [
        ("en", "plot “99”", "Windmill Lot has no plot “99”", ["Row 2", "Row 3", "Row 4"]),
        ("es", "parcela “99”", "Windmill Lot no tiene una parcela “99”", ["Fila 2", "Fila 3", "Fila 4"]),
    ],
)
def test_one_cause_in_three_rows_is_told_once_and_names_the_rows(gate, language, heading, message, rows):
    words = text_of(slip(gate, heading, language=language))
    assert words.count(message) == 1
    assert all(row in words for row in rows)


def test_every_row_of_one_cause_can_be_typed_anew(gate):
    labels = [text_of(one) for one in find(slip(gate, "plot “99”"), "Label")]
    assert [label.rpartition("row ")[2].strip(": ") for label in labels] == ["2", "3", "4"]


def test_a_remedy_that_is_the_same_is_told_once_beside_messages_that_differ(gate):
    words = text_of(slip(gate, "marketable weight"))
    assert words.count("choose “Not weighed”") == 1
    assert [words.count(f"you counted {n} fruits") for n in (8, 7, 6)] == [1, 1, 1]


def test_the_last_row_that_waits_is_told_in_full_again(gate):
    fix = "plot-unknown!plot!2!typed!1!!99,plot-unknown!plot!3!typed!2!!99"
    words = text_of(slip(gate, "plot “99”", fix=fix))
    assert "Row 4: Windmill Lot has no plot “99”" in words


def test_a_single_row_is_told_in_full(gate):
    assert "Row 2: Windmill Lot has no plot" in text_of(slip(gate, "Row 2", ROWS[:1]))


@pytest.mark.parametrize("language", ["en", "es"])
def test_a_sheet_is_answered_in_the_language_of_the_page_that_it_was_sent_from(gate, language):
    page = page_of(gate, f"?garden=K01&lang={language}")
    (form,) = find(page, "Form", encType="multipart/form-data")
    client = browsing(create_app(newest_of(gate.workspace, gate.engine), gate=gate))
    answer = client.post(form.action, data={"file": (io.BytesIO(HEAD + ROWS[0]), "sheet.csv")})
    assert f"lang={language}" in answer.get_json()["next"]
