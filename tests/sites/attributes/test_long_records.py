"""What many years say of a garden. Percentiles of type 7 (Hyndman & Fan 1996), a date at 10 % the late and
safe one (NCDC freeze tables); zones by lower edges (USDA Plant Hardiness Zone Map 2023). Twenty years for
freeze dates and ten for a zone: common practice, no source, and WMO-No. 1203 (from memory)."""

import numpy as np
import pandas as pd
import pytest

from sites.attributes.long_records import freeze_risk_of_gardens, zone_of_gardens
from sites.climate import (
    Interpolation,
    date_of_day,
    extreme_minima,
    freeze_risk,
    read_extremes,
    station_days,
    yearly_minima,
)
from sites.errors import InputError
from sites.units import celsius_from_fahrenheit

#: Two stations on one parallel, 0.1 degree apart on either side of the garden at -98.0.
STATIONS = pd.DataFrame(
    {
        "station": ["ZZ1", "ZZ2"],
        "name": ["", ""],
        "lon": [-98.1, -97.9],
        "lat": [38.0, 38.0],
        "elevation_m": [400.0, 400.0],
    }
)
GARDEN = (np.array([-98.0]), np.array([38.0]))
FAR_AWAY = (np.array([-60.0]), np.array([0.0]))
METHOD = Interpolation()

#: Last freezes of ten years as days of the year, used twice over to make twenty years.
TEN_YEARS = [98, 102, 105, 108, 110, 112, 115, 118, 121, 130]


def freezes(days, station="ZZ1", first_year=1991):
    years = range(first_year, first_year + len(days))
    spring = [
        pd.NaT if day is None else date_of_day(day, year) for day, year in zip(days, years, strict=True)
    ]
    return pd.DataFrame(
        {
            "station": station,
            "year": years,
            "last_spring": pd.to_datetime(pd.Series(spring)),
            "first_fall": pd.to_datetime([f"{year}-10-10" for year in years]),
        }
    )


def risk_at(place, *tables):
    risk = freeze_risk(pd.concat(tables))
    return {
        name: each[0] for name, each in freeze_risk_of_gardens(STATIONS, risk, *place, 2025, METHOD).items()
    }


def test_freeze_dates_of_a_garden_are_those_of_its_stations_as_dates_of_the_season():
    """Day 111.0 is 21 April; 90 and 10 percent of the twenty years by numpy's percentile."""
    told = risk_at(GARDEN, freezes(TEN_YEARS * 2))
    assert pd.Timestamp(told["last_freeze_50"]) == pd.Timestamp("2025-04-21")
    late = np.ceil(np.percentile(TEN_YEARS * 2, 90))
    early = np.ceil(np.percentile(TEN_YEARS * 2, 10))
    assert pd.Timestamp(told["last_freeze_10"]) == pd.Timestamp("2025-01-01") + pd.Timedelta(days=late - 1)
    assert pd.Timestamp(told["last_freeze_90"]) == pd.Timestamp("2025-01-01") + pd.Timedelta(days=early - 1)
    assert pd.Timestamp(told["first_freeze_50"]) == pd.Timestamp("2025-10-10")
    assert told["freeze_risk_state"] == "complete"


def test_years_that_had_none_are_kept_in_the_count_and_told():
    with_none, without = freezes([*TEN_YEARS * 2, None]), freezes(TEN_YEARS * 2)
    told, plain = risk_at(GARDEN, with_none), risk_at(GARDEN, without)
    assert told["freeze_years"] == 21
    assert told["freeze_years_without"] == "spring: 1 of 21 years had none; fall: all 21 years had one"
    assert told["last_freeze_10"] == plain["last_freeze_10"]


def test_a_fraction_of_a_day_never_makes_a_date_bolder():
    assert str(date_of_day(110.2, 2025)) == "2025-04-21"
    assert str(date_of_day(283.8, 2025, earlier=True)) == "2025-10-10"
    assert np.isnat(date_of_day([np.nan, 1.0], 2025)).tolist() == [True, False]


def test_two_stations_as_near_bear_the_dates_alike():
    told = risk_at(GARDEN, freezes([100] * 20), freezes([120] * 25, "ZZ2"))
    assert pd.Timestamp(told["last_freeze_50"]) == pd.Timestamp("2025-04-20")
    assert told["freeze_years"] == 20


@pytest.mark.parametrize(
    ("place", "years", "state"),
    [
        (GARDEN, 19, "withheld: too few years on record"),
        (FAR_AWAY, 30, "withheld: no station near enough"),
    ],
)
def test_too_few_years_or_no_station_withhold_freeze_dates_and_say_why(place, years, state):
    told = risk_at(place, freezes([110] * years))
    assert told["freeze_risk_state"] == state
    assert pd.isna(told["last_freeze_50"])
    assert pd.isna(told["freeze_free_days_median"])


