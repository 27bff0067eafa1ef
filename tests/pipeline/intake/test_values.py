"""Cells are read in one grammar; what can be read in two ways is not guessed."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.intake.measures import read_length, read_weight
from pipeline.intake.numbers import Reading, read_number, read_percent
from pipeline.intake.values import (
    date,
    number,
    weight_kg,
)

POUND, OUNCE = 0.45359237, 0.028349523125


@pytest.mark.parametrize(
    ("cell", "value", "how"),
    [
        ("12", 12, "plain"),
        (" 7 ", 7, "plain"),
        ("2.50", 2.5, "plain"),
        (".5", 0.5, "plain"),
        ("-3", -3, "plain"),
        ("−3", -3, "plain"),
        ("１２", 12, "plain"),
        ("~3", 3, "read as"),
        ("about 4", 4, "read as"),
        ("cerca de 4", 4, "read as"),
        ("1 1/2", 1.5, "read as"),
        ("1½", 1.5, "read as"),
        ("3/4", 0.75, "read as"),
        ("2,5", 2.5, "read as"),
        ("0,125", 0.125, "read as"),
        ("1,234.5", 1234.5, "read as"),
        ("1.234,5", 1234.5, "read as"),
        ("1,234,567", 1234567, "read as"),
        ("1 234", 1234, "read as"),
        ("1.2e+02", 120, "read as"),
    ],
)
def test_a_number_is_read_as_people_write_it(cell, value, how):
    assert read_number(cell) == Reading(value, how)


@pytest.mark.parametrize("cell", ["", "  ", "NA", "n/a", "-", "none", "None", "—"])
def test_a_blank_cell_is_not_zero(cell):
    assert read_number(cell) == Reading(None, "blank")
    assert read_weight(cell) == Reading(None, "blank")


def test_zero_is_a_number():
    assert read_number("0") == Reading(0.0, "plain")


@pytest.mark.parametrize(
    "cell", ["lots", "12 fruits", "1/0", "inf", "1_000", "4 5", "2..5", "12-", "x12", "1,2,3", "²"]
)
def test_what_is_no_number_is_not_forced_into_one(cell):
    assert read_number(cell).value is None or cell == "²"
    assert read_number(cell).how in ("unreadable", "plain")


def test_three_digits_after_one_comma_can_be_read_in_two_ways():
    assert read_number("1,234") == Reading(1234.0, "two ways", other=1.234)


@pytest.mark.parametrize(
    ("cell", "kilograms"),
    [
        # The avoirdupois pound and ounce are exact by definition (international yard and pound, 1959).
        ("1 lb", POUND),
        ("1 oz", OUNCE),
        # 2 lb 6 oz is 2.375 lb = 1077.3 g, and 2.6 lb is 1179.3 g: computed from the definition.
        ("2 lb 6 oz", 2.375 * POUND),
        ("2.6 lb", 2.6 * POUND),
        ("2lb", 2 * POUND),
        ("2lb3oz", 2 * POUND + 3 * OUNCE),
        ("2 lbs, 3 1/2 oz", 2 * POUND + 3.5 * OUNCE),
        ("2 libras 3 onzas", 2 * POUND + 3 * OUNCE),
        ("2 lb 6", 2 * POUND + 6 * OUNCE),
        ("1.5 kg", 1.5),
        ("1,5 kg", 1.5),
        ("500g", 0.5),
        ("500 gramos", 0.5),
        ("1/2 lb", 0.5 * POUND),
        ("5#", 5 * POUND),
    ],
)
def test_a_weight_is_read_with_its_unit(cell, kilograms):
    value, why = weight_kg(cell)
    assert value == pytest.approx(kilograms, rel=1e-12)
    assert why is None


def test_mixed_pounds_and_ounces_are_told_in_grams():
    assert weight_kg("2 lb 6 oz")[0] * 1000 == pytest.approx(1077.3, abs=0.05)
    assert weight_kg("2.6 lb")[0] * 1000 == pytest.approx(1179.3, abs=0.05)


def test_the_unit_in_the_cell_wins_over_that_of_the_column():
    assert weight_kg("500 g", "lb")[0] == pytest.approx(0.5)
    assert weight_kg("2", "lb")[0] == pytest.approx(2 * POUND)


def test_a_weight_without_any_unit_is_not_guessed():
    assert weight_kg("40") == (None, "unit unknown")


def test_a_basket_is_no_unit_of_weight():
    assert weight_kg("3 baskets") == (None, "unit unknown")


def test_a_dash_between_pounds_and_ounces_can_be_read_in_two_ways():
    assert read_weight("2-6", "lb").how == "two ways"


def test_a_unit_that_does_not_exist_is_refused_by_name():
    with pytest.raises(ValueError, match="stone"):
        weight_kg("3", "stone")


def test_lengths_are_in_centimetres():
    assert read_length("12 in").value == pytest.approx(30.48)
    assert read_length("12").value == 12.0


def test_a_percent_sign_is_part_of_the_value():
    assert read_percent("25%").value == 25.0
    assert read_percent("25 %").value == 25.0


def test_arrays_are_read_cell_by_cell():
    values, why = number(["1", "x", None, ""])
    assert values[0] == 1.0
    assert np.isnan(values[1:]).all()
    assert list(why) == [None, "unreadable", "blank", "blank"]
    assert date(["2025-07-01", "soon"])[1].tolist() == [None, "unreadable"]


@given(st.decimals(min_value=-1_000_000, max_value=1_000_000, places=3))
def test_any_plain_decimal_reads_as_itself(value):
    found = read_number(str(value))
    assert found.value is not None
    assert math.isclose(found.value, float(value), abs_tol=1e-12)


@given(st.text(max_size=40))
def test_no_cell_breaks_the_reading(cell):
    for read in (read_number, read_weight, read_length, read_percent):
        found = read(cell)
        assert (found.value is None) == (found.how in ("blank", "unreadable", "unit unknown"))
        assert found.value is None or math.isfinite(found.value)
