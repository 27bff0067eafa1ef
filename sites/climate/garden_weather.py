"""Daily weather at gardens, estimated from the stations around them, and which stations bear each value."""

from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np
import numpy.typing as npt
import pandas as pd

from sites.climate.interpolation import Carried, Interpolation, Places, element, places, wet_votes
from sites.climate.neighbours import Booleans, stations_used
from sites.climate.records import ELEMENTS
from sites.climate.station_days import Day, Floats, StationDays, station_days
from sites.climate.trend import LAPSE_TMAX, LAPSE_TMIN, Trend
from sites.scalars import Numbers

#: A station farther than this, in kilometres, or higher or lower by more than FAR_HEIGHT_M is used and marked
#: far (common practice, no source).
FAR_KM = 40.0

#: Height difference in metres above which a neighbour is marked far (common practice, no source).
FAR_HEIGHT_M = 300.0

#: Days before the window from which the rescaling of voted rain is taken; with fewer, the whole record
#: serves.
LEAST_PAST_DAYS = 365


@dataclass(frozen=True)
class Estimate:
    """One element at G gardens over D days.

    `value` is missing where no station reports; `used` counts the stations that bear it, `nearest_km` is the
    nearest of them; `far` says that all of them are far off or much higher or lower; `estimated` that others
    stand in for the garden's usual neighbours. All are (G, D). `bears` (G, M, D) marks the stations in the
    order of the neighbours.
    """

    value: Floats
    used: npt.NDArray[np.int64]
    nearest_km: Floats
    far: Booleans
    estimated: Booleans
    bears: Booleans


@dataclass(frozen=True)
class GardenWeather:
    """Daily weather at G gardens: `dates` (D) and an `Estimate` for each of tmax_c, tmin_c and prcp_mm."""

    dates: npt.NDArray[np.datetime64]
    elements: dict[str, Estimate]
    station_names: npt.NDArray[Any]

    def frame(self, garden: int) -> pd.DataFrame:
        """Return one garden's weather by date.

        Columns: tmax_c, tmin_c, prcp_mm, and for each, named by its first word: _stations (the stations used,
        as text), _stations_used (how many), _nearest_km, _far and _estimated.
        """
        columns: dict[str, Any] = {name: each.value[garden] for name, each in self.elements.items()}
        for name, each in self.elements.items():
            element = name.split("_")[0]
            columns[f"{element}_stations"] = _named(each.bears[garden], self.station_names[garden])
            columns[f"{element}_stations_used"] = each.used[garden]
            columns[f"{element}_nearest_km"] = each.nearest_km[garden]
            columns[f"{element}_far"] = each.far[garden]
            columns[f"{element}_estimated"] = each.estimated[garden]
        return pd.DataFrame(columns, index=pd.DatetimeIndex(self.dates.astype("datetime64[us]"), name="date"))


def at_garden(
    stations: pd.DataFrame,
    daily: pd.DataFrame,
    lon: Numbers,
    lat: Numbers,
    elevation_m: Numbers,
    start: Day,
    end: Day,
    neighbours: int = 4,
    power: float = 2.0,
    limit_km: float = 250.0,
    lapse_tmax: float = LAPSE_TMAX,
    lapse_tmin: float = LAPSE_TMIN,
    trend: Trend | None = None,
    rain: Literal["mean", "vote"] = "mean",
) -> pd.DataFrame:
    """Return a garden's weather by date, from start to end, both included; see `GardenWeather.frame`.

    Method A: on each day and for each element the nearest `neighbours` stations that report it within
    `limit_km`, with weights 1 / max(distance, 1 km)^power, temperatures moved to the garden's height with the
    lapse rates (°C per km). A day without any such station is missing. With a `trend` only departures from it
    are carried (method B). `at_gardens` tells of rain="vote". Arrays of gardens give one frame by garden,
    counted from 0, and date.
    """
    method = Interpolation(neighbours, power, limit_km, lapse_tmax, lapse_tmin, trend)
    weather = at_gardens(stations, daily, lon, lat, elevation_m, start, end, method, rain)
    if np.ndim(lon) == 0:
        return weather.frame(0)
    frames = [weather.frame(garden) for garden in range(len(weather.station_names))]
    return pd.concat(frames, keys=range(len(frames)), names=["garden", "date"])


