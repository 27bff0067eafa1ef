"""Nearest stations, and the distance-weighted mean of those that report on a day."""

from collections.abc import Sequence
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
    limit and for a station that was left out.
    """

    station: npt.NDArray[Any]
    distance_km: Floats

    def weights(self, power: float) -> Floats:
        """Return inverse-distance weights (G, M), zero beyond the limit."""
        return 1.0 / np.maximum(self.distance_km, LEAST_DISTANCE_KM) ** power

    def rows(self, chosen: slice | npt.NDArray[Any]) -> "Neighbours":
        """Return the neighbours of some of the gardens."""
        return Neighbours(self.station[chosen], self.distance_km[chosen])

    def first(self, most: int) -> "Neighbours":
        """Return the nearest `most` of the neighbours of every garden."""
        return Neighbours(self.station[:, :most], self.distance_km[:, :most])


def nearest_stations(
    lon: Numbers,
    lat: Numbers,
    stations: pd.DataFrame,
    limit_km: float,
    most: int | None = None,
    leave_out: npt.NDArray[np.intp] | None = None,
) -> Neighbours:
    """Return the stations within the limit of each garden, nearest first, at most `most` (None: all).

    `leave_out` gives for each garden the row of one station that is not to be a neighbour: a station's own,
    where the gardens are the stations themselves.
    """
    from scipy.spatial import cKDTree

    gardens = earth_centred_km(np.atleast_1d(lon), np.atleast_1d(lat))
    placed = np.isfinite(gardens).all(axis=1, keepdims=True)
    count = min(len(stations), len(stations) if most is None else most + (leave_out is not None))
    if count == 0:
        return Neighbours(np.zeros((len(gardens), 0), dtype=np.intp), np.zeros((len(gardens), 0)))
    places = earth_centred_km(stations["lon"], stations["lat"])
    chord, station = cKDTree(places).query(np.where(placed, gardens, 0.0), k=np.arange(1, count + 1))
    chord = np.where(placed & (chord <= chord_from_arc_km(limit_km)), chord, np.inf)
    if leave_out is not None:
        chord = np.where(station == leave_out[:, None], np.inf, chord)
        order = np.argsort(chord, axis=1, kind="stable")
        chord, station = np.take_along_axis(chord, order, 1), np.take_along_axis(station, order, 1)
    distance_km = np.where(np.isfinite(chord), arc_from_chord_km(np.minimum(chord, 1e6)), np.inf)
    return Neighbours(np.asarray(station), distance_km)


def stations_used(reports: Booleans, neighbours: Neighbours, count: int) -> Booleans:
    """Return which neighbours (G, M, D) bear the estimate of a day: the nearest `count` that report on it."""
    available = reports[neighbours.station] & np.isfinite(neighbours.distance_km)[:, :, None]
    return available & (np.cumsum(available, axis=1) <= count)


def weighted_means(
    layers: Sequence[Floats], neighbours: Neighbours, count: int, power: float
) -> tuple[list[Floats], Booleans]:
    """Return each layer's mean over the nearest `count` stations that report, and the days that fell short.

    `layers` are (S, D) arrays that are missing on the same days: a value and whatever else of the same
    reading is to be averaged with the same weights. Means are (G, D), missing where no neighbour reports. A
    day is short where fewer than `count` of the given neighbours report.

    The nearest stations of all gardens are summed with one sparse product for each layer; only garden-days on
    which one of them is silent are looked at one by one, rank by rank.
    """
    reports = np.isfinite(layers[0])
    filled = [np.where(reports, layer, 0.0) for layer in layers]
    weights = neighbours.weights(power)
    near = neighbours.first(count)
    total_weight = sum_over_stations(weights[:, :count], near.station, reports.astype(float))
    sums = [sum_over_stations(weights[:, :count], near.station, layer) for layer in filled]
    within = np.isfinite(near.distance_km).astype(float)
    found = sum_over_stations(within, near.station, reports.astype(float))

    garden, day = np.nonzero(found < count)
    found_there, weight_there = found[garden, day], total_weight[garden, day]
    sums_there = [layer_sum[garden, day] for layer_sum in sums]
    open_ = np.arange(len(garden))
    for rank in range(count, neighbours.station.shape[1]):
        open_ = open_[(found_there[open_] < count) & (weights[garden[open_], rank] > 0)]
        if not len(open_):
            break
        station, when = neighbours.station[garden[open_], rank], day[open_]
        weight = weights[garden[open_], rank] * reports[station, when]
        found_there[open_] += weight > 0
        weight_there[open_] += weight
        for layer, layer_sum in zip(filled, sums_there, strict=True):
            layer_sum[open_] += weight * layer[station, when]
    found[garden, day], total_weight[garden, day] = found_there, weight_there
    for layer_sum, there in zip(sums, sums_there, strict=True):
        layer_sum[garden, day] = there
    total_weight[total_weight == 0] = np.nan
    return [layer_sum / total_weight for layer_sum in sums], found < count


def sum_over_stations(weights: Floats, station: npt.NDArray[np.intp], layer: Floats) -> Floats:
    """Return the weighted sum (G, D) of a layer (S, D) over the stations (G, M) of each garden."""
    from scipy.sparse import csr_array

    gardens, most = station.shape
    pointers = np.arange(0, gardens * most + 1, most) if most else np.zeros(gardens + 1, dtype=int)
    product = csr_array((weights.ravel(), station.ravel(), pointers), shape=(gardens, len(layer)))
    return np.asarray(product @ layer)
