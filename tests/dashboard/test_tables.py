"""The tables behind figures, read on the page or taken away."""

import io
import re

import pandas as pd
import pytest

from dashboard.components.arranged import Arrangement
from dashboard.components.table import ROWS_SHOWN, table
from dashboard.data import trial_seasons
from dashboard.pages import tables
from dashboard.tables import as_csv
from tests.dashboard.drawn import DRAWN


@pytest.mark.parametrize(("page", "figure"), [(page, figure) for page in DRAWN for figure in page.tables])
def test_the_csv_holds_the_rows_of_the_figures_table(client, choose, view, page, figure):
    answer = client.get(f"/download/{page.name}.csv?figure={figure}&season=2024")
    selection = choose(page.path, "?season=2024")
    expected = page.tables[figure](view, selection, selection.trial).reset_index(drop=True)
    rows = pd.read_csv(io.StringIO(answer.text), keep_default_na=False, na_values=[""])
    assert list(rows.columns) == list(expected.columns)
    first = expected.columns[0]
    assert rows[first].tolist() == expected[first].tolist()
    for column in expected.select_dtypes("float64"):
        pd.testing.assert_series_equal(rows[column].astype("float64"), expected[column], check_exact=True)


#: Tables whose rows are no gardens: of the network's answer, and of the sheets that came in.
OF_THE_NETWORK = {"ways", "interim", "seasons", "sheets"}


def test_tables_run_from_west_to_east(client):
    for page in DRAWN:
        for figure in page.tables:
            text = client.get(f"/download/{page.name}.csv?figure={figure}&season=2024").text
            rows = pd.read_csv(io.StringIO(text))
            assert ("position_km" in rows) == (figure not in OF_THE_NETWORK)
            assert figure in OF_THE_NETWORK or rows["position_km"].is_monotonic_increasing


def test_the_file_is_named_after_page_figure_trial_and_season(client):
    answer = client.get("/download/gradient.csv?figure=strips")
    assert 'filename="longrow-gradient-strips-tomato-graft-2024.csv"' in answer.headers["Content-Disposition"]


def test_the_csv_follows_the_choices_of_the_address(client):
    text = client.get("/download/compare.csv?figure=effects&season=2024&treatment=tressel").text
    assert set(pd.read_csv(io.StringIO(text))["treatment"]) == {"tressel"}


@pytest.mark.parametrize(
    "address",
    [
        "/download/moon.csv?figure=strips",
        "/download/gradient.csv",
        "/download/gradient.csv?figure=moon",
        "/download/gradient.csv?figure=strips&garden=G99",
    ],
)
def test_a_table_that_is_not_there_is_not_found(client, address):
    assert client.get(address).status_code == 404


# CWE-1236: a cell that starts with one of these is run as a formula by spreadsheets.
@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t"])
def test_text_cannot_run_in_a_spreadsheet_and_numbers_stay_numbers(start):
    rows = pd.DataFrame({"name": pd.Series([f"{start}1+1", None], dtype="str"), "percent": [-3.5, 2.0]})
    read = pd.read_csv(io.StringIO(as_csv(rows)))
    assert read["name"][0] == f"'{start}1+1"
    assert read["percent"].tolist() == [-3.5, 2.0]


def test_every_plot_is_in_the_table_with_or_without_a_value(view, choose, published):
    selection = choose("/compare", "?season=2024")
    rows = tables.plots(view, selection, trial_seasons(view)[1])
    assert len(rows) == len(published.frame("plot_seasons", "tomato-graft", "2024"))


def cells(html: str) -> pd.DataFrame:
    """Return a table's cells as they are read."""
    rows = re.findall(r"<tr>(.*?)</tr>", re.sub(r"</?button[^>]*>", "", html))
    return pd.DataFrame(re.findall(r"<t[hd][^>]*>([^<]*)</t[hd]>", row) for row in rows)


