"""Evapotranspiration.

FAO Irrigation and Drainage Paper 56 (Allen et al. 1998): tables 2.1, 2.3 and 2.4, examples 2, 3, 5 and 18,
equation 52. Beside them pyet 1.5.0, a general library for evapotranspiration: its figures are pinned in
reference/evapotranspiration, every day of a year at two places. It cannot be asked here: pyet 1.5.0 asks for
pandas below 3, and this project for pandas 3.
"""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from sites.climate import (
    actual_vapour_pressure,
    atmospheric_pressure,
    hargreaves,
    mean_saturation_vapour_pressure,
    penman_monteith,
    psychrometric_constant,
    saturation_vapour_pressure,
    vapour_pressure_slope,
    wind_at_2m,
)

PYET = Path(__file__).parents[2] / "reference" / "evapotranspiration" / "pyet_1_5_0.csv"
EXAMPLE_18 = {
    "tmax": 21.5,
    "tmin": 12.3,
    "rh_max": 84,
    "rh_min": 63,
    "wind_2m": 2.078,
    "radiation": 22.07,
    "elevation_m": 100,
    "latitude_deg": 50.8,
    "day_of_year": 187,
}


@pytest.mark.parametrize(
    ("celsius", "kpa"),
    [
        (1, 0.657),
        (5, 0.872),
        (10, 1.228),
        (15, 1.705),
        (20, 2.338),
        (25, 3.168),
        (30, 4.243),
        (35, 5.623),
        (40, 7.376),
    ],
)
def test_saturation_vapour_pressure_equals_table_2_3(celsius, kpa):
    assert saturation_vapour_pressure(celsius) == pytest.approx(kpa, abs=0.001)


@pytest.mark.parametrize(
    ("celsius", "slope"),
    [(5, 0.0609), (10, 0.0823), (15, 0.1098), (20, 0.1447), (25, 0.1887), (30, 0.2434), (35, 0.3108)],
)
def test_slope_of_vapour_pressure_equals_table_2_4(celsius, slope):
    assert vapour_pressure_slope(celsius) == pytest.approx(slope, abs=0.0005)


@pytest.mark.parametrize(
    ("metres", "kpa", "gamma"),
    [
        (0, 101.3, 0.0674),
        (500, 95.5, 0.0635),
        (1000, 90.0, 0.0599),
        (1500, 84.8, 0.0564),
        (1800, 81.8, 0.0544),
        (2000, 79.8, 0.0531),
        (3000, 70.5, 0.0469),
    ],
)
def test_pressure_and_psychrometric_constant_equal_tables_2_1_and_2_2(metres, kpa, gamma):
    assert atmospheric_pressure(metres) == pytest.approx(kpa, abs=0.1)
    assert psychrometric_constant(metres) == pytest.approx(gamma, abs=0.0005)


def test_example_3_takes_the_mean_of_both_pressures_and_not_the_pressure_at_the_mean():
    assert mean_saturation_vapour_pressure(24.5, 15) == pytest.approx(2.390, abs=0.002)
    assert saturation_vapour_pressure(19.75) == pytest.approx(2.302, abs=0.002)


def test_example_5_actual_vapour_pressure():
    assert actual_vapour_pressure(25, 18, 82, 54) == pytest.approx(1.702, abs=0.005)


def test_example_18_wind_and_vapour_pressures():
    assert wind_at_2m(10 / 3.6, 10) == pytest.approx(2.078, abs=0.005)
    assert mean_saturation_vapour_pressure(21.5, 12.3) == pytest.approx(1.997, abs=0.003)
    assert actual_vapour_pressure(21.5, 12.3, 84, 63) == pytest.approx(1.409, abs=0.003)


def test_example_18_penman_monteith():
    assert penman_monteith(**EXAMPLE_18) == pytest.approx(3.88, abs=0.05)


@pytest.mark.parametrize(
    ("tmax", "tmin", "latitude", "day", "expected"), [(33, 17, 39.74, 196, 6.56), (30, 15, 40, 172, 6.13)]
)
def test_hargreaves_takes_radiation_as_millimetres(tmax, tmin, latitude, day, expected):
    assert hargreaves(tmax, tmin, latitude, day) == pytest.approx(expected, abs=0.02)


def test_a_minimum_above_the_maximum_gives_no_negative_root():
    assert hargreaves(10.0, 12.0, 40, 172) == 0.0


def test_many_days_are_computed_at_once():
    columns = {name: np.array([value, value]) for name, value in EXAMPLE_18.items()}
    assert penman_monteith(**columns).shape == (2,)
    assert type(penman_monteith(**EXAMPLE_18)) is float


def latent_heat_ratio(tmax, tmin):
    """Latent heat at the day's mean temperature (FAO-56, annex 3, eq. 3-1), which pyet takes, over the fixed
    1 / 0.408 of FAO-56, eq. 20, which we take."""
    return 0.408 * (2.501 - 2.361e-3 * (tmax + tmin) / 2)


def test_both_formulas_equal_pyet_over_a_year_of_weather():
    """pyet.pm_fao56 and pyet.hargreaves; the table says how it was made."""
    table = pd.read_csv(PYET)
    assert table.groupby("latitude")["day"].nunique().tolist() == [365, 365]
    ours = penman_monteith(
        *(table[name].to_numpy() for name in ("tmax", "tmin", "rh_max", "rh_min", "wind", "rs")),
        elevation_m=table["elevation"].to_numpy(),
        latitude_deg=table["latitude"].to_numpy(),
        day_of_year=table["day"].to_numpy(),
    )
    simple = hargreaves(*(table[name].to_numpy() for name in ("tmax", "tmin", "latitude", "day")))
    assert ours == pytest.approx(table["pm_fao56"].to_numpy(), rel=2e-3)
    theirs = table["hargreaves"].to_numpy() * latent_heat_ratio(table["tmax"], table["tmin"])
    assert simple == pytest.approx(theirs, rel=1e-3)


def test_hargreaves_follows_the_real_record_on_the_high_plains():
    """Champion, Nebraska, 2014-2018: daily reference evapotranspiration of the record itself (its method
    unknown)."""
    record = pd.read_csv(
        Path(__file__).parents[2] / "reference" / "weather" / "champion_ne_2014_2018.csv",
        parse_dates=["date"],
    )
    ours = hargreaves(
        record["tmax_c"].to_numpy(),
        record["tmin_c"].to_numpy(),
        40.5,
        record["date"].dt.day_of_year.to_numpy(),
    )
    assert np.corrcoef(ours, record["et0_mm"])[0, 1] > 0.9
    assert ours.mean() == pytest.approx(record["et0_mm"].mean(), rel=0.15)
