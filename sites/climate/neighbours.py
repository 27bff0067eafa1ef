"""Nearest stations of each garden, with the weights that their values get."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from sites.climate.station_days import Floats
from sites.geography.distances import arc_from_chord_km, chord_from_arc_km, earth_centred_km
from sites.scalars import Numbers

#: Nearest stations looked at first for each garden. Four report on most days; a garden whose first sixteen
#: leave a day short is looked at again with all stations within the limit.
LOOKED_AT_FIRST = 16

#: Distances below this count as this, so that a station at the garden gets a large weight and not an infinite
#: one.
LEAST_DISTANCE_KM = 1.0

Booleans = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class Neighbours:
    """Stations around each of G gardens, nearest first.

    `station` (G, M) holds row numbers of stations, `distance_km` (G, M) how far they are: infinite beyond the
    limit and for a station that was left out. `weight` (G, M) falls with a power of the distance and is zero
    where that is infinite.
    """

    station: npt.NDArray[Any]
    distance_km: Floats
    weight: Floats

    def rows(self, chosen: slice | npt.NDArray[Any]) -> "Neighbours":
        """Return the neighbours of some of the gardens."""
        return Neighbours(self.station[chosen], self.distance_km[chosen], self.weight[chosen])

    def first(self, most: int) -> "Neighbours":
        """Return the nearest `most` of the neighbours of every garden."""
        return Neighbours(self.station[:, :most], self.distance_km[:, :most], self.weight[:, :most])


def nearest_stations(
    lon: Numbers,
    lat: Numbers,
    stations: pd.DataFrame,
    limit_km: float,
    power: float = 2.0,
    most: int | None = None,
    leave_out: npt.NDArray[np.intp] | None = None,
) -> Neighbours:
    """Return the stations within the limit of each garden, nearest first, at most `most` (None: all).

    Weights are 1 / distance^power, distances below 1 km counting as 1 km.
    `leave_out` gives for each garden the row of one station that is not to be a neighbour: a station's own,
    where the gardens are the stations themselves.
    """
    from scipy.spatial import cKDTree

    gardens = earth_centred_km(np.atleast_1d(lon), np.atleast_1d(lat))
    placed = np.isfinite(gardens).all(axis=1, keepdims=True)
    count = min(len(stations), len(stations) if most is None else most + (leave_out is not None))
    if count == 0:
        nothing = np.zeros((len(gardens), 0))
        return Neighbours(nothing.astype(np.intp), nothing, nothing)
    places = earth_centred_km(stations["lon"], stations["lat"])
    chord, station = cKDTree(places).query(np.where(placed, gardens, 0.0), k=np.arange(1, count + 1))
    chord = np.where(placed & (chord <= chord_from_arc_km(limit_km)), chord, np.inf)
    if leave_out is not None:
        chord = np.where(station == leave_out[:, None], np.inf, chord)
        order = np.argsort(chord, axis=1, kind="stable")
        chord, station = np.take_along_axis(chord, order, 1), np.take_along_axis(station, order, 1)
    distance_km = np.where(np.isfinite(chord), arc_from_chord_km(np.minimum(chord, 1e6)), np.inf)
    weight = 1.0 / np.maximum(distance_km, LEAST_DISTANCE_KM) ** power
    return Neighbours(np.asarray(station), distance_km, weight)


def stations_used(reports: Booleans, neighbours: Neighbours, count: int) -> Booleans:
    """Return which neighbours (G, M, D) bear the estimate of a day: the nearest `count` that report on it."""
    available = reports[neighbours.station] & np.isfinite(neighbours.distance_km)[:, :, None]
    return available & (np.cumsum(available, axis=1) <= count)
