"""Thirty-year normals of stations and gardens, and how a season departs from them."""

from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from sites.climate.interpolation import Interpolation
from sites.climate.neighbours import nearest_stations, weighted_means
from sites.climate.rain import longest_run
from sites.climate.station_days import Floats, station_days
from sites.climate.trend import by_month, month_of

#: A month with more missing days than this, or more in a row than MOST_MISSING_IN_A_ROW, has no mean (World
#: Meteorological Organization 2017, WMO-No. 1203, from memory).
MOST_MISSING_DAYS = 10

#: Missing days in a row above which a month has no mean (WMO-No. 1203, from memory).
MOST_MISSING_IN_A_ROW = 4

#: Years of a month that its normal needs: 24 of 30 (WMO-No. 1203: 80 %, from memory).
LEAST_SHARE_OF_YEARS = 0.8

#: Elements of the table of normals.
COLUMNS = ("tmax_c", "tmin_c", "prcp_mm")


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
    """Return each column's normals (G, 12) at gardens, from the nearest stations with all twelve months.

    Weights, limits and lapse rates are those of the daily estimate. A garden of unknown height takes its
    neighbours' temperatures as they are.
    """
    method = method or Interpolation()
    height_km = stations["elevation_m"].to_numpy(float)[:, None] / 1000.0
    neighbours = nearest_stations(lon, lat, stations, method.limit_km)
    found = {}
    for column in COLUMNS:
        known = by_month(stations, normals, column)
        known = np.where(np.isnan(known).any(axis=1, keepdims=True), np.nan, known)
        lapse = method.lapse(column)
        layers = [known - lapse * height_km if lapse else known, np.where(np.isnan(known), np.nan, height_km)]
        (mean, around_km), _ = weighted_means(layers, neighbours, method.neighbours, method.power)
        own_km = np.where(np.isnan(elevation_m)[:, None], around_km, elevation_m[:, None] / 1000.0)
        found[column] = mean + lapse * own_km if lapse else mean
    return found


def normal_of_window(monthly: Floats, dates: npt.NDArray[np.datetime64], total: bool = False) -> Floats:
    """Return the normal (G) of a span of days from monthly normals (G, 12): a mean, or a total where told.

    Each day has its month's mean; a monthly total is spread evenly over its days.
    """
    month = month_of(dates) - 1
    if not total:
        return np.asarray(monthly[:, month].mean(axis=1))
    starts = dates.astype("datetime64[M]")
    length = ((starts + 1).astype("datetime64[D]") - starts.astype("datetime64[D]")).astype(int)
    return np.asarray((monthly[:, month] / length).sum(axis=1))


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
