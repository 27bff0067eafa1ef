"""Distance-weighted means over the stations that report on a day, for many gardens at once."""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from sites.climate.neighbours import Booleans, Neighbours
from sites.climate.station_days import Floats


@dataclass(frozen=True)
class Layers:
    """What is averaged over S stations on D days: L layers of one reading, all missing on the same days.

    `known` (S, D) tells which station reported; `side_by_side` (S, L + 1, D) holds that as 1 and 0, then each
    layer with 0 where it is missing.
    """

    known: Booleans
    side_by_side: Floats

    @classmethod
    def of(cls, *layers: Floats) -> "Layers":
        """Return the layers prepared; the first says where all of them are missing."""
        known = np.isfinite(layers[0])
        filled = [np.where(known, layer, 0.0) for layer in layers]
        return cls(known, np.stack([known.astype(float), *filled], axis=1))


@dataclass(frozen=True)
class Averages:
    """Means (G, D) of each layer, missing where no station reported.

    `nearest_weight` (G, D) is the weight of those of the nearest stations that reported, `short` (G) whether
    on some day one of them was silent and none was left to step in.
    """

    means: list[Floats]
    nearest_weight: Floats
    short: Booleans


def weighted_means(layers: Layers, neighbours: Neighbours, count: int) -> Averages:
    """Return the means of the layers over the nearest `count` stations that report on each day.

    The nearest stations of all gardens are summed with one sparse product. Only the garden-days on which one
    of them is silent are then looked at, rank by rank, until others have taken its place.
    """
    near = neighbours.first(count)
    sums = sum_over_stations(near.weight, near.station, layers.side_by_side)
    nearest_weight = sums[:, 0].copy()
    short = _replace_silent(sums, layers, neighbours, near.station.shape[1], count)
    total = sums[:, 0]
    total[total == 0] = np.nan
    means = [sums[:, layer] / total for layer in range(1, sums.shape[1])]
    return Averages(means, nearest_weight, short)


def _replace_silent(
    sums: Floats, layers: Layers, neighbours: Neighbours, nearest: int, count: int
) -> Booleans:
    """Add to the sums (G, L + 1, D), in place, what steps in for silent stations; return who fell short."""
    gardens, depth, days = sums.shape
    silent = _silent(layers.known, neighbours.first(nearest))
    garden, day = np.divmod(np.flatnonzero(silent > 0), days)
    found = nearest - silent[garden, day].astype(np.int64)
    readings, totals = layers.side_by_side.ravel(), sums.reshape(-1)
    step = np.arange(depth) * days
    waiting = np.arange(len(garden))
    for rank in range(nearest, neighbours.station.shape[1]):
        weight = neighbours.weight[garden[waiting], rank]
        waiting, weight = waiting[weight > 0], weight[weight > 0]
        if not len(waiting):
            break
        here, when = garden[waiting], day[waiting]
        known = layers.known[neighbours.station[here, rank], when]
        reading = (neighbours.station[here, rank] * (depth * days) + when)[known, None] + step
        there = (here * (depth * days) + when)[known, None] + step
        totals[there] += weight[known, None] * readings[reading]
        found[waiting] += known
        waiting = waiting[found[waiting] < count]
    return np.bincount(garden[found < count], minlength=gardens) > 0


def sum_over_stations(weight: Floats, station: npt.NDArray[np.intp], layers: Floats) -> Floats:
    """Return the weighted sums (G, ...) of layers (S, ...) over the stations (G, M) of each garden."""
    from scipy.sparse import csr_array

    gardens, most = station.shape
    pointers = np.arange(gardens + 1) * most
    product = csr_array((weight.ravel(), station.ravel(), pointers), shape=(gardens, len(layers)))
    flat = layers.reshape(len(layers), math.prod(layers.shape[1:]))
    return np.asarray(product @ flat).reshape(gardens, *layers.shape[1:])


def _silent(known: Booleans, near: Neighbours) -> npt.NDArray[np.uint8]:
    """Return how many of the nearest stations (G, D) did not report, or are out of reach."""
    missing = ~known
    silent = np.zeros((len(near.station), known.shape[1]), dtype=np.uint8)
    beyond = ~np.isfinite(near.distance_km)
    for rank in range(near.station.shape[1]):
        there = missing[near.station[:, rank]]
        if beyond[:, rank].any():
            there = there | beyond[:, rank, None]
        silent += there
    return silent
