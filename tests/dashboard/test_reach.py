"""Reach on the page: the published figures, their definitions and their completeness beside them."""

import io
from datetime import date

import pandas as pd
import pytest

from dashboard.access.account import OPEN_ACCOUNT
from dashboard.app import create_app
from dashboard.data import View
from dashboard.figures.template import Screen
from dashboard.router import route
from dashboard.words import REACH
from pipeline.publish import frames
from pipeline.publish.reach_measures import BY_NAME, MEASURES
from tests.dashboard.framing import framed
from tests.dashboard.tree import find, text_of

SCREENS = [Screen(), Screen("dark"), Screen(narrow=True), Screen("dark", narrow=True)]
#: A measure that is withheld throughout.
HIDDEN = "intend_to_adopt"
COUNTIES = {"20181": "Sherman", "20169": "Saline", "20055": "Finney"}


def figures() -> pd.DataFrame:
    """Return two years: 100 times the place of the measure in 2024, 110 times in 2025."""
    rows = [
        {
            "year": year, "span": span, "until": until, "measure": measure.name,
            "value": factor * (at + 1), "unit": measure.unit, "is_withheld": measure.name == HIDDEN,
            "reported": 18, "active": 24, "of": 20 if measure.name == "came_back" else None,
            "shown": None if measure.name == HIDDEN else factor * (at + 1),
            "shown_unit": measure.unit,
        }
        for year, span, until, factor in (
            (2024, "whole year", date(2024, 12, 31), 100.0), (2024, "to date", date(2024, 8, 12), 60.0),
            (2025, "whole year", date(2025, 8, 12), 110.0), (2025, "to date", date(2025, 8, 12), 110.0),
        )
        for at, measure in enumerate(MEASURES)
    ]  # fmt: skip
    return framed(frames.REACH, pd.DataFrame(rows))


def by_county() -> pd.DataFrame:
    rows = [
        {
            "year": year, "county_fips": fips, "county": name, "measure": measure.name,
            "value": value, "shown": value, "unit": measure.unit, "shown_unit": measure.unit,
            "is_withheld": False,
        }
        for year in (2024, 2025)
        for measure in MEASURES
        if measure.by_county
        for (fips, name), value in zip(COUNTIES.items(), (40.0, 90.0, None), strict=True)
    ]  # fmt: skip
    return framed(frames.REACH_COUNTIES, pd.DataFrame(rows))


@pytest.fixture
def with_reach(published):
    about = pd.DataFrame([{"name": "Row Network", "units": "us", "language": "en"}])
    return (
        published.replacing(figures(), "reach")
        .replacing(by_county(), "reach_counties")
        .replacing(about, "about")
    )


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
    figure = find(route(view, "/reach", "", Screen()).main, "Graph")[0].figure
    assert {"more", "less", "nothing sent"} <= {trace.name for trace in figure.data}
    assert sorted(note.text for note in figure.layout.annotations) == ["<b>40</b>", "<b>90</b>"]


@pytest.mark.parametrize("search", ["?year=1999", "?year=moon"])
def test_a_year_that_is_not_there_says_so(view, search):
    routed = route(view, "/reach", search, Screen())
    assert [link.href for link in find(routed.main, "A")] == ["/reach"]


def test_before_the_first_sheet_it_says_what_is_missing(published):
    assert REACH.nothing in words(View(published, OPEN_ACCOUNT))


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
