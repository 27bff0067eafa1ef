"""Freezes: what counts as one, the last of spring and first of fall, and how likely one is still to come."""

from typing import Any, Literal, NamedTuple

import numpy as np
import numpy.typing as npt
import pandas as pd

from sites.climate.rain import longest_run
from sites.climate.station_days import station_days
from sites.errors import InputError
from sites.scalars import Numbers, scalars_stay_scalars
from sites.units import fahrenheit_from_celsius

FreezeConvention = Literal["frost", "freeze", "hard freeze", "frost day"]

#: Daily minimum, whole °F, at or below which the National Weather Service speaks of each (NWS, frost and
#: freeze definitions). The index "frost day" of ETCCDI is the fourth convention: below 0 °C, strictly.
LIMITS_F = {"frost": 36.0, "freeze": 32.0, "hard freeze": 28.0}

#: Where spring and fall part, month and day: one state climate service cuts at 24 July (Utah Climate Center),
#: and half a year later south of the equator.
SPLIT_NORTH, SPLIT_SOUTH = "07-24", "01-24"

#: Days in a row without a minimum, among those looked through for a freeze, from which its date is not given
#: (common practice, no source; the Utah Climate Center voids a season at ten).
MOST_MISSING_DAYS = 5

#: Years that a freeze probability needs at least; thirty are better (common practice, no source).
LEAST_YEARS = 20

#: Days before each month on a calendar of 365 days.
DAYS_BEFORE_MONTH = np.array([0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334])


class FreezeDates(NamedTuple):
    """Last spring and first fall freeze of G gardens: dates (NaT where there is none) and how each was found.

    A state is "found", "none" (the record is whole and holds no freeze) or "days missing" (more than five
    days in a row, among those looked through, have no minimum).
    """

    last_spring: npt.NDArray[np.datetime64]
    first_fall: npt.NDArray[np.datetime64]
    spring_state: npt.NDArray[Any]
    fall_state: npt.NDArray[Any]


@scalars_stay_scalars
def is_freezing(tmin_c: Numbers, convention: FreezeConvention = "freeze") -> npt.NDArray[Any]:
    """Return whether a daily minimum counts as a freeze under a named convention; a missing one does not.

    A minimum that was read in whole °F and stored in tenths of °C comes back a little off: 28 °F is stored as
    -2.2 °C, which is 28.04 °F. So the Weather Service's limits are tested on whole °F.
    """
    if convention == "frost day":
        return np.asarray(tmin_c, dtype=float) < 0.0
    if convention not in LIMITS_F:
        known = ", ".join([*LIMITS_F, "frost day"])
        raise InputError(f"{convention!r} is no convention for a freeze. Known are {known}.")
    whole_f = np.floor(np.asarray(fahrenheit_from_celsius(tmin_c)) + 0.5)
    return whole_f <= LIMITS_F[convention]


def growing_year(year: int, southern: bool = False) -> tuple[np.datetime64, np.datetime64, np.datetime64]:
    """Return the first day, the split between spring and fall, and the last day of a growing year.

    North of the equator the calendar year, split at 24 July; south of it July to June, split at 24 January.
    """
    if southern:
        return (
            np.datetime64(f"{year}-07-01"),
            np.datetime64(f"{year + 1}-{SPLIT_SOUTH}"),
            np.datetime64(f"{year + 1}-06-30"),
        )
    return (
        np.datetime64(f"{year}-01-01"),
        np.datetime64(f"{year}-{SPLIT_NORTH}"),
        np.datetime64(f"{year}-12-31"),
    )


def freeze_dates(
    tmin_c: npt.NDArray[Any],
    dates: npt.NDArray[np.datetime64],
    split: np.datetime64,
    convention: FreezeConvention = "freeze",
) -> FreezeDates:
    """Return the last freeze before the split and the first from it on.

    `tmin_c` is (G, D) over the D days of a growing year; days without a record must be there as missing.
    Spring is searched backwards and fall forwards from the split, and only gaps among the days searched
    count: one in January says nothing about April.
    """
    cold = np.asarray(is_freezing(tmin_c, convention)).reshape(tmin_c.shape)
    missing = np.isnan(tmin_c)
    spring = dates < split
    back, back_state = _first_cold(cold[:, spring][:, ::-1], missing[:, spring][:, ::-1])
    ahead, ahead_state = _first_cold(cold[:, ~spring], missing[:, ~spring])
    return FreezeDates(
        _dated(back, back_state, dates[spring][::-1]),
        _dated(ahead, ahead_state, dates[~spring]),
        back_state,
        ahead_state,
    )


def freezes_of_record(
    stations: pd.DataFrame,
    daily: pd.DataFrame,
    years: range,
    convention: FreezeConvention = "freeze",
) -> pd.DataFrame:
    """Return the freezes of every station and year: station, year, last_spring, first_fall (missing if none).

    A half-year whose record has a gap too long to tell is left out of the table with its year's other half
    missing too, so that years without a freeze are not confused with years without a thermometer.
    """
    record = station_days(stations, daily)
    parts = []
    for year in years:
        first, split, last = growing_year(year)
        days = record.window(first, last)
        found = freeze_dates(days.readings["tmin_c"], days.dates, split, convention)
        whole = (found.spring_state != "days missing") & (found.fall_state != "days missing")
        parts.append(
            pd.DataFrame(
                {
                    "station": record.stations["station"],
                    "year": year,
                    "last_spring": found.last_spring.astype("datetime64[us]"),
                    "first_fall": found.first_fall.astype("datetime64[us]"),
                }
            )[whole]
        )
    return pd.concat(parts).sort_values(["station", "year"], ignore_index=True)


