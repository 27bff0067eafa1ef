"""How weather is carried from stations to gardens: what is averaged, and what is put back at the garden."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from sites.climate.neighbours import (
    LOOKED_AT_FIRST,
    Booleans,
    Neighbours,
    nearest_stations,
    sum_over_stations,
    weighted_means,
)
from sites.climate.station_days import Floats, StationDays
from sites.climate.trend import LAPSE_TMAX, LAPSE_TMIN, Trend
from sites.errors import InputError

#: Rain from which a station's day counts as wet when stations vote: what a gauge of 0.01 inch shows at least,
#: in millimetres.
WET_STATION_MM = 0.3

#: A day is estimated where the usual neighbours that reported carry less than this share of their usual
#: weight.
LEAST_USUAL_WEIGHT = 0.5


@dataclass(frozen=True)
class Interpolation:
    """The choices of an estimate at a garden; the defaults are method A.

    Values of the nearest stations that report on a day are averaged with weights 1 / distance^power;
    temperatures are moved to the garden's height with fixed lapse rates (°C per km). With a trend (method B)
    only the departures from the west-to-east trend are carried.
    """

    neighbours: int = 4
    power: float = 2.0
    limit_km: float = 250.0
    lapse_tmax: float = LAPSE_TMAX
    lapse_tmin: float = LAPSE_TMIN
    trend: Trend | None = None

    def __post_init__(self) -> None:
        if self.trend is not None and self.trend.lapse != (self.lapse_tmax, self.lapse_tmin):
            raise InputError(
                f"The trend was fitted with lapse rates {self.trend.lapse}, the estimate asks for "
                f"{(self.lapse_tmax, self.lapse_tmin)}. Fit the trend again with those of the estimate."
            )

    def lapse(self, column: str) -> float:
        """Return the lapse rate of a column in °C per km; rain has none."""
        return {"tmax_c": self.lapse_tmax, "tmin_c": self.lapse_tmin}.get(column, 0.0)


@dataclass(frozen=True)
class Places:
    """Longitude, latitude (degrees) and height (m) of G gardens, and their neighbours."""

    lon: Floats
    lat: Floats
    elevation_m: Floats
    neighbours: Neighbours

    def rows(self, chosen: slice | npt.NDArray[Any]) -> "Places":
        """Return some of the gardens."""
        return Places(
            self.lon[chosen], self.lat[chosen], self.elevation_m[chosen], self.neighbours.rows(chosen)
        )


def places(
    days: StationDays,
    lon: Floats,
    lat: Floats,
    elevation_m: Floats,
    method: Interpolation,
    leave_out: npt.NDArray[np.intp] | None = None,
    most: int | None = LOOKED_AT_FIRST,
) -> Places:
    """Return gardens with their nearest stations.

    A garden of unknown height gets the weighted mean height of its neighbours, so that its temperatures are
    theirs, without a correction.
    """
    looked_at = None if most is None else max(most, 4 * method.neighbours)
    neighbours = nearest_stations(lon, lat, days.stations, method.limit_km, looked_at, leave_out)
    near = neighbours.first(method.neighbours)
    weights = near.weights(method.power)
    heights = np.nan_to_num(days.stations["elevation_m"].to_numpy(float))[near.station]
    around = (weights * heights).sum(axis=1) / np.maximum(weights.sum(axis=1), np.finfo(float).tiny)
    return Places(lon, lat, np.where(np.isnan(elevation_m), around, elevation_m), neighbours)


def carried(
    days: StationDays, column: str, at: Places, method: Interpolation, beside: tuple[Floats, ...] = ()
) -> list[Floats]:
    """Return the column's estimates (G, D) at the gardens, then the weighted means of the layers `beside`.

    Layers beside are (S, D) and missing where the column is: they share its stations and weights.
    """
    layers = (reduced(days, column, method), *beside)
    means, short = weighted_means(layers, at.neighbours, method.neighbours, method.power)
    again = np.flatnonzero(short.any(axis=1) & np.isfinite(at.neighbours.distance_km[:, -1:]).any(axis=1))
    if len(again) and at.neighbours.station.shape[1] < len(days.stations):
        everyone = nearest_stations(at.lon[again], at.lat[again], days.stations, method.limit_km)
        for mean, wider in zip(
            means, weighted_means(layers, everyone, method.neighbours, method.power)[0], strict=True
        ):
            mean[again] = wider
    return [restored(means[0], days, column, at, method), *means[1:]]


def reduced(days: StationDays, column: str, method: Interpolation) -> Floats:
    """Return station values (S, D) with height, and the trend if there is one, taken out."""
    values, stations = days.readings[column], days.stations
    if column != "prcp_mm" and method.lapse(column):
        values = values - method.lapse(column) * stations["elevation_m"].to_numpy(float)[:, None] / 1000.0
    if method.trend is None:
        return values
    surface = method.trend.at(column, stations["lon"], stations["lat"], days.dates)
    return values / np.exp(surface) if column == "prcp_mm" else values - surface


def restored(mean: Floats, days: StationDays, column: str, at: Places, method: Interpolation) -> Floats:
    """Return averaged values (G, D) with the gardens' own height, and the trend there, put back."""
    if column != "prcp_mm" and method.lapse(column):
        mean = mean + method.lapse(column) * at.elevation_m[:, None] / 1000.0
    if method.trend is None:
        return mean
    surface = method.trend.at(column, at.lon, at.lat, days.dates)
    return mean * np.exp(surface) if column == "prcp_mm" else mean + surface


def wet_votes(days: StationDays, wet_mm: float = WET_STATION_MM) -> Floats:
    """Return 1 where a station had a wet day, 0 where dry, missing where it did not report."""
    rain = days.readings["prcp_mm"]
    return np.where(np.isnan(rain), np.nan, rain >= wet_mm)


def stands_in(days: StationDays, column: str, at: Places, method: Interpolation) -> Booleans:
    """Return the garden-days (G, D) on which others stand in for the usual neighbours.

    The usual neighbours are the nearest stations in service during these days. Where those of them that
    reported carry less than half of their usual weight, the day is estimated: it is no worse than a garden
    without near stations gets, but it is not what this garden's other days are made of.
    """
    neighbours = at.neighbours
    serving = days.in_service(column)[neighbours.station] & np.isfinite(neighbours.distance_km)
    usual = np.argsort(~serving, axis=1, kind="stable")[:, : method.neighbours]
    weights = np.take_along_axis(neighbours.weights(method.power) * serving, usual, axis=1)
    station = np.take_along_axis(neighbours.station, usual, axis=1)
    reports = np.isfinite(days.readings[column]).astype(float)
    present = sum_over_stations(weights, station, reports)
    return present < LEAST_USUAL_WEIGHT * weights.sum(axis=1, keepdims=True)
