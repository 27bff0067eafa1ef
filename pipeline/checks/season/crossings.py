"""Plots that trade places: from one day on each has the other's rank, as when two tags were traded."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt
import polars as pl

from pipeline.checks.check import Say, column
from pipeline.checks.lookup import looked_up
from pipeline.checks.season.check import SeasonCheck
from pipeline.checks.season.rows import SeasonRows
from pipeline.checks.usual import MAD_TO_SPREAD

#: Pickings before and after a day on which two plots trade ranks, and robust spreads between the plots on
#: either side. Common practice, no source.
RANKED_PICKINGS, RANK_SPREADS = 3, 3.0

#: A spread of log weights or heights is never taken for less. Common practice, no source.
LEAST_SPREAD = 0.02

#: Gardens looked at together: memory is bounded by this, and what lies near in it is quicker to look at.
CHUNK = 50

_CASES = {"plot_at": pl.UInt32, "other_at": pl.UInt32, "date": pl.Date, "gap": pl.Float64}
_Floats = npt.NDArray[np.float64]
_Numbers = npt.NDArray[np.int64]


@dataclass(frozen=True)
class _Gardens:
    """Values of some gardens: (gardens, plots, days), missing where there is none, and what stands where.

    `plots` has the number of a plot, `days` the days since 1970 (`date`), by garden and place.
    """

    values: _Floats
    plots: _Numbers
    days: _Numbers


def _crossing(rows: SeasonRows) -> pl.DataFrame:
    """Return pairs of plots of a garden that take each other's rank from one day on, and keep it."""
    per_plant = pl.col("marketable_weight") / pl.col("plants")
    weights = rows.harvest.select("garden_at", "plot_at", "date", per_plant.alias("value"))
    heights = rows.condition.select("garden_at", "plot_at", "date", pl.col("height_cm").alias("value"))
    found = [case for frame in (weights, heights) for part in _parts(frame) for case in _crossings(part)]
    cases = pl.DataFrame(found, schema=_CASES, orient="row").unique(
        ["plot_at", "other_at"], keep="first", maintain_order=True
    )
    names = rows.plots.select(pl.col("plot_at").alias("other_at"), pl.col("layout_plot").alias("plot_b"))
    return looked_up(cases, names, ["other_at"]).sort("plot_at", "other_at")


def _parts(values: pl.DataFrame) -> Iterator[_Gardens]:
    """Yield the logarithms of the values of a few gardens at a time; the rows lie garden by garden."""
    logs = values.filter(pl.col("value") > 0).with_columns(pl.col("value").log())
    garden = logs["garden_at"].rle_id().to_numpy().astype(np.int64)
    first = np.searchsorted(garden, np.arange(0, garden.max(initial=-1) + 1, CHUNK))
    for start, end in pairwise([*first.tolist(), logs.height]):
        yield _table(logs[start:end], garden[start:end] % CHUNK)


def _table(logs: pl.DataFrame, garden: _Numbers) -> _Gardens:
    """Return values in their place among the plots and days of their garden, the mean of several."""
    plot, plots = _places(garden, logs["plot_at"].to_numpy().astype(np.int64))
    day, days = _places(garden, logs["date"].to_numpy().astype("datetime64[D]").astype(np.int64))
    shape = len(plots), plots.shape[1], days.shape[1]
    place = np.ravel_multi_index((garden, plot, day), shape)
    count = np.bincount(place, minlength=math.prod(shape))
    total = np.bincount(place, weights=logs["value"].to_numpy(), minlength=math.prod(shape))
    mean = np.divide(total, count, out=np.full(len(count), np.nan), where=count > 0)
    return _Gardens(mean.reshape(shape), plots, days)


