"""Numbers and dates as people read them."""

import math
from datetime import date, datetime

import pytest

from dashboard.numerals import (
    between,
    count,
    long_day,
    moment,
    more_or_less,
    number,
    p_value,
    signed,
    small_percent,
    with_unit,
)


@pytest.mark.parametrize(
    ("value", "digits", "expected"),
    [
        (1250.46, 1, "1,250.5"),
        (-3.4, 0, "−3"),
        (-0.2, 0, "0"),
        (0.0, 2, "0.00"),
        (math.nan, 0, "not recorded"),
    ],
)
def test_numbers_have_commas_a_true_minus_and_no_minus_zero(value, digits, expected):
    assert number(value, digits) == expected


@pytest.mark.parametrize(
    ("percent", "expected"),
    [
        (18.6, "19% more"),
        (-3.2, "3% less"),
        (0.4, "the same"),
        (-0.4, "the same"),
        (math.nan, "not recorded"),
    ],
)
def test_differences_say_more_or_less(percent, expected):
    assert more_or_less(percent).replace("\u00a0", " ") == expected


@pytest.mark.parametrize(("percent", "expected"), [(12.3, "+12%"), (-3.2, "−3%"), (0.1, "0%"), (-0.1, "0%")])
def test_short_differences_carry_their_sign(percent, expected):
    assert signed(percent) == expected


def test_a_number_and_its_unit_stay_on_one_line():
    assert with_unit(399.2, "mm") == "399\u00a0mm"
    assert with_unit(4, "%") == "4%"
    assert with_unit(math.nan, "mm") == "not recorded"


def test_an_interval_names_its_unit_once():
    assert between(-6.1, 83.2) == "−6 to 83%"


def test_nouns_are_counted():
    assert count(1, "garden", "gardens") == "1\u00a0garden"
    assert count(1200, "garden", "gardens") == "1,200\u00a0gardens"


def test_months_are_words():
    assert long_day(date(2026, 7, 12)).replace("\u00a0", " ") == "Jul 12, 2026"


# Central daylight time is five hours behind UTC in August: IANA time zone database, America/Chicago.
@pytest.mark.parametrize(
    ("zone", "expected"),
    [
        ("America/Chicago", "2:14 a.m., Tue Aug 12"),
        ("UTC", "7:14 a.m. UTC, Tue Aug 12"),
        ("nowhere/at all", "7:14 a.m. UTC, Tue Aug 12"),
        ("../../etc/passwd", "7:14 a.m. UTC, Tue Aug 12"),
    ],
)
def test_times_are_told_on_the_readers_clock_or_as_utc(zone, expected):
    assert moment(datetime(2025, 8, 12, 7, 14), zone).replace("\u00a0", " ") == expected


@pytest.mark.parametrize(
    ("value", "digits", "said"),
    [(0.234, 3, "0.23"), (0.0412, 3, "0.041"), (0.0004, 3, "under 0.001"), (0.0004, 4, "0.0004")],
)
def test_a_p_value_has_digits_where_it_is_small(value, digits, said):
    assert p_value(value, digits) == said


@pytest.mark.parametrize(
    ("percent", "expected"),
    [
        (3.46, "3.5%"),
        (0.06, "0.1%"),
        (0.03, "0.03%"),
        (0.0042, "0.004%"),
        (0.0001, "under 0.001%"),
        (0.0, "0.0%"),
        (-1e-9, "0.0%"),
        (math.nan, "not recorded"),
    ],
)
def test_a_small_gain_is_told_from_nothing(percent, expected):
    assert small_percent(percent) == expected