def day_of_365(dates: Any) -> npt.NDArray[Any]:
    """Return the day of the year on a calendar without 29 February, which counts as 28.

    So that a date stands for the same day in leap years and others. A missing date gives a missing day.
    """
    day = np.asarray(dates, dtype="datetime64[D]")
    month = day.astype("datetime64[M]")
    of_month = np.where(np.isnat(day), 0, (day - month).astype(int) + 1)
    index = np.where(np.isnat(day), 0, month.astype(int) % 12)
    return np.where(
        np.isnat(day), np.nan, DAYS_BEFORE_MONTH[index] + of_month - ((index == 1) & (of_month == 29))
    )


def date_of_day(day_of_year: float, year: int) -> np.datetime64:
    """Return the date in a year of a day on the calendar of 365 days; fractions count as the next day."""
    day = int(np.ceil(day_of_year))
    month = int(np.searchsorted(DAYS_BEFORE_MONTH, day)) - 1
    return np.datetime64(f"{year}-{month + 1:02}", "M").astype("datetime64[D]") + (
        day - DAYS_BEFORE_MONTH[month] - 1
    )


@scalars_stay_scalars
def last_freeze_day(days_of_year: Numbers, probability: Numbers) -> npt.NDArray[Any]:
    """Return the day of the year that the last freeze falls after with a probability (a share, 0 to 1).

    0.9 gives the early date (nine years in ten still have a freeze after it), 0.1 the late and safe one. An
    empirical percentile of the years along the last axis, linear between order statistics (Hyndman & Fan
    1996, type 7). Years without a freeze are missing: they leave the percentile alone, and are to be told
    beside it.
    """
    return _percentile(days_of_year, 1.0 - np.asarray(probability, dtype=float))


@scalars_stay_scalars
def first_freeze_day(days_of_year: Numbers, probability: Numbers) -> npt.NDArray[Any]:
    """Return the day of the year that the first fall freeze comes before with a probability."""
    return _percentile(days_of_year, np.asarray(probability, dtype=float))


def freeze_risk(freezes: pd.DataFrame) -> pd.DataFrame:
    """Return for each station its freeze dates by probability, as days of a 365-day year.

    `freezes` has station, year, last_spring, first_fall (dates, missing in years without one). Columns:
    station, years, years_without_spring, years_without_fall, last_spring_90, last_spring_50, last_spring_10
    (with that percent probability a freeze comes after), first_fall_10, first_fall_50, first_fall_90 (comes
    before) and freeze_free_days (median). Dates are missing for stations with fewer than twenty years.
    """
    spring, fall = (
        pd.Series(day_of_365(freezes[name].to_numpy()), freezes.index)
        for name in ("last_spring", "first_fall")
    )
    days = pd.DataFrame(
        {"station": freezes["station"], "spring": spring, "fall": fall, "free": fall - spring - 1}
    )
    return pd.DataFrame([_risk(station, own) for station, own in days.groupby("station", observed=True)])


def _risk(station: Any, own: pd.DataFrame) -> dict[str, Any]:
    enough = len(own) >= LEAST_YEARS
    row: dict[str, Any] = {
        "station": station,
        "years": len(own),
        "years_without_spring": int(own["spring"].isna().sum()),
        "years_without_fall": int(own["fall"].isna().sum()),
    }
    for percent in (90, 50, 10):
        row[f"last_spring_{percent}"] = last_freeze_day(own["spring"], percent / 100) if enough else np.nan
    for percent in (10, 50, 90):
        row[f"first_fall_{percent}"] = first_freeze_day(own["fall"], percent / 100) if enough else np.nan
    row["freeze_free_days"] = own["free"].median() if enough else np.nan
    return row


def _first_cold(
    cold: npt.NDArray[Any], missing: npt.NDArray[Any]
) -> tuple[npt.NDArray[Any], npt.NDArray[Any]]:
    """Return the position of the first cold day of each garden, and how the search ended."""
    some = cold.any(axis=1)
    position = np.where(some, cold.argmax(axis=1) if cold.shape[1] else 0, cold.shape[1])
    searched = np.arange(cold.shape[1]) < position[:, None]
    gap = longest_run(missing & searched) > MOST_MISSING_DAYS
    return position, np.select([gap, some], ["days missing", "found"], "none").astype(object)


def _dated(
    position: npt.NDArray[Any], state: npt.NDArray[Any], dates: npt.NDArray[np.datetime64]
) -> npt.NDArray[np.datetime64]:
    found = np.full(len(position), np.datetime64("NaT"), dtype="datetime64[D]")
    known = state == "found"
    found[known] = dates[position[known]]
    return found


def _percentile(days_of_year: Numbers, share: npt.NDArray[Any]) -> npt.NDArray[Any]:
    days = np.asarray(days_of_year, dtype=float)
    none = np.isnan(days).all(axis=-1)
    return np.where(none, np.nan, np.nanquantile(np.where(none[..., None], 0.0, days), share, axis=-1))
