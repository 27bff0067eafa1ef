"""How weather is carried from stations to gardens: what is averaged, and what is put back at the garden."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from sites.climate.averaging import Averages, Layers, sum_over_stations, weighted_means
from sites.climate.neighbours import LOOKED_AT_FIRST, Booleans, Neighbours, nearest_stations
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
    stations: pd.DataFrame,
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
    neighbours = nearest_stations(lon, lat, stations, method.limit_km, method.power, looked_at, leave_out)
    near = neighbours.first(method.neighbours)
    heights = np.nan_to_num(stations["elevation_m"].to_numpy(float))[near.station]
    total = near.weight.sum(axis=1)
    around = (near.weight * heights).sum(axis=1) / np.where(total > 0, total, np.nan)
    return Places(lon, lat, np.where(np.isnan(elevation_m), around, elevation_m), neighbours)


@dataclass(frozen=True)
class Carried:
    """One element at G gardens on D days: its value, the means of layers beside it, the estimated days."""

    value: Floats
    beside: list[Floats]
    estimated: Booleans


@dataclass(frozen=True)
class Element:
    """One element of the stations' days, made ready once and then carried to any number of gardens."""

    column: str
    days: StationDays
    method: Interpolation
    layers: Layers

    def at(self, gardens: Places) -> Carried:
        """Return the element at gardens; days without any station are missing.

        A day is *estimated* where others stand in for the usual neighbours. These are the nearest stations in
        service during these days; where those of them that reported carry less than half of their usual
        weight, the value is no worse than a garden without near stations gets, but it is not what this
        garden's other days are made of.
        """
        averages = weighted_means(self.layers, gardens.neighbours, self.method.neighbours)
        estimated = self._estimated(gardens.neighbours, averages)
        means = averages.means
        reach = gardens.neighbours.distance_km
        if reach.shape[1] < len(self.days.stations):
            again = np.flatnonzero(averages.short & np.isfinite(reach[:, -1]))
            if len(again):
                self._asked_again(means, gardens, again)
        value = restored(means[0], self.days, self.column, gardens, self.method)
        return Carried(value, means[1:], estimated)

    def _asked_again(self, means: list[Floats], gardens: Places, again: npt.NDArray[Any]) -> None:
        """Replace the means of gardens whose list of neighbours was too short by those over all stations."""
        method = self.method
        everyone = nearest_stations(
            gardens.lon[again], gardens.lat[again], self.days.stations, method.limit_km, method.power
        )
        wider = weighted_means(self.layers, everyone, method.neighbours).means
        for mean, better in zip(means, wider, strict=True):
            mean[again] = better

    def _estimated(self, neighbours: Neighbours, averages: Averages) -> Booleans:
        serving = self.days.in_service(self.column)[neighbours.station] & (neighbours.weight > 0)
        near = serving[:, : self.method.neighbours]
        if near.all():
            usual, present = neighbours.first(self.method.neighbours).weight, averages.nearest_weight
        else:
            order = np.argsort(~serving, axis=1, kind="stable")[:, : self.method.neighbours]
            usual = np.take_along_axis(neighbours.weight * serving, order, axis=1)
            station = np.take_along_axis(neighbours.station, order, axis=1)
            present = sum_over_stations(usual, station, self.layers.known.astype(float))
        return np.asarray(present < LEAST_USUAL_WEIGHT * usual.sum(axis=1, keepdims=True))


def element(
    days: StationDays, column: str, method: Interpolation, beside: tuple[Floats, ...] = ()
) -> Element:
    """Return a column of the stations' days made ready, with layers (S, D) that share stations and weights.

    Layers beside are missing on the days on which the column is.
    """
    return Element(column, days, method, Layers.of(reduced(days, column, method), *beside))


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
