"""Radiation. FAO Irrigation and Drainage Paper 56 (Allen et al. 1998), examples 8, 9 and 18; other numbers
computed from its equations."""

import numpy as np
import pytest

from sites.climate import day_length_hours, extraterrestrial_radiation
from sites.climate.radiation import (
    MM_PER_MJ,
    clear_sky_radiation,
    inverse_relative_distance,
    net_longwave_radiation,
    net_radiation,
    radiation_from_sunshine,
    solar_declination,
    sunset_hour_angle,
)

BRUSSELS, JULY_6 = 50.8, 187


def test_example_8_third_of_september_at_20_south():
    assert inverse_relative_distance(246) == pytest.approx(0.985, abs=0.001)
    assert solar_declination(246) == pytest.approx(0.120, abs=0.001)
    assert sunset_hour_angle(-20, 246) == pytest.approx(1.527, abs=0.001)
    assert extraterrestrial_radiation(-20, 246) == pytest.approx(32.19, abs=0.05)


@pytest.mark.parametrize(
    ("latitude", "day", "expected"),
    [(-22.9, 246, 31.20), (40, 172, 41.87), (40, 355, 13.52), (BRUSSELS, JULY_6, 41.09)],
)
def test_radiation_above_the_atmosphere(latitude, day, expected):
    assert extraterrestrial_radiation(latitude, day) == pytest.approx(expected, abs=0.05)


@pytest.mark.parametrize(("latitude", "day", "mm"), [(40, 172, 17.08), (-20, 246, 13.1)])
def test_radiation_is_turned_into_millimetres_of_water(latitude, day, mm):
    """FAO-56, example 8: 32.2 MJ are 13.1 mm a day; the other from eq. 20 and 21."""
    assert MM_PER_MJ * extraterrestrial_radiation(latitude, day) == pytest.approx(mm, abs=0.05)


def test_example_9_day_length():
    assert day_length_hours(-20, 246) == pytest.approx(11.67, abs=0.02)
    assert day_length_hours(BRUSSELS, JULY_6) == pytest.approx(16.1, abs=0.05)


def test_the_polar_night_has_no_sun_and_the_polar_day_does_not_end():
    assert extraterrestrial_radiation(80, 355) == pytest.approx(0.0, abs=1e-9)
    assert day_length_hours(80, 172) == pytest.approx(24.0)


def test_latitudes_and_days_spread_over_each_other():
    latitude, day = np.array([-20.0, 40.0]), np.array([246, 172, 355])
    found = extraterrestrial_radiation(latitude[:, None], day)
    assert found.shape == (2, 3)
    assert found[1, 1] == pytest.approx(extraterrestrial_radiation(40, 172))


def test_example_18_radiation_step_by_step():
    solar = radiation_from_sunshine(9.25, BRUSSELS, JULY_6)
    clear = clear_sky_radiation(100, BRUSSELS, JULY_6)
    assert solar == pytest.approx(22.07, abs=0.02)
    assert clear == pytest.approx(30.90, abs=0.02)
    assert net_longwave_radiation(21.5, 12.3, 1.409, solar / clear) == pytest.approx(3.71, abs=0.01)
    assert net_radiation(21.5, 12.3, 1.409, 22.07, 100, BRUSSELS, JULY_6) == pytest.approx(13.28, abs=0.03)
