"""The west-to-east trend of a climate: planes through station means, with height taken out."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from sites.climate.station_days import Floats, StationDays, station_days
from sites.errors import InputError
from sites.scalars import Numbers

#: Fall of the daily maximum with height, °C per km. The standard atmosphere has 6.5; stations on a slope show
#: somewhat less. It is fixed and never fitted across a region where height and longitude run together,
#: because the fit then returns the dryness of the west instead.
LAPSE_TMAX = -6.0

#: Fall of the daily minimum with height, °C per km: less than that of the maximum, because cold air pools in
#: valleys on clear nights (Idaho, 14 stations, 1989-2004).
LAPSE_TMIN = -4.5

#: Stations that a plane with three coefficients needs at least.
LEAST_STATIONS = 4


@dataclass(frozen=True)
class Trend:
    """Planes a + b (lon - lon0) + c (lat - lat0) through the means of stations.

    `planes` has, for tmax_c and tmin_c, coefficients (12, 3) of each month's mean at sea level; for prcp_mm
    coefficients (1, 3) of the logarithm of the mean rain, one plane for all months because single months are
    too noisy. `lapse` are the lapse rates of maximum and minimum that took the heights out. Method B carries
    only a station's departure from its plane to a garden.
    """

    planes: dict[str, Floats]
    lon0: float
    lat0: float
    lapse: tuple[float, float]

    def at(self, column: str, lon: Numbers, lat: Numbers, dates: npt.NDArray[np.datetime64]) -> Floats:
        """Return the plane at some places on some days: (N, D), or (N, 1) where it is the same all year."""
        place = _terms(lon, lat, self.lon0, self.lat0)
        planes = self.planes[column]
        if len(planes) == 1:
            return place @ planes.T
        return place @ planes[month_of(dates) - 1].T


def trend_of_normals(
    stations: pd.DataFrame,
    normals: pd.DataFrame,
    lapse_tmax: float = LAPSE_TMAX,
    lapse_tmin: float = LAPSE_TMIN,
) -> Trend:
    """Return the trend through monthly normals (station, month, tmax_c, tmin_c, prcp_mm).

    Normals are of years before the season, which is what a trend should come from. Raises InputError where
    fewer than four stations have a place and all twelve months.
    """
    tmax, tmin, rain = (by_month(stations, normals, each) for each in ("tmax_c", "tmin_c", "prcp_mm"))
    return _fit(stations, tmax, tmin, rain.sum(axis=1) / 365.25, lapse_tmax, lapse_tmin)


def trend_of_record(
    stations: pd.DataFrame,
    daily: pd.DataFrame | StationDays,
    lapse_tmax: float = LAPSE_TMAX,
    lapse_tmin: float = LAPSE_TMIN,
) -> Trend:
    """Return the trend through the means of a daily record; for a season, give the years before it.

    Raises InputError where fewer than four stations have a place and values in all months.
    """
    days = daily if isinstance(daily, StationDays) else station_days(stations, daily)
    month = month_of(days.dates)
    tmax, tmin = (
        np.column_stack([_means(days.readings[column][:, month == each]) for each in range(1, 13)])
        for column in ("tmax_c", "tmin_c")
    )
    return _fit(days.stations, tmax, tmin, _means(days.readings["prcp_mm"]), lapse_tmax, lapse_tmin)


def by_month(stations: pd.DataFrame, normals: pd.DataFrame, column: str) -> Floats:
    """Return one column of monthly normals as (S, 12), in the order of the stations; missing where unknown.

    Raises InputError where the table of normals lacks a column.
    """
    missing = {"station", "month", column} - set(normals.columns)
    if missing:
        raise InputError(f"The normals have no column {', '.join(sorted(missing))}. Add it to their file.")
    row = pd.Index(stations["station"]).get_indexer(normals["station"])
    month = normals["month"].to_numpy(dtype=int)
    known = (row >= 0) & (month >= 1) & (month <= 12)
    table = np.full((len(stations), 12), np.nan)
    table[row[known], month[known] - 1] = normals[column].to_numpy(dtype=float)[known]
    return table


def month_of(dates: npt.NDArray[np.datetime64]) -> npt.NDArray[Any]:
    """Return the month, 1 to 12, of each date."""
    return dates.astype("datetime64[M]").astype(int) % 12 + 1


def _fit(
    stations: pd.DataFrame, tmax: Floats, tmin: Floats, rain: Floats, lapse_tmax: float, lapse_tmin: float
) -> Trend:
    lon0, lat0 = float(stations["lon"].mean()), float(stations["lat"].mean())
    terms = _terms(stations["lon"], stations["lat"], lon0, lat0)
    height_km = stations["elevation_m"].to_numpy(float)[:, None] / 1000.0
    with np.errstate(divide="ignore"):
        log_rain = np.log(np.where(rain > 0, rain, np.nan))
    planes = {
        "tmax_c": _planes(terms, tmax - lapse_tmax * height_km),
        "tmin_c": _planes(terms, tmin - lapse_tmin * height_km),
        "prcp_mm": _planes(terms, log_rain[:, None]),
    }
    return Trend(planes, lon0, lat0, (lapse_tmax, lapse_tmin))


def _planes(terms: Floats, means: Floats) -> Floats:
    """Return least-squares coefficients (K, 3) of the columns of station means (S, K) over known means."""
    planes = np.empty((means.shape[1], terms.shape[1]))
    for column, mean in enumerate(means.T):
        known = ~np.isnan(mean)
        if known.sum() < LEAST_STATIONS:
            raise InputError(
                f"A west-to-east trend needs {LEAST_STATIONS} stations with values in every month; there are "
                f"{known.sum()}. Add stations, or estimate without the trend."
            )
        planes[column] = np.linalg.lstsq(terms[known], mean[known])[0]
    return planes


def _terms(lon: Numbers, lat: Numbers, lon0: float, lat0: float) -> Floats:
    east, north = np.atleast_1d(lon) - lon0, np.atleast_1d(lat) - lat0
    return np.column_stack([np.ones(len(east)), east, north])


def _means(values: Floats) -> Floats:
    """Return the mean of each station over its days, missing where it has none."""
    count = np.sum(~np.isnan(values), axis=1)
    return np.nansum(values, axis=1) / np.where(count, count, np.nan)
