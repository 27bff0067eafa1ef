"""Doubtful values and stations. The demo record holds three wrong values without a flag, put there on
purpose: 19 °C too cold, 22 °C too warm, and 381 mm of rain; nothing else is wrong with it."""

from dataclasses import replace

import numpy as np
import pytest

from sites.climate import doubtful_stations, doubtful_values, without_doubtful


def changed(days, column, station, change):
    readings = {name: value.copy() for name, value in days.readings.items()}
    readings[column][station] = change(readings[column][station])
    return replace(days, readings=readings)


def likeliest_doubt(days, station="ZZ0LGR00008"):
    """What most years say: wetter or drier than its neighbours, a gauge in inches can look like one in
    tenths."""
    found = doubtful_stations(days)
    assert set(found["station"]) == {station}
    return found["column"].mode().item(), found["doubt"].mode().item()


def test_the_three_wrong_values_are_found_and_no_other(three_years):
    found = doubtful_values(three_years)
    assert found[["station", "column", "why"]].to_numpy().tolist() == [
        ["ZZ0LGR00001", "tmin_c", "far from neighbours"],
        ["ZZ0LGR00008", "tmax_c", "far from neighbours"],
        ["ZZ0LGR00014", "prcp_mm", "rain at no neighbour"],
    ]
    assert found["value"].tolist() == [-2.7, 48.4, 381.0]


def test_a_minimum_above_the_maximum_makes_both_doubtful(three_years):
    crossed = changed(three_years, "tmin_c", 2, lambda own: np.where(np.arange(len(own)) == 40, 50.0, own))
    found = doubtful_values(crossed).query("station == 'ZZ0LGR00003'")
    assert found["column"].tolist() == ["tmax_c", "tmin_c"]
    assert set(found["why"]) == {"minimum above maximum"}


@pytest.mark.parametrize(("column", "value"), [("tmax_c", 56.8), ("tmin_c", -89.3)])
def test_a_temperature_that_no_station_on_earth_has_seen_is_doubtful(three_years, column, value):
    """World Weather and Climate Extremes Archive (WMO): 56.7 °C in 1913, -89.2 °C in 1983."""
    slip = changed(three_years, column, 2, lambda own: np.where(np.arange(len(own)) == 40, value, own))
    found = doubtful_values(slip).query("station == 'ZZ0LGR00003' and column == @column")
    assert found["why"].tolist() == ["beyond any record"]


@pytest.mark.parametrize("wrong", [[7], [6, 7, 8], [0, 2, 4, 6, 8, 10, 12]])
def test_stations_in_the_wrong_unit_are_named_however_many_they_are(three_years, wrong):
    swapped = three_years
    for station in wrong:
        for column in ("tmax_c", "tmin_c"):
            swapped = changed(swapped, column, station, lambda own: own * 1.8 + 32)
    found = doubtful_stations(swapped)
    names = three_years.stations["station"]
    assert set(found["doubt"]) == {"fahrenheit"}
    assert set(found["station"]) == set(names.iloc[wrong])
    assert len(found) == len(wrong) * 2 * 3


def test_doubtful_values_are_left_out_of_a_copy(daily, three_years):
    doubtful = doubtful_values(three_years)
    cleaned = without_doubtful(daily, doubtful)
    assert cleaned["prcp_mm"].isna().sum() == daily["prcp_mm"].isna().sum() + 1
    assert daily["prcp_mm"].max() == 381.0
    assert cleaned["tmax_c"].max() < 48.4


def test_a_sound_network_raises_no_doubt(three_years):
    assert doubtful_stations(three_years).empty


@pytest.mark.parametrize(
    ("column", "change", "doubt"),
    [
        ("tmax_c", lambda own: own * 1.8 + 32, "fahrenheit"),
        ("tmin_c", lambda own: own + 7.0, "offset"),
        ("tmax_c", lambda own: np.roll(own, 1), "a day late"),
        ("tmax_c", lambda own: np.roll(own, -1), "a day early"),
        ("prcp_mm", lambda own: own * 25.4, "millimetres as inches"),
        ("prcp_mm", lambda own: own / 25.4, "inches as millimetres"),
        ("prcp_mm", lambda own: own * 10, "tenths as millimetres"),
    ],
)
def test_a_station_in_the_wrong_unit_or_on_the_wrong_day_is_named(three_years, column, change, doubt):
    assert likeliest_doubt(changed(three_years, column, 7, change)) == (column, doubt)


def test_a_stuck_thermometer_is_named_with_its_days(three_years):
    stuck = changed(
        three_years, "tmin_c", 7, lambda own: np.where(np.arange(len(own)) // 14 == 10, 12.3, own)
    )
    found = doubtful_stations(stuck).iloc[0]
    assert (found["station"], found["doubt"], found["year"]) == ("ZZ0LGR00008", "stuck", 2023)
    assert found["size"] >= 14
