"""Growing degree days.

Methods 1 and 2: McMaster & Wilhelm 1997, Agricultural and Forest Meteorology 87:291-300. 86/50: rule and
example of Iowa State University, Agronomy 541. Sine: Baskerville & Emin 1969, values by numerical
integration. Cucumber: Perry & Wehner 1996, HortTechnology 6:27-30. A year of a real record: xclim 0.62.0 for
method 1, numpy's numerical integration for the sine. Other numbers are computed from the stated formulas.
"""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from sites.climate import growing_degree_days
from sites.errors import InputError
from sites.units import fahrenheit_degree_days

REFERENCE = Path(__file__).parents[2] / "reference"

temperatures = st.floats(-40, 50)


@pytest.fixture(scope="module")
def year():
    record = pd.read_csv(REFERENCE / "weather" / "champion_ne_2014_2018.csv", parse_dates=["date"])
    return record[record["date"].dt.year == 2016].reset_index(drop=True)


@pytest.mark.parametrize(
    ("tmax", "tmin", "method", "expected"),
    [
        (20, 4, "average", 2.0),
        (20, 4, "clamped", 5.0),
        (14, 2, "average", 0.0),
        (14, 2, "clamped", 2.0),
        (9, 1, "average", 0.0),
        (9, 1, "clamped", 0.0),
    ],
)
def test_the_two_readings_of_one_formula_differ_below_the_base(tmax, tmin, method, expected):
    assert growing_degree_days(tmax, tmin, 10, method=method) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(("method", "expected"), [("clamped", 16.0), ("average", 19.0)])
def test_a_cap_limits_each_temperature_or_their_mean(method, expected):
    assert growing_degree_days(36, 22, 10, 30, method) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(("tmax", "tmin", "expected"), [(95, 45, 18.0), (90, 48, 18.0), (70, 50, 10.0)])
def test_the_86_50_rule_in_fahrenheit(tmax, tmin, expected):
    assert growing_degree_days(tmax, tmin, 50, 86, "clamped") == pytest.approx(expected, abs=1e-9)


def test_the_86_50_rule_is_the_same_in_celsius():
    celsius = growing_degree_days(35.0, (45 - 32) / 1.8, 10, 30, "clamped")
    assert fahrenheit_degree_days(celsius) == pytest.approx(18.0, abs=1e-9)


@pytest.mark.parametrize(
    ("tmax", "tmin", "upper", "expected", "tolerance"),
    [(20, 4, None, 3.627, 0.005), (36, 22, 30, 17.249, 0.01), (30, 12, 30, 11.0, 0.001)],
)
def test_the_sine_gives_the_area_between_its_limits(tmax, tmin, upper, expected, tolerance):
    assert growing_degree_days(tmax, tmin, 10, upper, "sine") == pytest.approx(expected, abs=tolerance)


@given(temperatures, temperatures)
def test_the_sine_equals_its_numerical_integral(one, other):
    tmax, tmin = max(one, other), min(one, other)

    def above(angle):
        temperature = (tmax + tmin) / 2 + (tmax - tmin) / 2 * np.sin(angle)
        return min(max(temperature, 10.0), 30.0) - 10.0

    integral = quad(above, -np.pi / 2, np.pi / 2, limit=200, epsabs=1e-6)[0] / np.pi
    assert growing_degree_days(tmax, tmin, 10, 30, "sine") == pytest.approx(integral, abs=1e-4)


@pytest.mark.parametrize(
    ("tmax", "base", "upper", "expected"),
    [(95, 60, 90, 25.0), (88, 60, 90, 28.0), (58, 60, 90, 0.0), (34, 15.5, 32, 14.5)],
)
def test_cucumber_degree_days_turn_back_above_the_ceiling(tmax, base, upper, expected):
    assert growing_degree_days(tmax, None, base, upper, "max-only") == pytest.approx(expected, abs=1e-9)


@given(temperatures, temperatures, st.sampled_from(["average", "clamped", "sine", "max-only"]))
def test_degree_days_are_never_negative_and_never_above_the_span(one, other, method):
    found = growing_degree_days(max(one, other), min(one, other), 10, 30, method)
    assert -1e-9 <= found <= 20.0 + 1e-9


@given(temperatures, temperatures)
def test_method_1_never_gives_more_than_method_2(one, other):
    tmax, tmin = max(one, other), min(one, other)
    assert growing_degree_days(tmax, tmin, 10) <= growing_degree_days(tmax, tmin, 10, method="clamped") + 1e-9


@pytest.mark.parametrize("method", ["average", "clamped", "sine", "max-only"])
def test_a_missing_temperature_is_a_missing_day_and_not_zero(method):
    assert np.isnan(growing_degree_days(np.nan, 5.0, 10, 30, method))


def test_gardens_by_days_are_computed_at_once():
    tmax, tmin = np.array([[20.0, 14.0], [9.0, 36.0]]), np.array([[4.0, 2.0], [1.0, 22.0]])
    found = growing_degree_days(tmax, tmin, 10, 30, "clamped")
    assert found == pytest.approx(np.array([[5.0, 2.0], [0.0, 16.0]]))
    assert type(growing_degree_days(20, 4, 10)) is float


def test_gardens_may_have_bases_and_caps_of_their_own():
    found = growing_degree_days(
        [20.0, 36.0], [4.0, 22.0], base=[10.0, 10.0], upper=[30.0, 30.0], method="clamped"
    )
    assert found.tolist() == pytest.approx([5.0, 16.0])


def test_what_cannot_be_counted_is_refused():
    with pytest.raises(InputError, match="no degree-day method"):
        growing_degree_days(20, 4, 10, method="guess")
    with pytest.raises(InputError, match="above their base"):
        growing_degree_days(20, 4, 10, upper=10)
    with pytest.raises(InputError, match="daily minimum"):
        growing_degree_days(20, None, 10)


def test_method_1_equals_xclim_over_a_year_of_a_real_record(year):
    expected = pd.read_csv(REFERENCE / "degree_days" / "xclim_0_62_0.csv")
    assert len(expected) == 60
    for base, theirs in expected.groupby("base_c"):
        daily = growing_degree_days(year["tmax_c"], year["tmin_c"], base)
        ours = pd.Series(daily).groupby(year["date"].dt.month).sum()
        assert ours.to_numpy() == pytest.approx(theirs["degree_days_c"].to_numpy(), abs=1e-3)


def test_the_sine_equals_its_numerical_integral_over_a_year_of_a_real_record(year):
    angle = np.linspace(0.0, 2.0 * np.pi, 20_001)
    for tmax, tmin in year.loc[::3, ["tmax_c", "tmin_c"]].to_numpy():
        wave = np.clip((tmax + tmin) / 2 + (tmax - tmin) / 2 * np.sin(angle), 10.0, 30.0) - 10.0
        integral = np.trapezoid(wave, angle) / (2.0 * np.pi)
        assert growing_degree_days(tmax, tmin, 10, 30, "sine") == pytest.approx(integral, abs=1e-4)
