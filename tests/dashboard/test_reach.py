"""Reach on the page: the published figures, their definitions and their completeness beside them."""

import io

import pandas as pd
import pytest

from dashboard.access.account import OPEN_ACCOUNT
from dashboard.app import create_app
from dashboard.data import View
from dashboard.figures.template import Screen
from dashboard.router import route
from dashboard.wording.shared import REACH
from pipeline.publish import shared_frames
from pipeline.publish.reach_measures import BY_NAME, MEASURES
from tests.dashboard.drawn import accepted
from tests.dashboard.reach_frames import HIDDEN
from tests.dashboard.tree import find, text_of

SCREENS = [Screen(), Screen("dark"), Screen(narrow=True), Screen("dark", narrow=True)]


@pytest.fixture
def with_reach(published):
    about = pd.DataFrame([{"name": "Row Network", "units": "us", "language": "en"}])
    return published.replacing(about, "about")


@pytest.fixture
def view(with_reach) -> View:
    return View(with_reach, OPEN_ACCOUNT)


@pytest.fixture
def client(with_reach):
    return create_app(lambda: with_reach).server.test_client()


def words(view: View, search: str = "", screen: Screen | None = None) -> str:
    return text_of(route(view, "/reach", search, screen or Screen()).main)


@pytest.mark.parametrize("screen", SCREENS)
@pytest.mark.parametrize("search", ["", "?year=2024"])
def test_every_figure_stands_with_its_definition_and_completeness(view, search, screen):
    told = words(view, search, screen)
    for measure in MEASURES:
        assert measure.label in told
        assert measure.definition in told
    assert "18 of 24 gardens sent it" in told


def test_the_running_year_stands_beside_the_same_part_of_the_last(view):
    table = find(route(view, "/reach", "", Screen()).main, "Table")[0]
    hours = next(row for row in find(table, "Tr") if BY_NAME["service_hours"].label in text_of(row))
    assert [text_of(cell) for cell in find(hours, "Td")[:2]] == ["360\u00a0h", "660\u00a0h"]
    assert "January 1 to Aug\u00a012 of each year" in words(view)


def test_what_is_withheld_is_said_and_not_shown(view):
    table = find(route(view, "/reach", "", Screen()).main, "Table")[0]
    row = next(one for one in find(table, "Tr") if BY_NAME[HIDDEN].label in text_of(one))
    assert [text_of(cell) for cell in find(row, "Td")[:2]] == ["not told", "not told"]


def test_the_map_tells_counties_apart_by_hatch_and_by_number(view):
    figure = accepted(find(route(view, "/reach", "", Screen()).main, "Graph")[0].figure)
    assert {"more", "less", "nothing sent"} <= {trace.name for trace in figure.data}
    assert sorted(note.text for note in figure.layout.annotations) == ["<b>40</b>", "<b>90</b>"]


@pytest.mark.parametrize("search", ["?year=1999", "?year=moon"])
def test_a_year_that_is_not_there_says_so(view, search):
    routed = route(view, "/reach", search, Screen())
    assert [link.href for link in find(routed.main, "A")] == ["/reach"]


def test_before_the_first_sheet_it_says_what_is_missing(published):
    nothing = published.replacing(shared_frames.REACH.empty(), "reach")
    assert REACH.nothing in words(View(nothing, OPEN_ACCOUNT))


def test_the_table_to_take_away_has_what_the_page_says(client):
    answer = client.get("/download/reach.csv?figure=figures&year=2025")
    rows = pd.read_csv(io.StringIO(answer.text))
    assert "longrow-reach-figures-2025.csv" in answer.headers["Content-Disposition"]
    hours = rows[(rows["measure"] == "service_hours") & (rows["year"] == 2025)]
    assert hours["value"].item() == 660
    assert hours["how_it_is_counted"].item() == BY_NAME["service_hours"].definition


def test_the_document_is_taken_away_as_a_pdf_of_the_year(client):
    answer = client.get("/download/reach.pdf?year=2024")
    assert answer.mimetype == "application/pdf"
    assert answer.data.startswith(b"%PDF-")
    assert 'filename="longrow-reach-2024.pdf"' in answer.headers["Content-Disposition"]


@pytest.mark.parametrize(
    "address", ["/download/reach.pdf?year=1999", "/table/reach?figure=figures&year=1999"]
)
def test_a_year_without_figures_has_neither_document_nor_table(client, address):
    assert client.get(address).status_code == 404