def at_gardens(
    stations: pd.DataFrame,
    daily: pd.DataFrame,
    lon: Numbers,
    lat: Numbers,
    elevation_m: Numbers,
    start: Day,
    end: Day,
    method: Interpolation | None = None,
    rain: Literal["mean", "vote"] = "mean",
) -> GardenWeather:
    """Return the weather of many gardens at once, each as `at_garden` gives it.

    `lon`, `lat` and `elevation_m` are arrays of one length; a missing height leaves temperatures as the
    neighbours have them, a missing place leaves everything missing. Averaging stations makes it rain on too
    many days; with rain="vote" a day is dry unless stations with half of the weight were wet, and amounts are
    rescaled to keep the total of the days before `start`: for wet days and dry spells, not for totals.
    """
    method = method or Interpolation()
    record = station_days(stations, daily)
    days = record.window(start, end)
    gardens = _columns(lon, lat, elevation_m)
    at = places(days.stations, *gardens, method, most=None)
    found = {column: element(days, column, method).at(at) for column in ELEMENTS.values()}
    if rain == "vote":
        voted = _voted(days, at, method) * _rescaling(record, days, at, method)
        found["prcp_mm"] = replace(found["prcp_mm"], value=voted)
    elements = {column: _estimate(days, column, each, at, method) for column, each in found.items()}
    names = days.stations["station"].to_numpy(dtype=object)[at.neighbours.station]
    return GardenWeather(days.dates, elements, names)


def _columns(lon: Numbers, lat: Numbers, elevation_m: Numbers) -> tuple[Floats, Floats, Floats]:
    """Return longitudes, latitudes and heights of gardens as arrays of one length."""
    columns = (np.atleast_1d(np.asarray(each, dtype=float)) for each in (lon, lat, elevation_m))
    first, second, third = np.broadcast_arrays(*columns)
    return first, second, third


def _estimate(
    days: StationDays, column: str, carried: Carried, at: Places, method: Interpolation
) -> Estimate:
    reports = np.isfinite(days.readings[column])
    bears = stations_used(reports, at.neighbours, method.neighbours)
    distance_km = at.neighbours.distance_km
    height_m = days.stations["elevation_m"].to_numpy(float)[at.neighbours.station]
    near = (distance_km <= FAR_KM) & ~(np.abs(height_m - at.elevation_m[:, None]) > FAR_HEIGHT_M)
    used = bears.sum(axis=1)
    nearest_km = np.where(bears, distance_km[:, :, None], np.inf).min(axis=1, initial=np.inf)
    return Estimate(
        value=carried.value,
        used=used,
        nearest_km=np.where(used > 0, nearest_km, np.nan),
        far=(used > 0) & ~(bears & near[:, :, None]).any(axis=1),
        estimated=(used > 0) & carried.estimated,
        bears=bears,
    )


def _voted(days: StationDays, at: Places, method: Interpolation) -> Floats:
    """Return rain with days dry on which stations with more than half of the weight were dry."""
    rain = element(days, "prcp_mm", method, beside=(wet_votes(days),)).at(at)
    return np.where(rain.beside[0] < 0.5, 0.0, rain.value)


def _rescaling(record: StationDays, days: StationDays, at: Places, method: Interpolation) -> Floats:
    """Return the factor (G, 1) that voting takes from a garden's total, from the days before the window."""
    before = int(days.dates[0].astype(int)) - int(record.dates[0].astype(int))
    past = record
    if before >= LEAST_PAST_DAYS:
        past = record.window(record.dates[0], days.dates[0] - 1)
    total = np.nansum(element(past, "prcp_mm", method).at(at).value, axis=1, keepdims=True)
    voted = np.nansum(_voted(past, at, method), axis=1, keepdims=True)
    return np.where(voted > 0, total / np.where(voted > 0, voted, 1.0), 1.0)


def _named(bears: Booleans, names: npt.NDArray[Any]) -> npt.NDArray[Any]:
    """Return the names of the stations that bear each day, joined by blanks, one text for each day."""
    patterns, pattern_of_day = np.unique(bears, axis=1, return_inverse=True)
    texts = np.array([" ".join(names[pattern]) for pattern in patterns.T], dtype=object)
    return texts[pattern_of_day.ravel()]
