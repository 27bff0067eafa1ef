"""Names that are a little misspelt are understood where only one garden can be meant; digits never are."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.checks.spelling import edits, nearest_site, plot_from_date, site_meant

SITES = {"juniperrow": "G01", "quarrybeds": "G02", "millgarden3": "G03", "millgarden8": "G08", "g01": "G01"}


@pytest.mark.parametrize(
    ("name", "site"),
    [
        ("Juniper Row", "G01"),
        ("JUNIPER-ROW", "G01"),
        ("Junipr Row", "G01"),
        ("Juniperr Rows", "G01"),
        ("Jniper Rw", "G01"),
        ("Jnper Rw", None),
        ("Mil Garden 3", "G03"),
        ("Mill Garden 5", None),
        ("G10", None),
        ("G0l", None),
        ("", None),
    ],
)
def test_a_garden_is_known_within_two_letters(name, site):
    assert site_meant(name, SITES) == site


def test_two_gardens_that_are_as_near_leave_it_open():
    assert site_meant("Mill Beds", {"hillbeds": "G01", "millbed": "G02", "milkbeds": "G03"}) is None


def test_the_nearest_name_is_the_one_that_begins_alike():
    assert nearest_site("G01x7", {"g01": "G01", "g17": "G17"}) == "G01"
    assert nearest_site("zzzzzz", SITES) is None


# Distances of Levenshtein 1966 as textbooks give them.
@pytest.mark.parametrize(
    ("one", "two", "distance"), [("kitten", "sitting", 3), ("saturday", "sunday", 3), ("", "abc", 3)]
)
def test_edits_are_letters_changed_left_out_or_put_in(one, two, distance):
    assert edits(one, two) == distance


@given(st.text("abc", max_size=6), st.text("abc", max_size=6))
def test_edits_are_the_same_both_ways_and_none_only_for_equal_words(one, two):
    assert edits(one, two) == edits(two, one)
    assert (edits(one, two) == 0) == (one == two)


@pytest.mark.parametrize(
    ("cell", "plot"),
    [
        ("2-Jan", "1-2"),
        ("Jan-02", "1-2"),
        ("02-ene", "1-2"),
        ("2024-01-02", "1-2"),
        ("1/2/2024", "1-2"),
        ("3-Apr", ""),
        ("5-May", None),
        ("12", None),
    ],
)
def test_a_plot_is_told_from_the_day_that_a_spreadsheet_made_of_it(cell, plot):
    assert plot_from_date(cell, ["1-2", "1-3", "3-4", "4-3"]) == plot
