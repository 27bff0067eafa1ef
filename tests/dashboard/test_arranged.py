"""Tables in another order, and only the rows that hold some words."""

import io

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboard.components.arranged import Arrangement, arranged
from dashboard.components.table import table

ROWS = pd.DataFrame(
    {
        "name": pd.Series(["brass Kettle", "Apple Yard", None, "Clover"], dtype="str"),
        "percent": [4.2, None, -3.0, 4.2],
        "last_picking": pd.to_datetime(["2025-08-04", "2025-07-30", None, "2025-08-11"]),
    }
)


def order(wanted: Arrangement) -> list[int]:
    return arranged(ROWS, wanted).index.tolist()


@pytest.mark.parametrize(
    ("column", "is_falling", "expected"),
    [
        ("", False, [0, 1, 2, 3]),
        ("moon", False, [0, 1, 2, 3]),
        ("name", False, [1, 0, 3, 2]),
        ("name", True, [3, 0, 1, 2]),
        ("percent", False, [2, 0, 3, 1]),
        ("percent", True, [0, 3, 2, 1]),
        ("last_picking", True, [3, 0, 1, 2]),
    ],
)
def test_rows_stand_by_a_column_and_what_is_not_recorded_stands_last(column, is_falling, expected):
    assert order(Arrangement(column, is_falling)) == expected


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("", [0, 1, 2, 3]),
        ("KETTLE", [0]),
        ("kettle brass", [0]),
        ("kettle clover", []),
        ("aug 11", [3]),
        ("not recorded", [1, 2]),
        ("4", [0, 3]),
    ],
)
def test_a_row_is_found_by_the_words_it_shows(words, expected):
    assert order(Arrangement(words=words)) == expected


@given(st.lists(st.one_of(st.none(), st.floats(-1e6, 1e6)), max_size=40), st.booleans())
def test_ordering_loses_no_row(values, is_falling):
    rows = pd.DataFrame({"percent": pd.Series(values, dtype="float64")})
    found = arranged(rows, Arrangement("percent", is_falling))
    assert sorted(found.index) == list(rows.index)
    known = found["percent"].dropna()
    assert known.is_monotonic_decreasing if is_falling else known.is_monotonic_increasing


@pytest.mark.parametrize("page", ["0", "-1", "x", "", "1e9", "\u0663", "9" * 60])
def test_a_garbled_page_is_the_first(page):
    assert Arrangement.parse({"page": page}).page == 1


def test_the_heading_tells_the_order_to_those_who_listen():
    html = table(ROWS, "Rows", arrangement=Arrangement("percent", is_falling=True))
    assert html.count('aria-sort="descending"') == 1
    assert html.count('aria-sort="none"') == 2


def test_what_is_searched_for_cannot_become_part_of_the_page():
    html = table(ROWS, "Rows", arrangement=Arrangement(words='"><img src=x>'), csv="/download/x.csv?a=1")
    assert "<img" not in html


def test_the_rows_that_are_left_can_be_taken_away(client):
    query = "figure=strips&season=2024&search=tressel&sort=percent&falling=yes"
    taken = pd.read_csv(io.StringIO(client.get(f"/download/gradient.csv?{query}").text))
    assert set(taken["treatment"]) == {"tressel"}
    assert taken["percent"].dropna().is_monotonic_decreasing
    read = client.get(f"/table/gradient?{query}").text
    link = "/download/gradient.csv?figure=strips&season=2024&search=tressel&sort=percent&falling=yes"
    assert link.replace("&", "&amp;") in read
