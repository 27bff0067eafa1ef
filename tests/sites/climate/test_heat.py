"""Heat index: National Weather Service chart, and its equation (Rothfusz 1990, Technical Attachment SR
90-23)."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sites.climate import cold_nights, heat_index_days, heat_index_f, hot_days, warm_nights
from sites.climate.heat import afternoon_humidity_pct


@pytest.mark.parametrize(
    ("temperature", "humidity", "chart"),
    [
        (90, 60, 100),
        (96, 50, 108),
        (88, 85, 110),
        (100, 40, 109),
        (86, 90, 105),
        (80, 40, 80),
        (84, 70, 90),
    ],
)
def test_the_heat_index_is_that_of_the_printed_chart(temperature, humidity, chart):
    assert heat_index_f(temperature, humidity) == pytest.approx(chart, abs=1)


@pytest.mark.parametrize(
    ("temperature", "humidity", "expected"),
    [
        (90, 60, 99.7),
        (96, 50, 107.6),
        (88, 85, 109.6),
        (100, 40, 109.3),
        (86, 90, 105.4),
        (84, 70, 90.5),
        (80, 40, 79.8),
        (72, 40, 71.4),
        (100, 10, 94.1),
    ],
)
def test_the_heat_index_is_that_of_the_equation_with_its_adjustments(temperature, humidity, expected):
    assert heat_index_f(temperature, humidity) == pytest.approx(expected, abs=0.1)


def test_a_heat_index_without_humidity_is_missing():
    assert np.isnan(heat_index_f(90.0, np.nan))
    assert heat_index_f([90.0, 96.0], 50.0).shape == (2,)


@given(st.floats(80, 110), st.floats(15, 80))
def test_damper_air_never_feels_cooler(temperature, humidity):
    """Holds away from the edge at 80 °F, where the simple formula hands over to the regression."""
    if heat_index_f(temperature, humidity) > 82:
        assert heat_index_f(temperature, humidity + 5) > heat_index_f(temperature, humidity) - 1e-9


def test_humidity_of_the_afternoon_follows_from_the_minimum():
    """FAO-56, eq. 48, and table 2.3: 2.338 kPa at 20 °C over 4.243 kPa at 30 °C."""
    assert afternoon_humidity_pct(30.0, 20.0) == pytest.approx(100 * 2.338 / 4.243, abs=0.05)


def test_days_that_feel_hot_are_counted():
    tmax, tmin = np.array([36.0, 30.0, 20.0]), np.array([22.0, 20.0, 10.0])
    assert heat_index_days(tmax, tmin, at_least_f=90.0) == 1.0


def test_days_and_nights_are_counted_strictly_beyond_their_limit():
    assert hot_days([[33.0, 33.1, 20.0], [34.0, 35.0, 36.0]], 33.0).tolist() == [1, 3]
    assert warm_nights([21.0, 24.0, 24.1], 24.0) == 1
    assert cold_nights([12.8, 12.7, 5.0], 12.8) == 2


def test_a_missing_day_leaves_a_count_missing():
    assert np.isnan(hot_days([33.5, np.nan], 33.0))
