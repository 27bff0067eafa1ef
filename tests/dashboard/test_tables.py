"""The tables behind figures, read on the page or taken away."""

import io
import re

import pandas as pd
import pytest

from dashboard.components.table import ROWS_SHOWN, table
from dashboard.data import trial_seasons
from dashboard.pages import tables
from dashboard.router import PAGES
from dashboard.tables import as_csv

#: Pages that show a trial of the network.
OF_TRIALS = [page for page in PAGES if page.has_row]


@pytest.mark.parametrize(("page", "figure"), [(page, figure) for page in OF_TRIALS for figure in page.tables])
def test_the_csv_holds_the_rows_of_the_figures_table(client, choose, view, page, figure):
    answer = client.get(f"/download/{page.name}.csv?figure={figure}&season=2024")
    selection = choose(page.path, "?season=2024")
    expected = page.tables[figure](view, selection, selection.trial).reset_index(drop=True)
    rows = pd.read_csv(io.StringIO(answer.text), keep_default_na=False, na_values=[""])
    assert list(rows.columns) == list(expected.columns)
    assert rows["site"].tolist() == expected["site"].tolist()
    for column in expected.select_dtypes("float64"):
        pd.testing.assert_series_equal(rows[column].astype("float64"), expected[column], check_exact=True)


def test_tables_run_from_west_to_east(client):
    for page in OF_TRIALS:
        for figure in page.tables:
            text = client.get(f"/download/{page.name}.csv?figure={figure}&season=2024").text
            assert pd.read_csv(io.StringIO(text))["position_km"].is_monotonic_increasing


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
    rows = re.findall(r"<tr>(.*?)</tr>", html)
    return pd.DataFrame(re.findall(r"<t[hd][^>]*>([^<]*)</t[hd]>", row) for row in rows)


@pytest.mark.parametrize(("page", "figure"), [(page, figure) for page in OF_TRIALS for figure in page.tables])
def test_the_table_on_the_page_has_the_rows_of_the_csv_in_its_order(client, page, figure):
    query = f"?figure={figure}" + ("" if page.name == "watch" else "&season=2024&treatment=tressel")
    read = cells(client.get(f"/table/{page.name}{query}").text)
    taken = pd.read_csv(io.StringIO(client.get(f"/download/{page.name}.csv{query}").text))
    assert read[0].tolist()[1:] == taken["site"].tolist()[:ROWS_SHOWN]
    assert len(read.columns) == len(taken.columns)


@pytest.mark.parametrize(
    "address", ["/table/moon?figure=strips", "/table/gradient", "/table/gradient?figure=moon"]
)
def test_a_table_to_read_that_is_not_there_is_not_found(client, address):
    assert client.get(address).status_code == 404


def test_a_long_table_says_how_many_rows_it_shows():
    rows = pd.DataFrame({"site": ["G01"] * (ROWS_SHOWN + 60), "percent": 1.0})
    html = table(rows, "Rows")
    assert html.count("<tr>") == ROWS_SHOWN + 1
    assert f"{ROWS_SHOWN} of {ROWS_SHOWN + 60} rows" in html


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
    assert '<th scope="col" class="n">difference, %</th>' in html
