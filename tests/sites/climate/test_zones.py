"""Zones: USDA Plant Hardiness Zone Map 2023, lower edges; an edge to the warmer half is common practice, no
source."""

import numpy as np
import pytest

from sites.climate import hardiness_zone, mean_extreme_minimum_f


@pytest.mark.parametrize(
    ("minimum_f", "zone"),
    [
        *((-10.0, "6a"), (-10.1, "5b"), (-0.1, "6b"), (0.0, "7a"), (12.3, "8a"), (28, "9b"), (64.9, "13a")),
        *((-60, "1a"), (-20, "5a"), (35, "10b"), (69.9, "13b"), (-75, "1a"), (80, "13b")),
    ],
)
def test_a_mean_of_yearly_minima_has_a_zone(minimum_f, zone):
    assert hardiness_zone(minimum_f) == zone


def test_zones_of_many_places_and_of_none():
    assert hardiness_zone([-10.0, np.nan]).tolist() == ["6a", None]


def test_the_zone_rests_on_the_mean_of_yearly_minima_and_not_on_the_record_low():
    dates = np.arange("2021-01-01", "2023-01-01", dtype="datetime64[D]")
    tmin = np.zeros(len(dates))
    tmin[10], tmin[400] = -30.0, -10.0
    assert mean_extreme_minimum_f(tmin, dates) == pytest.approx(-4.0)


def test_a_year_with_too_few_days_is_left_out():
    dates = np.arange("2021-01-01", "2022-03-01", dtype="datetime64[D]")
    tmin = np.where(dates < np.datetime64("2022-01-01"), -20.0, -40.0)
    assert mean_extreme_minimum_f(tmin, dates) == pytest.approx(-4.0)
