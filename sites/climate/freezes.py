"""Freezes: what counts as one, and the dates of the last in spring and the first in fall."""

from pathlib import Path
from typing import Any, Literal, NamedTuple

import numpy as np
import numpy.typing as npt
import pandas as pd

from sites.climate.rain import longest_run
from sites.climate.station_days import station_days
from sites.errors import InputError
from sites.scalars import Numbers, scalars_stay_scalars
from sites.units import celsius_from_fahrenheit

#: A convention by its name, or a limit in whole °F, as the 24 °F of freeze tables.
FreezeConvention = Literal["frost", "freeze", "hard freeze", "frost day"] | float

#: Daily minimum, whole °F, at or below which the National Weather Service speaks of each (NWS, frost and
#: freeze definitions). The index "frost day" of ETCCDI is the fourth convention: below 0 °C, strictly.
LIMITS_F = {"frost": 36.0, "freeze": 32.0, "hard freeze": 28.0}

#: Where spring and fall part, month and day: one state climate service cuts at 24 July (Utah Climate Center),
#: and half a year later south of the equator.
SPLIT_NORTH, SPLIT_SOUTH = "07-24", "01-24"

#: Days in a row without a minimum, among those looked through for a freeze, from which its date is not given
#: (common practice, no source; the Utah Climate Center voids a season at ten).
MOST_MISSING_DAYS = 5


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
    """Return whether a daily minimum counts as a freeze under a convention; a missing one does not.

    A minimum that was read in whole °F and stored in tenths of °C comes back a little off: 28 °F is stored as
    -2.2 °C, which is 28.04 °F. So the Weather Service's limits are tested on whole °F.
    """
    if convention == "frost day":
        return np.asarray(tmin_c, dtype=float) < 0.0
    limit_f = LIMITS_F.get(convention) if isinstance(convention, str) else convention
    if limit_f is None:
        known = ", ".join([*LIMITS_F, "frost day"])
        raise InputError(f"{convention!r} is no convention for a freeze. Known are {known}.")
    rounds_above_f = limit_f + 0.5
    return np.asarray(tmin_c, dtype=float) < celsius_from_fahrenheit(rounds_above_f)


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


def read_freezes(path: Path | str) -> pd.DataFrame:
    """Return the freeze dates of past years in a file: station, year, last_spring, first_fall.

    A blank date is a year without one. Raises InputError where a column is missing or a date is none.
    """
    table = pd.read_csv(path, dtype=str, keep_default_na=False)
    absent = [name for name in ("station", "year", "last_spring", "first_fall") if name not in table]
    if absent:
        raise InputError(f"{path} has no column {', '.join(absent)}. Add it; blank dates are fine.")
    for name in ("last_spring", "first_fall"):
        text = table[name].str.strip()
        table[name] = pd.to_datetime(text, format="%Y-%m-%d", errors="coerce").astype("datetime64[us]")
        wrong = table[name].isna() & (text != "")
        if wrong.any():
            line = int(np.flatnonzero(wrong)[0]) + 2
            raise InputError(f"{path}, line {line}, {name}: {text[wrong].iloc[0]!r} is no date. Mend it.")
    return table[["station", "year", "last_spring", "first_fall"]]


def _first_cold(
    cold: npt.NDArray[Any], missing: npt.NDArray[Any]
) -> tuple[npt.NDArray[Any], npt.NDArray[Any]]:
    """Return the position of the first cold day of each garden, and how the search ended."""
    some = cold.any(axis=1)
    position = np.where(some, cold.argmax(axis=1) if cold.shape[1] else 0, cold.shape[1])
    gap = np.zeros(len(cold), dtype=bool)
    if missing.any():
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