def minima_of(years, lowest_f, first_year=1991, station="ZZ1"):
    """A record whose coldest day of each year is the given one, all other days at 10 °C."""
    dates = pd.date_range(f"{first_year}-01-01", f"{first_year + years - 1}-12-31")
    tmin = np.where(dates.strftime("%m-%d") == "01-20", celsius_from_fahrenheit(lowest_f), 10.0)
    return pd.DataFrame({"station": station, "date": dates, "tmax_c": 20.0, "tmin_c": tmin, "prcp_mm": 0.0})


def zone_at(place, *tables):
    minima = extreme_minima(yearly_minima(station_days(STATIONS, pd.concat(tables))))
    return {name: each[0] for name, each in zone_of_gardens(STATIONS, minima, *place, METHOD).items()}


@pytest.mark.parametrize(("lowest_f", "zone"), [(-10.0, "6a"), (-10.1, "5b"), (12.3, "8a"), (-0.1, "6b")])
def test_a_garden_s_zone_is_that_of_the_mean_of_yearly_minima_around_it(lowest_f, zone):
    told = zone_at(GARDEN, minima_of(30, lowest_f))
    assert told["hardiness_zone"] == zone
    assert told["extreme_minimum_mean_c"] == pytest.approx(celsius_from_fahrenheit(lowest_f))
    assert (told["hardiness_zone_years"], told["hardiness_zone_period"]) == (30, "1991 to 2020")


def test_a_zone_rests_on_the_newest_thirty_years():
    told = zone_at(GARDEN, minima_of(6, -40.0, 1985), minima_of(30, -10.0, 1991))
    assert (told["hardiness_zone"], told["hardiness_zone_period"]) == ("6a", "1991 to 2020")


def test_a_year_with_fewer_than_350_minima_is_no_year_of_a_zone():
    broken = minima_of(1, -40.0, 2001).assign(tmin_c=lambda each: each["tmin_c"].where(each.index < 340))
    told = zone_at(GARDEN, minima_of(10, -10.0, 1991), broken)
    assert (told["hardiness_zone"], told["hardiness_zone_years"]) == ("6a", 10)


@pytest.mark.parametrize(
    ("place", "years", "state"),
    [
        (GARDEN, 9, "withheld: too few years on record"),
        (FAR_AWAY, 30, "withheld: no station near enough"),
    ],
)
def test_too_few_years_or_no_station_withhold_a_zone_and_say_why(place, years, state):
    told = zone_at(place, minima_of(years, -10.0))
    assert told["hardiness_zone"] is None
    assert np.isnan(told["extreme_minimum_mean_c"])
    assert told["hardiness_zone_state"] == state


def test_yearly_minima_of_a_table_stand_beside_those_of_the_record(tmp_path):
    """Nineteen years at -10 °F in the table, eleven at 5 °F in the record: a mean of -4.5 °F is zone 6b."""
    low = celsius_from_fahrenheit(-10.0)
    lines = "".join(f"ZZ1,{year},{low}\n" for year in range(1991, 2010))
    (tmp_path / "extremes.csv").write_text("station,year,lowest_c\n" + lines)
    record = yearly_minima(station_days(STATIONS, minima_of(11, 5.0, 2010)))
    minima = extreme_minima(read_extremes(tmp_path / "extremes.csv"), record)
    told = {name: each[0] for name, each in zone_of_gardens(STATIONS, minima, *GARDEN, METHOD).items()}
    assert told["extreme_minimum_mean_c"] == pytest.approx(celsius_from_fahrenheit(-4.5))
    assert (told["hardiness_zone"], told["hardiness_zone_period"]) == ("6b", "1991 to 2020")


def test_a_year_that_the_record_has_counts_by_the_record():
    table = pd.DataFrame({"station": "ZZ1", "year": range(1991, 2001), "lowest_c": -40.0})
    record = yearly_minima(station_days(STATIONS, minima_of(10, -10.0, 1991)))
    assert extreme_minima(table, record)["mean_c"].item() == pytest.approx(celsius_from_fahrenheit(-10.0))


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        ("station,year\nZZ1,1991\n", "no column lowest_c"),
        ("station,year,lowest_c\nZZ1,1991,cold\n", "line 2, lowest_c: 'cold' is no number"),
    ],
)
def test_a_table_of_minima_that_cannot_be_read_says_where(tmp_path, text, complaint):
    (tmp_path / "extremes.csv").write_text(text)
    with pytest.raises(InputError, match=complaint):
        read_extremes(tmp_path / "extremes.csv")
