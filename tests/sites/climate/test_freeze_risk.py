"""Freeze probabilities: a date at 90 % is the early one, at 10 % the late and safe one (NCDC freeze tables).
Percentiles of type 7 (Hyndman & Fan 1996), which is numpy's; figures computed from its formula."""

import numpy as np
import pandas as pd
import pytest

from sites.climate import (
    date_of_day,
    day_of_365,
    first_freeze_day,
    freeze_risk,
    freeze_risk_at,
    last_freeze_day,
    years_without,
)

TEN_YEARS = [98, 102, 105, 108, 110, 112, 115, 118, 121, 130]


@pytest.mark.parametrize(("probability", "day"), [(0.9, 101.6), (0.5, 111.0), (0.1, 121.9)])
def test_the_last_freeze_comes_after_a_day_with_its_probability(probability, day):
    assert last_freeze_day(TEN_YEARS, probability) == pytest.approx(day, abs=0.05)


def test_a_year_without_a_freeze_leaves_the_percentiles_alone():
    assert last_freeze_day([*TEN_YEARS, np.nan], 0.1) == pytest.approx(121.9, abs=0.05)


def test_years_without_a_freeze_are_told_in_words_beside_the_percentiles():
    """A discrete part of the distribution of its own (National Climatic Data Center, freeze tables)."""
    assert years_without([*TEN_YEARS, np.nan]) == "1 of 11 years had none"
    assert years_without(TEN_YEARS) == "all 10 years had one"


def test_fall_is_the_mirror_of_spring():
    assert first_freeze_day(TEN_YEARS, 0.1) == pytest.approx(101.6, abs=0.05)


def test_stations_and_probabilities_are_arrays():
    two = np.array([TEN_YEARS, np.full(10, np.nan)])
    assert last_freeze_day(two, 0.5).tolist() == pytest.approx([111.0, np.nan], nan_ok=True)
    assert last_freeze_day(TEN_YEARS, [0.9, 0.1]) == pytest.approx([101.6, 121.9])
    assert np.isnan(last_freeze_day([np.nan, np.nan], 0.5))


@pytest.mark.parametrize(
    ("date", "day"),
    [("2025-01-01", 1), ("2025-03-01", 60), ("2024-03-01", 60), ("2024-02-29", 59), ("2024-12-31", 365)],
)
def test_a_date_is_the_same_day_in_leap_years(date, day):
    assert day_of_365(np.array([date], dtype="datetime64[D]")).tolist() == [day]


@pytest.mark.parametrize(
    ("day", "date"), [(60, "2024-03-01"), (59.2, "2024-03-01"), (1, "2024-01-01"), (365, "2024-12-31")]
)
def test_a_day_is_written_as_a_date_of_the_year(day, date):
    assert str(date_of_day(day, 2024)) == date


def freezes(years, without=0):
    last = [pd.Timestamp(year=1990 + each, month=4, day=10 + each % 10) for each in range(years)]
    last[:without] = [pd.NaT] * without
    fall = [pd.Timestamp(year=1990 + each, month=10, day=10) for each in range(years)]
    return pd.DataFrame(
        {"station": "ZZ0", "year": range(1990, 1990 + years), "last_spring": last, "first_fall": fall}
    )


def test_years_without_a_freeze_are_told_beside_the_dates():
    row = freeze_risk(freezes(30, without=3)).iloc[0]
    assert (row["years"], row["years_without_spring"], row["years_without_fall"]) == (30, 3, 0)
    assert row["first_fall_50"] == 283


def test_a_probability_needs_twenty_years():
    assert np.isnan(freeze_risk(freezes(19)).iloc[0]["last_spring_10"])
    assert not np.isnan(freeze_risk(freezes(20)).iloc[0]["last_spring_10"])


def test_a_garden_takes_the_dates_of_its_nearest_stations(stations):
    risk = freeze_risk(freezes(30)).assign(station=stations["station"].iloc[0])
    at_station = stations.iloc[0]
    found = freeze_risk_at(
        stations, risk, np.array([at_station["lon"], -60.0]), np.array([at_station["lat"], 0.0])
    )
    assert found["last_spring_50"].iloc[0] == risk["last_spring_50"].iloc[0]
    assert found.iloc[1].isna().all()
