"""Gaps of station records, filled by the rules in `fill_gaps`; computed by hand from invented stations."""

import numpy as np
import pandas as pd
import pytest

from sites.climate import fill_gaps, station_days

DATES = pd.date_range("2023-01-01", "2024-12-31")
GAP = slice(200, 202)
LONG_GAP = slice(200, 210)


def network(count=4, gap=GAP, silent=()):
    """Stations 20 km apart at one height with the same weather; the first is 3 °C warmer and has a gap."""
    stations = pd.DataFrame({"station": [f"S{n}" for n in range(count)], "lon": -98.0, "elevation_m": 500.0})
    stations = stations.assign(lat=38.0 + 0.2 * np.arange(count), name="", state="")
    rng = np.random.default_rng(8)
    weather = 15 - 12 * np.cos(2 * np.pi * DATES.day_of_year.to_numpy() / 365) + rng.normal(0, 3, len(DATES))
    frames = []
    for number, name in enumerate(stations["station"]):
        tmax = weather + (3.0 if number == 0 else 0.0)
        rain = np.where(np.arange(len(DATES)) % 3 == 0, 6.0, 0.0)
        if number == 0 or number in silent:
            tmax[gap], rain[gap] = np.nan, np.nan
        frames.append(
            pd.DataFrame(
                {"station": name, "date": DATES, "tmax_c": tmax, "tmin_c": tmax - 8, "prcp_mm": rain}
            )
        )
    return station_days(stations, pd.concat(frames)), weather


def filled(days, gap=GAP):
    table = fill_gaps(days)
    return table[table["station"] == "S0"].iloc[gap]


def test_a_short_gap_comes_from_the_neighbours():
    days, weather = network()
    found = filled(days)
    assert found["tmax_how"].tolist() == ["neighbours"] * 2
    assert found["tmax_c"].tolist() == pytest.approx(weather[GAP].tolist())


def test_a_long_gap_is_moved_by_the_stations_own_offset():
    days, weather = network(gap=LONG_GAP)
    found = filled(days, LONG_GAP)
    assert found["tmax_how"].unique().tolist() == ["neighbours and own offset"]
    assert found["tmax_c"].tolist() == pytest.approx((weather[LONG_GAP] + 3.0).tolist())


def test_without_two_neighbours_a_short_gap_is_bridged_from_the_days_around():
    days, weather = network(count=2)
    found = filled(days)
    assert found["tmax_how"].tolist() == ["own days around"] * 2
    around = weather[199:203] + 3.0
    assert found["tmax_c"].between(around.min() - 1.0, around.max() + 1.0).all()


def test_without_two_neighbours_a_long_gap_stays():
    days, _ = network(count=2, gap=LONG_GAP)
    found = filled(days, LONG_GAP)
    assert found["tmax_c"].isna().all()
    assert found["tmax_how"].unique().tolist() == ["missing"]


def test_rain_comes_from_neighbours_or_stays_missing_and_is_never_taken_for_zero():
    from_neighbours, _ = network()
    assert filled(from_neighbours)["prcp_mm"].tolist() == pytest.approx([0.0, 6.0])
    alone, _ = network(count=2)
    assert filled(alone)["prcp_mm"].isna().all()
    assert filled(alone)["prcp_how"].unique().tolist() == ["missing"]


def test_what_was_observed_is_left_as_it_was(three_years):
    table = fill_gaps(three_years)
    observed = table["tmax_how"] == "observed"
    assert observed.sum() == np.count_nonzero(~np.isnan(three_years.readings["tmax_c"]))
    assert (
        table.loc[observed, "tmax_c"].tolist()
        == three_years.readings["tmax_c"][~np.isnan(three_years.readings["tmax_c"])].tolist()
    )


def test_days_before_a_station_opened_are_not_filled(three_years):
    table = fill_gaps(three_years)
    before = (table["station"] == "ZZ0LGR00002") & (table["date"] < "2023-04-01")
    assert set(table.loc[before, "tmax_how"]) == {"missing"}