@pytest.mark.parametrize(("page", "figure"), [(page, figure) for page in DRAWN for figure in page.tables])
def test_the_table_on_the_page_has_the_rows_of_the_csv_in_its_order(client, page, figure):
    query = f"?figure={figure}" + ("" if page.name == "watch" else "&season=2024&treatment=tressel")
    read = cells(client.get(f"/table/{page.name}{query}").text)
    taken = pd.read_csv(io.StringIO(client.get(f"/download/{page.name}.csv{query}").text))
    assert read[0].tolist()[1:] == taken[taken.columns[0]].tolist()[:ROWS_SHOWN]
    assert len(read.columns) == len(taken.columns)


@pytest.mark.parametrize(
    "address", ["/table/moon?figure=strips", "/table/gradient", "/table/gradient?figure=moon"]
)
def test_a_table_to_read_that_is_not_there_is_not_found(client, address):
    assert client.get(address).status_code == 404


def long_rows(count: int) -> pd.DataFrame:
    return pd.DataFrame({"site": [f"G{at:03}" for at in range(1, count + 1)], "percent": 1.0})


def test_a_long_table_stands_on_pages_and_says_which_rows_it_shows():
    html = table(long_rows(ROWS_SHOWN + 60), "Rows")
    assert html.count("<tr>") == ROWS_SHOWN + 1
    assert f"Rows 1 to {ROWS_SHOWN} of {ROWS_SHOWN + 60}" in html
    assert 'data-page="2"' in html
    last = table(long_rows(ROWS_SHOWN + 60), "Rows", arrangement=Arrangement(page=2))
    assert last.count("<tr>") == 61
    assert f"Rows {ROWS_SHOWN + 1} to {ROWS_SHOWN + 60} of {ROWS_SHOWN + 60}" in last


def test_a_page_beyond_the_last_is_the_last():
    assert "page 2 of 2" in table(long_rows(ROWS_SHOWN + 1), "Rows", arrangement=Arrangement(page=99))


def test_a_short_table_has_no_pages():
    html = table(long_rows(3), "Rows")
    assert "3 rows" in html
    assert "data-page" not in html


def test_a_blank_cell_is_not_recorded_and_zero_is_zero():
    rows = pd.DataFrame(
        {
            "site": pd.Series(["G01", None], dtype="str"),
            "open_questions": pd.Series([0, None], dtype="Int64"),
            "last_picking": pd.to_datetime(["2025-08-04", None]),
            "used": [True, False],
        }
    )
    read = cells(table(rows, "Rows"))
    assert read.loc[1].tolist() == ["G01", "0", "Aug\u00a04", "yes"]
    assert read.loc[2].tolist() == ["not recorded", "not recorded", "not recorded", "no"]


def test_what_a_garden_is_called_cannot_become_part_of_the_page():
    rows = pd.DataFrame({"name": ['<img src=x onerror="alert(1)">']})
    html = table(rows, 'a "caption"')
    assert "<img" not in html
    assert "&lt;img" in html
    assert 'aria-label="a &quot;caption&quot;"' in html


def test_heads_of_rows_and_columns_are_marked_as_such():
    html = table(pd.DataFrame({"site": ["G01"], "percent": [3.4]}), "Rows")
    assert '<th scope="row">G01</th>' in html
    assert '<th scope="col" class="n" aria-sort="none">' in html
    assert 'data-sort="percent">difference, %</button></th>' in html


def test_a_heading_tells_what_the_glossary_says_of_its_column():
    rows = pd.DataFrame({"site": ["G01"], "rain_mm": [402.0]})
    told = table(rows, "Rain", {"rain_mm": 'Rain, mm. Rain over the "season".'})
    assert (
        '<th scope="col" class="n" aria-sort="none" title="Rain, mm. Rain over the &quot;season&quot;.">'
        in told
    )
    assert told.count("title=") == 1


def test_the_table_of_new_sheets_has_them_all_in_the_order_of_their_list(client):
    rows = pd.read_csv(io.StringIO(client.get("/download/watch.csv?figure=sheets&season=2025").text))
    assert len(rows) == 31
    assert rows["verdict"].tolist()[:3] == ["refused", "taken in part", "taken in part"]
