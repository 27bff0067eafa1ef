"""Thirty-year normals of stations and gardens, and how a season departs from them."""

from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from sites.climate.averaging import Layers, weighted_means
from sites.climate.interpolation import Interpolation, places
from sites.climate.rain import longest_run
from sites.climate.station_days import Floats, station_days
from sites.climate.trend import by_month, month_of
from sites.errors import InputError

#: A month with more missing days than this, or more in a row than MOST_MISSING_IN_A_ROW, has no mean (World
#: Meteorological Organization 2017, WMO-No. 1203, from memory).
MOST_MISSING_DAYS = 10

#: Missing days in a row above which a month has no mean (WMO-No. 1203, from memory).
MOST_MISSING_IN_A_ROW = 4

#: Years of a month that its normal needs: 24 of 30 (WMO-No. 1203: 80 %, from memory).
LEAST_SHARE_OF_YEARS = 0.8

#: Mean length of each month in days.
LENGTH_OF_MONTH = np.array([31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])

#: Elements of the table of normals.
COLUMNS = ("tmax_c", "tmin_c", "prcp_mm")


def read_normals(path: Path | str) -> pd.DataFrame:
    """Return the normals of stations in a file: station, month, tmax_c, tmin_c, prcp_mm; blanks are missing.

    Raises InputError where a column is missing or a month or number is none.
    """
    table = pd.read_csv(path, dtype=str, keep_default_na=False)
    absent = [name for name in ("station", "month", *COLUMNS) if name not in table]
    if absent:
        raise InputError(f"{path} has no column {', '.join(absent)}. Add it; blanks are fine.")
    for name in ("month", *COLUMNS):
        text = table[name].str.strip()
        table[name] = pd.to_numeric(text, errors="coerce")
        wrong = table[name].isna() & ((text != "") | (name == "month"))
        if name == "month":
            wrong |= ~table[name].isin(range(1, 13))
        if wrong.any():
            line = int(np.flatnonzero(wrong)[0]) + 2
            raise InputError(f"{path}, line {line}, {name}: {text[wrong].iloc[0]!r} is no number. Mend it.")
    return table[["station", "month", *COLUMNS]].astype({"month": int})


def monthly_normals(
    stations: pd.DataFrame, daily: pd.DataFrame, first_year: int, last_year: int
) -> pd.DataFrame:
    """Return normals of stations: station, month, tmax_c, tmin_c (means) and prcp_mm (mean monthly total).

    Months with more than ten missing days or more than four in a row are left out; a normal needs four fifths
    of the years, else it is missing. A rain total needs every day of its month.
    """
    days = station_days(stations, daily).window(f"{first_year}-01-01", f"{last_year}-12-31")
    months = days.dates.astype("datetime64[M]")
    starts = np.flatnonzero(np.r_[True, months[1:] != months[:-1]])
    of_year = month_of(days.dates[starts])
    parts = {}
    for column in COLUMNS:
        monthly = np.column_stack(
            [
                _monthly(each, column == "prcp_mm")
                for each in np.split(days.readings[column], starts[1:], axis=1)
            ]
        )
        parts[column] = np.column_stack(
            [_normal(monthly[:, of_year == month]) for month in range(1, 13)]
        ).ravel()
    index = pd.MultiIndex.from_product([days.stations["station"], range(1, 13)], names=["station", "month"])
    return pd.DataFrame(parts, index=index).reset_index()


def normals_at(
    stations: pd.DataFrame,
    normals: pd.DataFrame,
    lon: Floats,
    lat: Floats,
    elevation_m: Floats,
    method: Interpolation | None = None,
) -> dict[str, Floats]:
    """Return each column's normals (G, 12) at gardens, from the nearest stations that have all twelve months.

    Weights, limits and lapse rates are those of the daily estimate; the trend is not used.
    """
    method = method or Interpolation()
    found = {}
    for column in COLUMNS:
        monthly = by_month(stations, normals, column)
        whole = ~np.isnan(monthly).any(axis=1)
        if column != "prcp_mm":
            whole &= stations["elevation_m"].notna().to_numpy()
        having = stations[whole].reset_index(drop=True)
        at = places(having, lon, lat, elevation_m, method)
        lapse = method.lapse(column) / 1000.0
        sea_level = monthly[whole] - lapse * having["elevation_m"].fillna(0.0).to_numpy()[:, None]
        mean = weighted_means(Layers.of(sea_level), at.neighbours, method.neighbours).means[0]
        found[column] = mean + lapse * np.nan_to_num(at.elevation_m)[:, None]
    return found


def normal_of_days(monthly: Floats, days_of_month: Floats, total: bool = False) -> Floats:
    """Return the normal (G) of a span of days from monthly normals (G, 12): a mean, or a total where told.

    `days_of_month` (G, 12) or (12) counts the days of the span that lie in each month. Each day has its
    month's mean; a monthly total is spread evenly over its days.
    """
    if total:
        return np.asarray((monthly / LENGTH_OF_MONTH * days_of_month).sum(axis=1))
    count = np.sum(days_of_month, axis=-1)
    return np.asarray((monthly * days_of_month).sum(axis=1) / np.where(count > 0, count, np.nan))


def departure(values: Any, normal: Any) -> Any:
    """Return how far a season lies above (positive) or below its normal, in the values' own unit."""
    return np.asarray(values) - np.asarray(normal)


def _monthly(days: Floats, total: bool) -> Floats:
    missing = np.isnan(days)
    count = (~missing).sum(axis=1)
    if total:
        return np.where(missing.any(axis=1), np.nan, days.sum(axis=1))
    whole = (missing.sum(axis=1) <= MOST_MISSING_DAYS) & (longest_run(missing) <= MOST_MISSING_IN_A_ROW)
    return np.where(whole, np.nansum(days, axis=1) / np.maximum(count, 1), np.nan)


def _normal(monthly: Floats) -> Floats:
    known = ~np.isnan(monthly)
    enough = known.sum(axis=1) >= LEAST_SHARE_OF_YEARS * monthly.shape[1]
    return np.where(enough, np.nansum(monthly, axis=1) / np.maximum(known.sum(axis=1), 1), np.nan)
