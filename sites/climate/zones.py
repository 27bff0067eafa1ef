"""Plant hardiness zones: context for perennials, and nothing about summer heat or frost dates."""

from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from sites.climate.station_days import StationDays
from sites.errors import InputError
from sites.scalars import Numbers, scalars_stay_scalars
from sites.units import fahrenheit_from_celsius

#: Lower edge of zone 1a, °F (USDA Plant Hardiness Zone Map, 2023).
COLDEST_F = -60.0

#: Width of half a zone, °F.
HALF_ZONE_F = 5.0

#: Half zones, 1a to 13b.
HALF_ZONES = tuple(f"{zone}{half}" for zone in range(1, 14) for half in "ab")

#: Days of a year that must have a minimum, from December to February above all, for its coldest to count.
LEAST_DAYS = 350

#: Columns of the table of lowest minima of past years.
EXTREMES = ("station", "year", "lowest_c")

#: Newest years that the mean is taken over: the zones of 2023 rest on the thirty of 1991 to 2020 (USDA).
MOST_YEARS = 30

#: Years below which no zone is given: means over ten years are the shortest that the World Meteorological
#: Organization calls a period average (WMO-No. 1203, from memory).
LEAST_YEARS = 10


@scalars_stay_scalars
def hardiness_zone(mean_extreme_minimum_f: Numbers) -> npt.NDArray[Any]:
    """Return the zone, as "6a", of a mean of yearly minima in °F; None where it is missing.

    Zones are 10 °F wide and halves 5 °F, from -60 °F (USDA 2023); an edge belongs to the warmer half (common
    practice, no source). Colder and warmer places get the outermost zones.
    """
    minimum = np.round(np.asarray(mean_extreme_minimum_f, dtype=float), 6)
    half = np.floor((np.nan_to_num(minimum) - COLDEST_F) / HALF_ZONE_F).astype(int)
    half = np.clip(half, 0, len(HALF_ZONES) - 1)
    names = np.array([*HALF_ZONES, None], dtype=object)
    return names[np.where(np.isnan(minimum), len(HALF_ZONES), half)]


@scalars_stay_scalars
def mean_extreme_minimum_f(tmin_c: Numbers, dates: npt.NDArray[np.datetime64]) -> npt.NDArray[Any]:
    """Return the mean over the years of each year's lowest minimum, °F, along the last axis.

    Not the record low, and no percentile. Years with minima on fewer than 350 days are left out.
    """
    tmin = np.asarray(tmin_c, dtype=float)
    years = dates.astype("datetime64[Y]").astype(int)
    total, count = np.zeros(tmin.shape[:-1]), np.zeros(tmin.shape[:-1])
    for year in np.unique(years):
        own = tmin[..., years == year]
        whole = (~np.isnan(own)).sum(axis=-1) >= LEAST_DAYS
        lowest = np.where(np.isnan(own), np.inf, own).min(axis=-1)
        total, count = total + np.where(whole, lowest, 0.0), count + whole
    return np.asarray(fahrenheit_from_celsius(total / np.where(count > 0, count, np.nan)))


def read_extremes(path: Path | str) -> pd.DataFrame:
    """Return the lowest minima of past years in a file: station, year, lowest_c (°C).

    Raises InputError where a column is missing or a number is none.
    """
    table = pd.read_csv(path, dtype=str, keep_default_na=False)
    absent = [name for name in EXTREMES if name not in table]
    if absent:
        raise InputError(f"{path} has no column {', '.join(absent)}. Add it.")
    for name in ("year", "lowest_c"):
        text = table[name].str.strip()
        table[name] = pd.to_numeric(text, errors="coerce")
        if table[name].isna().any():
            line = int(np.flatnonzero(table[name].isna())[0]) + 2
            raise InputError(f"{path}, line {line}, {name}: {text.iloc[line - 2]!r} is no number. Mend it.")
    return table[list(EXTREMES)].astype({"year": int})


def yearly_minima(record: StationDays) -> pd.DataFrame:
    """Return each station's lowest minimum of each whole year: station, year, lowest_c (°C).

    A year is whole with minima on 350 days.
    """
    if not len(record.dates) or record.stations.empty:
        return no_extremes()
    year = record.dates.astype("datetime64[Y]").astype(int) + 1970
    starts = np.flatnonzero(np.r_[True, year[1:] != year[:-1]])
    tmin = record.readings["tmin_c"]
    whole = np.add.reduceat(~np.isnan(tmin), starts, axis=1, dtype=int) >= LEAST_DAYS
    station, at = np.nonzero(whole)
    lowest = np.fmin.reduceat(tmin, starts, axis=1)[station, at]
    names = record.stations["station"].astype("str").array[station]
    return pd.DataFrame({"station": names, "year": year[starts][at], "lowest_c": lowest})


def no_extremes() -> pd.DataFrame:
    """Return the lowest minima of a network that has no whole year on record."""
    return pd.DataFrame(
        {
            "station": pd.Series(dtype="str"),
            "year": pd.Series(dtype="int64"),
            "lowest_c": pd.Series(dtype="float64"),
        }
    )


def extreme_minima(*yearly: pd.DataFrame) -> pd.DataFrame:
    """Return for each station the mean of its yearly minima, °C, over its newest thirty years.

    `yearly` are tables of station, year and lowest_c; of two rows of one year the later table's counts.
    Columns: station, years, first_year, last_year, mean_c, the last missing for stations with fewer than ten
    years.
    """
    rows = pd.concat([table for table in yearly if len(table)] or [no_extremes()], ignore_index=True)
    rows = rows.drop_duplicates(["station", "year"], keep="last").sort_values(["station", "year"])
    newest = rows.groupby("station").tail(MOST_YEARS).groupby("station")
    found = newest.agg(
        years=("year", "size"),
        first_year=("year", "min"),
        last_year=("year", "max"),
        mean_c=("lowest_c", "mean"),
    )
    found["mean_c"] = found["mean_c"].where(found["years"] >= LEAST_YEARS)
    return found.astype("float64").reset_index()