def _places(garden: _Numbers, numbers: _Numbers) -> tuple[_Numbers, _Numbers]:
    """Return the place of each number among those of its garden, and by garden which number has which place.

    A garden's numbers lie near each other: they are ticked off in a list as long as they reach.
    """
    lowest = np.full(garden.max() + 1, np.iinfo(np.int64).max)
    np.minimum.at(lowest, garden, numbers)
    beyond = numbers - lowest[garden]
    is_there = np.zeros((len(lowest), beyond.max() + 1), np.bool_)
    is_there[garden, beyond] = True
    place = np.cumsum(is_there, axis=1) - 1
    named = np.zeros((len(lowest), place.max() + 1), np.int64)
    of_garden, there = np.nonzero(is_there)
    named[of_garden, place[of_garden, there]] = lowest[of_garden] + there
    return place[garden, beyond], named


def _crossings(gardens: _Gardens) -> Iterator[tuple[int, int, object, float]]:
    """Yield plot, other plot, day and gap for each garden in which two plots trade ranks."""
    one, two = np.triu_indices(gardens.values.shape[1], k=1)
    ahead = gardens.values[:, one] - gardens.values[:, two]
    turns_once, turn = _single_turns(ahead)
    for garden in np.flatnonzero(turns_once.any(axis=1)):
        pairs = np.flatnonzero(turns_once[garden])
        spread = _spread(gardens.values[garden])
        gaps = {
            int(pair): gap
            for pair in pairs
            if (gap := _gap(ahead[garden, pair], turn[garden, pair], spread)) is not None
        }
        if not gaps:
            continue
        best = max(gaps, key=lambda pair: (abs(gaps[pair]), -pair))
        # Plots between the two that traded are crossed by both. Where others cross as well it is the season
        # that turned, as when one treatment ripens later.
        traded = {one[best], two[best]}
        if any(traded.isdisjoint((one[pair], two[pair])) for pair in gaps):
            continue
        first, second = (one[best], two[best]) if gaps[best] > 0 else (two[best], one[best])
        day = np.datetime64(int(gardens.days[garden, turn[garden, best]]), "D").item()
        names = gardens.plots[garden]
        yield int(names[first]), int(names[second]), day, abs(gaps[best])


def _single_turns(ahead: _Floats) -> tuple[npt.NDArray[np.bool_], _Numbers]:
    """Return which pairs change ranks exactly once, with enough pickings on either side, and on which day.

    `ahead` is (gardens, pairs, days); a day on which one of the two was not picked, or both gave the same,
    says nothing. A pair changes once where all days of one rank come before all days of the other.
    """
    above, below = ahead > 0, ahead < 0
    enough = np.minimum(above.sum(axis=2), below.sum(axis=2)) >= RANKED_PICKINGS
    first_above, first_below = above.argmax(axis=2), below.argmax(axis=2)
    once = (_last(above) < first_below) | (_last(below) < first_above)
    return enough & once, np.maximum(first_above, first_below)


def _last(days: npt.NDArray[np.bool_]) -> _Numbers:
    """Return the last day on which something holds, where it ever does."""
    return days.shape[2] - 1 - days[:, :, ::-1].argmax(axis=2)


def _spread(values: _Floats) -> float:
    """Return how much a garden's values vary from one day to the next, besides what all its plots share.

    A plot that trades its place jumps once; its differences from day to day stay what they are.
    """
    seen = values[~np.isnan(values).all(axis=1)][:, ~np.isnan(values).all(axis=0)]
    by_day = seen - np.nanmedian(seen, axis=0, keepdims=True)
    steps = np.abs(np.diff(by_day, axis=1))
    if np.isnan(steps).all():
        return LEAST_SPREAD
    # The difference of two values varies by the root of two times as much as one.
    return max(MAD_TO_SPREAD * float(np.nanmedian(steps)) / np.sqrt(2), LEAST_SPREAD)


def _gap(ahead: _Floats, turn: int, spread: float) -> float | None:
    """Return by how much a pair's difference changes, None where the two were never far enough apart."""
    before, after = np.nanmedian(ahead[:turn]), np.nanmedian(ahead[turn:])
    if min(abs(before), abs(after)) < RANK_SPREADS * spread:
        return None
    return float(before - after)


CHECKS = (
    SeasonCheck(
        "plots-cross-over",
        "question",
        "harvest",
        "plot",
        _crossing,
        {"date": Say(column("date"), "date"), "plot_b": Say(column("plot_b"))},
    ),
)
