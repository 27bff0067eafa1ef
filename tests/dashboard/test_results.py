"""What everybody reads: released answers alone, by county and never by garden."""

import io

import pandas as pd
import pytest

from dashboard.access.account import OPEN_ACCOUNT, reader
from dashboard.app import create_app
from dashboard.data import View
from dashboard.figures.template import Screen
from dashboard.router import route
from dashboard.wording.shared import RESULTS
from tests.dashboard.browsing import browsing
from tests.dashboard.invented import CLOSED, GARDENS, TRIAL
from tests.dashboard.public_frames import EMPTY_COUNTY, counties
from tests.dashboard.tree import find, text_of

SCREENS = [Screen(), Screen("dark"), Screen(narrow=True), Screen("dark", narrow=True)]


@pytest.fixture
def released(published, releases) -> View:
    releases.release(TRIAL, CLOSED, "lead")
    return View(published, OPEN_ACCOUNT, releases=releases)


def fips(name: str) -> str:
    rows = counties()
    return str(rows.loc[rows["county"] == name, "county_fips"].iloc[0])


def words(view: View, search: str = "", screen: Screen | None = None) -> str:
    return text_of(route(view, "/results", search, screen or Screen()).main)


def test_before_a_release_nothing_is_told(published, releases):
    view = View(published, OPEN_ACCOUNT, releases=releases)
    assert RESULTS.nothing in words(view)
    assert "percent" not in words(view)


def test_what_is_taken_back_is_not_told_any_more(released):
    released.releases.take_back(released.releases.standing()[0].number, "lead")
    assert RESULTS.nothing in words(released)


@pytest.mark.parametrize("screen", SCREENS)
@pytest.mark.parametrize("search", ["", "?treatment=tressel", f"?trial={TRIAL}&season={CLOSED}"])
def test_the_answer_stands_on_every_screen(released, search, screen):
    routed = route(released, "/results", search, screen)
    assert find(routed.main, "Graph")
    words = text_of(find(routed.main, "H1")[0]).split()
    assert words[-4:] == ["percent", "more", "than", "own-root."]
    assert routed.chosen.ruler == []


def test_no_garden_is_named_on_the_public_page_or_in_its_table(published, releases, released):
    client = browsing(create_app(lambda: published, releases=releases))
    table = client.get("/download/results.csv?figure=counties").text
    shown = words(released, f"?county={fips('Saline')}") + str(route(released, "/results", "", Screen()).main)
    for site, name, *_ in GARDENS:
        for text in (table, shown):
            assert name not in text
            assert site not in text


def test_a_reader_finds_what_a_new_garden_in_the_county_would_see(released):
    own = counties().set_index(["treatment", "county"]).loc[("corvane", "Saline")]
    told = words(released, f"?county={fips('Saline')}")
    assert f"In a new garden in Saline County, expect about {own['expected']:.0f}%" in told
    assert "19 of 20 new gardens" in told


def test_where_no_change_is_told_the_average_stands_and_says_so(released):
    told = words(released, f"?treatment=tressel&county={fips('Saline')}")
    assert "We cannot tell that Saline County differs from the others" in told


def test_a_county_beyond_the_gardens_gets_the_average_and_the_reason(published, releases, monkeypatch):
    releases.release(TRIAL, CLOSED, "lead")
    frame = type(releases).frame

    def beyond(self, release, name):
        rows = frame(self, release, name)
        return rows.assign(basis="all gardens") if name == "public_counties" else rows

    monkeypatch.setattr(type(releases), "frame", beyond)
    told = words(View(published, OPEN_ACCOUNT, releases=releases), f"?county={EMPTY_COUNTY[0]}")
    assert "Nowhere County lies beyond our gardens" in told


def test_the_nearest_counties_come_first_with_distance_and_direction(released):
    table = find(route(released, "/results", f"?county={fips('Saline')}", Screen()).main, "Table")[0]
    rows = [text_of(row) for row in find(table, "Tr")][1:]
    assert "Saline County" in rows[0]
    assert "your county, 2" in rows[0]
    # Cloud lies 80 km north and 5 km west of Saline in the invented network, Reno 87 km south and 25 west.
    assert "Cloud County" in rows[1]
    assert "about 80 km north" in rows[1]
    assert any("Reno County" in row and "about 90 km south" in row for row in rows)


@pytest.mark.parametrize("search", ["?trial=moon", "?season=1999", "?treatment=moon", "?county=99999"])
def test_an_address_that_names_what_is_not_out_says_so(released, search):
    routed = route(released, "/results", search, Screen())
    assert [link.href for link in find(routed.main, "A")] == ["/results"]
    assert "percent" not in text_of(routed.main)


def test_the_table_has_every_county_with_gardens_from_west_to_east(published, releases):
    releases.release(TRIAL, CLOSED, "lead")
    client = browsing(create_app(lambda: published, releases=releases))
    answer = client.get(f"/download/results.csv?figure=counties&season={CLOSED}&treatment=tressel")
    rows = pd.read_csv(io.StringIO(answer.text))
    assert rows["axis_km"].is_monotonic_increasing
    assert set(rows["treatment"]) == {"tressel"}
    assert EMPTY_COUNTY[1] not in set(rows["county"])
    assert f"longrow-results-counties-{CLOSED}.csv" in answer.headers["Content-Disposition"]


def test_without_a_release_the_table_is_not_found(published, releases):
    client = browsing(create_app(lambda: published, releases=releases))
    assert client.get("/download/results.csv?figure=counties").status_code == 404


def test_an_address_cannot_write_into_the_name_of_the_file(published, releases):
    releases.release(TRIAL, CLOSED, "lead")
    client = browsing(create_app(lambda: published, releases=releases))
    answer = client.get('/download/results.csv?figure=counties&year=1"%0d%0aX: y')
    assert answer.headers["Content-Disposition"] == 'attachment; filename="longrow-results-counties.csv"'


def test_the_answer_is_told_in_the_language_of_the_address(released):
    routed = route(released, "/results", f"?county={fips('Saline')}&lang=es", Screen())
    told = text_of(routed.main)
    assert "Huertos cerca de usted" in told
    assert "En un huerto nuevo en el condado de Saline" in told
    assert "Gardens near you" not in told
    assert "Show as table" not in told
    assert "Ver como tabla" in told
    assert "Resultados" in text_of(routed.masthead)
    assert routed.speech.language == "es"
    assert routed.title == "Lo que encontramos · Longrow"


def test_a_language_that_nothing_is_written_in_is_english(released):
    assert "Where the gardens are" in words(released, "?lang=xx")


@pytest.mark.parametrize(("asked", "language"), [("es-MX,es;q=0.9,en;q=0.5", "es"), ("fr", "en")])
def test_a_browser_asks_for_a_language_where_nobody_is_signed_in(published, asked, language):
    app = create_app(lambda: published)
    with app.server.test_request_context("/results", headers={"Accept-Language": asked}):
        assert reader().language == language


def test_the_table_behind_the_answer_is_in_the_language_too(released, published, releases):
    client = browsing(create_app(lambda: published, releases=releases))
    read = client.get("/table/results?figure=counties&lang=es").text
    assert ">huertos</button>" in read
    assert "Buscar en las filas" in read
