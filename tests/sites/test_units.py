"""Units. International avoirdupois pound and international foot (1959); the rest follows from definitions."""

import pytest

from sites.units import (
    KG_PER_POUND,
    celsius_from_fahrenheit,
    fahrenheit_degree_days,
    fahrenheit_from_celsius,
    kg_per_m2_from_pound_per_square_foot,
    mm_per_m_from_inch_per_foot,
)


def test_degree_days_convert_without_the_offset_of_temperatures():
    assert fahrenheit_degree_days(10.0) == pytest.approx(18.0, abs=1e-9)
    assert fahrenheit_from_celsius(10.0) == pytest.approx(50.0, abs=1e-9)


def test_celsius_and_fahrenheit_are_inverse():
    assert celsius_from_fahrenheit(fahrenheit_from_celsius(-2.2)) == pytest.approx(-2.2)


def test_an_inch_and_a_half_per_foot_is_125_millimetres_per_metre():
    assert mm_per_m_from_inch_per_foot(1.5) == pytest.approx(125.0, abs=0.01)


def test_three_quarters_of_a_pound_per_square_foot():
    """Algert et al. 2014, California Agriculture 68:4: 0.75 lb per square foot, 3.66 kg per square metre."""
    assert kg_per_m2_from_pound_per_square_foot(0.75) == pytest.approx(3.662, abs=0.001)
    assert pytest.approx(1.157, abs=0.001) == 2.55 * KG_PER_POUND
