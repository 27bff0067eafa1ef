"""Plots that trade places: from one day on each has the other's rank, as when two tags were traded."""

from collections.abc import Iterator
from dataclasses import dataclass

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

#: Gardens looked at together: memory is bounded by this.
CHUNK = 250

_CASES = {"plot_at": pl.UInt32, "other_at": pl.UInt32, "date": pl.Date, "gap": pl.Float64}
_Floats = npt.NDArray[np.float64]


@dataclass(frozen=True)
class _Gardens:
    """Values of some gardens: (gardens, plots, days), missing where there is none, and what stands where."""

    values: _Floats
    plots: npt.NDArray[np.int64]
    days: npt.NDArray[np.datetime64]


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
    """Yield the logarithms of the values of a few gardens at a time."""
    logs = values.filter(pl.col("value") > 0).with_columns(pl.col("value").log())
    table = logs.group_by("garden_at", "plot_at", "date").agg(pl.col("value").mean())
    numbered = table.with_columns(
        pl.col("plot_at").rank("dense").over("garden_at").cast(pl.Int64).alias("plot") - 1,
        pl.col("date").rank("dense").over("garden_at").cast(pl.Int64).alias("day") - 1,
    )
    enough = (pl.col("plot").max().over("garden_at") > 0) & (
        pl.col("day").max().over("garden_at") >= 2 * RANKED_PICKINGS - 1
    )
    kept = numbered.filter(enough).with_columns(
        pl.col("garden_at").rank("dense").cast(pl.Int64).alias("garden") - 1
    )
    for _, part in kept.sort("garden").group_by(pl.col("garden") // CHUNK, maintain_order=True):
        at = (part["garden"] % CHUNK).to_numpy(), part["plot"].to_numpy(), part["day"].to_numpy()
        shape = tuple(int(where.max()) + 1 for where in at)
        gardens = _Gardens(
            np.full(shape, np.nan),
            np.zeros(shape[:2], np.int64),
            np.full((shape[0], shape[2]), np.datetime64("NaT", "D"), "datetime64[D]"),
        )
        gardens.values[at] = part["value"].to_numpy()
        gardens.plots[at[0], at[1]] = part["plot_at"].to_numpy()
        gardens.days[at[0], at[2]] = part["date"].to_numpy()
        yield gardens


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
        day = gardens.days[garden, turn[garden, best]].item()
        names = gardens.plots[garden]
        yield int(names[first]), int(names[second]), day, abs(gaps[best])


def _single_turns(ahead: _Floats) -> tuple[npt.NDArray[np.bool_], npt.NDArray[np.int64]]:
    """Return which pairs change ranks exactly once, with enough pickings on either side, and on which day.

    `ahead` is (gardens, pairs, days); a day on which one of the two was not picked, or both gave the same,
    says nothing.
    """
    before = np.zeros(ahead.shape[:2])
    turns, since, until = (np.zeros(ahead.shape[:2], np.int64) for _ in range(3))
    turn = np.zeros(ahead.shape[:2], np.int64)
    for day in range(ahead.shape[2]):
        sign = np.nan_to_num(np.sign(ahead[:, :, day]))
        turned = (sign != 0) & (before != 0) & (sign != before)
        turns += turned
        turn = np.where(turned, day, turn)
        until = np.where(turned, since, until)
        since = np.where(turned, 1, since + (sign != 0))
        before = np.where(sign != 0, sign, before)
    return (turns == 1) & (until >= RANKED_PICKINGS) & (since >= RANKED_PICKINGS), turn


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
