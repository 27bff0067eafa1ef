"""Normals: rules of completeness after the World Meteorological Organization's guidelines (WMO-No. 1203, from
memory)."""

import numpy as np
import pandas as pd
import pytest

from sites.climate import departure, monthly_normals, normals_at
from sites.climate.normals import normal_of_days

STATION = pd.DataFrame(
    [{"station": "A", "lon": -98.0, "lat": 38.0, "elevation_m": 500.0, "name": "", "state": ""}]
)


def record(missing=()):
    dates = pd.date_range("2011-01-01", "2020-12-31")
    daily = pd.DataFrame(
        {"station": "A", "date": dates, "tmax_c": 20.0 + dates.month, "tmin_c": 5.0, "prcp_mm": 1.0}
    )
    daily.loc[daily["date"].isin(pd.to_datetime(list(missing))), ["tmax_c", "prcp_mm"]] = np.nan
    return daily


def july(daily, column):
    normals = monthly_normals(STATION, daily, 2011, 2020)
    return normals.loc[normals["month"] == 7, column].item()


def test_a_normal_is_the_mean_of_its_months_and_rain_their_mean_total():
    assert july(record(), "tmax_c") == pytest.approx(27.0)
    assert july(record(), "prcp_mm") == pytest.approx(31.0)


def test_a_month_with_one_missing_day_has_a_mean_and_no_rain_total():
    daily = record([f"{year}-07-10" for year in range(2011, 2021)])
    assert july(daily, "tmax_c") == pytest.approx(27.0)
    assert np.isnan(july(daily, "prcp_mm"))


@pytest.mark.parametrize(("days", "known"), [(4, True), (5, False)])
def test_five_missing_days_in_a_row_void_a_month(days, known):
    gaps = [f"{year}-07-{day:02}" for year in range(2011, 2021) for day in range(1, days + 1)]
    assert (not np.isnan(july(record(gaps), "tmax_c"))) is known


@pytest.mark.parametrize(("years", "known"), [(2, True), (3, False)])
def test_a_normal_needs_four_fifths_of_its_years(years, known):
    gaps = [f"{year}-07-{day:02}" for year in range(2011, 2011 + years) for day in range(1, 20)]
    assert (not np.isnan(july(record(gaps), "tmax_c"))) is known


def test_normals_at_a_garden_are_moved_to_its_height():
    normals = monthly_normals(STATION, record(), 2011, 2020)
    found = normals_at(STATION, normals, np.array([-98.0]), np.array([38.1]), np.array([1500.0]))
    assert found["tmax_c"][0, 6] == pytest.approx(27.0 - 6.0)
    assert found["prcp_mm"][0, 6] == pytest.approx(31.0)


def test_a_station_without_all_twelve_months_has_no_normals_to_give():
    normals = monthly_normals(STATION, record(), 2011, 2020).query("month != 3")
    found = normals_at(STATION, normals, np.array([-98.0]), np.array([38.1]), np.array([500.0]))
    assert np.isnan(found["tmax_c"]).all()


def test_the_normal_of_a_span_weighs_its_months_by_their_days():
    monthly = np.arange(12, dtype=float)[None, :]
    days = np.zeros(12)
    days[[5, 6]] = [10, 30]
    assert normal_of_days(monthly, days) == pytest.approx([(5 * 10 + 6 * 30) / 40])
    assert normal_of_days(monthly, days, total=True) == pytest.approx([5 / 30 * 10 + 6 / 31 * 30])


def test_a_departure_is_positive_above_the_normal():
    assert departure([12.0], [10.0]).tolist() == [2.0]
