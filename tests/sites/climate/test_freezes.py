"""Freezes. Limits: National Weather Service definitions (36, 32 and 28 °F, at or below) and ETCCDI index FD
(below 0 °C). Storage in tenths of °C: GHCN-Daily readme; the conversions are computed from the definition of
°F."""

import numpy as np
import pandas as pd
import pytest

from sites.climate import freeze_dates, freezes_of_record, is_freezing, read_freezes
from sites.climate.freezes import growing_year
from sites.errors import InputError
from sites.units import fahrenheit_from_celsius


@pytest.mark.parametrize(
    ("stored_c", "convention", "counts"),
    [
        (-2.2, "hard freeze", True),  # read as 28 °F, which is stored as 28.04 °F
        (-1.7, "hard freeze", False),  # read as 29 °F
        (0.0, "freeze", True),
        (0.6, "freeze", False),  # read as 33 °F
        (2.2, "frost", True),  # read as 36 °F
        (0.0, "frost day", False),
        (-0.1, "frost day", True),
    ],
)
def test_a_minimum_counts_by_whole_fahrenheit_or_by_the_named_index(stored_c, convention, counts):
    assert is_freezing(stored_c, convention) is counts


def test_24_fahrenheit_survives_storage_in_tenths_of_celsius():
    assert fahrenheit_from_celsius(-4.4) == pytest.approx(24.08)
    assert is_freezing(-4.4, 24.0) is True
    assert is_freezing(-3.9, 24.0) is False  # read as 25 °F


def test_a_missing_minimum_is_no_freeze():
    assert is_freezing(np.nan) is False


def test_an_unknown_convention_is_refused():
    with pytest.raises(InputError, match="no convention"):
        is_freezing(0.0, "killing")


def year_of_minima(cold=(), missing=(), year=2025):
    first, split, last = growing_year(year)
    dates = np.arange(first, last + 1)
    tmin = np.full((1, len(dates)), 10.0)
    for days, value in ((cold, -3.0), (missing, np.nan)):
        for day in days:
            tmin[0, np.flatnonzero(dates == np.datetime64(day))] = value
    return freeze_dates(tmin, dates, split)


def test_the_last_of_spring_and_the_first_of_fall_are_found():
    found = year_of_minima(cold=["2025-01-15", "2025-04-20", "2025-10-12", "2025-12-01"])
    assert found.last_spring.astype(str).tolist() == ["2025-04-20"]
    assert found.first_fall.astype(str).tolist() == ["2025-10-12"]


def test_spring_and_fall_part_at_24_july():
    found = year_of_minima(cold=["2025-07-23", "2025-07-24"])
    assert (found.last_spring[0], found.first_fall[0]) == (
        np.datetime64("2025-07-23"),
        np.datetime64("2025-07-24"),
    )


def test_a_year_without_a_freeze_has_none_and_no_first_of_january():
    found = year_of_minima()
    assert (found.spring_state[0], found.fall_state[0]) == ("none", "none")
    assert np.isnat(found.last_spring[0])


@pytest.mark.parametrize(("days", "state"), [(5, "found"), (6, "days missing")])
def test_more_than_five_missing_days_after_the_last_freeze_void_its_date(days, state):
    gap = np.arange(np.datetime64("2025-05-01"), np.datetime64("2025-05-01") + days)
    assert year_of_minima(cold=["2025-04-20"], missing=gap).spring_state[0] == state


def test_a_gap_before_the_last_freeze_changes_nothing():
    gap = np.arange(np.datetime64("2025-01-01"), np.datetime64("2025-03-01"))
    assert year_of_minima(cold=["2025-04-20"], missing=gap).spring_state[0] == "found"


def test_south_of_the_equator_the_year_runs_from_july_to_june():
    assert [str(day) for day in growing_year(2025, southern=True)] == [
        "2025-07-01",
        "2026-01-24",
        "2026-06-30",
    ]


def test_freezes_of_a_record_are_those_of_its_minima(stations, daily):
    found = freezes_of_record(stations, daily, range(2023, 2026))
    own = daily[(daily["station"] == "ZZ0LGR00001") & (daily["date"].dt.year == 2024)]
    cold = own.loc[(own["tmin_c"] * 1.8 + 32).round() <= 32, "date"]
    row = found[(found["station"] == "ZZ0LGR00001") & (found["year"] == 2024)].iloc[0]
    assert row["last_spring"] == cold[cold < "2024-07-24"].max()
    assert row["first_fall"] == cold[cold >= "2024-07-24"].min()


def test_a_year_whose_record_cannot_tell_is_left_out(stations, daily):
    """Station 13 closes on 30 September 2025; station 2 opens in April 2023, before its last freeze."""
    found = freezes_of_record(stations, daily, range(2023, 2026)).set_index(["station", "year"])
    assert ("ZZ0LGR00013", 2025) not in found.index
    assert ("ZZ0LGR00013", 2024) in found.index
    assert isinstance(found.loc[("ZZ0LGR00002", 2023), "last_spring"], pd.Timestamp)


def test_freeze_dates_of_past_years_are_read_and_a_blank_is_a_year_without(tmp_path):
    path = tmp_path / "freezes.csv"
    path.write_text("station,year,last_spring,first_fall\nK1,2001,2001-04-20,\n")
    row = read_freezes(path).iloc[0]
    assert row["last_spring"] == pd.Timestamp("2001-04-20")
    assert pd.isna(row["first_fall"])


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        ("station,year\nK1,2001\n", "no column last_spring"),
        ("station,year,last_spring,first_fall\nK1,2001,20 April,\n", "line 2, last_spring"),
    ],
)
def test_freeze_dates_that_cannot_be_read_say_where(tmp_path, text, complaint):
    (tmp_path / "freezes.csv").write_text(text)
    with pytest.raises(InputError, match=complaint):
        read_freezes(tmp_path / "freezes.csv")
