"""Plots that trade places: from one day on each has the other's rank, as when two tags were traded."""

from collections.abc import Iterator

import numpy as np
import polars as pl

from pipeline.checks.check import Say, column
from pipeline.checks.lookup import looked_up
from pipeline.checks.season.check import SeasonCheck
from pipeline.checks.season.rows import SeasonRows
from pipeline.checks.usual import MAD_TO_SPREAD

#: Pickings before and after a day on which two plots trade ranks, and robust spreads between the plots on
#: either side. Common practice, no source.
RANKED_PICKINGS, RANK_SPREADS = 3, 3.0


def _crossing(rows: SeasonRows) -> pl.DataFrame:
    """Return pairs of plots of a garden that take each other's rank from one day on, and keep it."""
    weights = rows.harvest.filter(pl.col("marketable_weight") > 0).select(
        *("garden_at", "plot_at", "date"),
        (pl.col("marketable_weight") / pl.col("plants")).log().alias("value"),
    )
    heights = rows.condition.filter(pl.col("height_cm") > 0).select(
        "garden_at", "plot_at", "date", pl.col("height_cm").log().alias("value")
    )
    found = [case for frame in (weights, heights) for case in _crossings(frame)]
    schema = {"plot_at": pl.UInt32, "other_at": pl.UInt32, "date": pl.Date, "gap": pl.Float64}
    cases = pl.DataFrame(found, schema=schema, orient="row").unique(
        ["plot_at", "other_at"], keep="first", maintain_order=True
    )
    names = rows.plots.select(pl.col("plot_at").alias("other_at"), pl.col("layout_plot").alias("plot_b"))
    return looked_up(cases, names, ["other_at"]).sort("plot_at", "other_at")


def _crossings(values: pl.DataFrame) -> Iterator[tuple[int, int, object, float]]:
    """Yield plot, other plot, day and gap for each garden in which two plots trade ranks."""
    table = values.group_by("garden_at", "plot_at", "date").agg(pl.col("value").mean())
    for _, garden in table.sort("garden_at", "plot_at", "date").group_by("garden_at", maintain_order=True):
        days = garden["date"].unique().sort()
        if len(days) < 2 * RANKED_PICKINGS or garden["plot_at"].n_unique() < 2:
            continue
        wide = garden.pivot("date", index="plot_at", values="value").select("plot_at", *map(str, days))
        case = _largest_crossing(wide.drop("plot_at").to_numpy())
        if case is not None:
            one, two, at, gap = case
            plots = wide["plot_at"]
            yield plots[one], plots[two], days[at], gap


def _largest_crossing(values: np.ndarray) -> tuple[int, int, int, float] | None:
    """Return the two plots (rows) that trade ranks, the day (column) and the gap; None where none do.

    Of the plots between the two some cross as well: the pair with the largest gap is the one that traded.
    Where half of all pairs cross on one day, it is the season that turned.
    """
    centred = values - np.nanmedian(values, axis=0, keepdims=True)
    rest = centred - np.nanmedian(centred, axis=1, keepdims=True)
    spread = MAD_TO_SPREAD * float(np.nanmedian(np.abs(rest)))
    pairs = [
        (one, two, *crossing)
        for one in range(len(values))
        for two in range(one + 1, len(values))
        if (crossing := _pair_crossing(values[one] - values[two], max(spread, 0.02))) is not None
    ]
    most = len(values) * (len(values) - 1) / 4
    if not pairs or (len(pairs) >= most and len(values) > 3):
        return None
    one, two, at, gap, first_ahead = max(pairs, key=lambda pair: (pair[3], -pair[0], -pair[1]))
    return (one, two, at, gap) if first_ahead else (two, one, at, gap)


def _pair_crossing(ahead: np.ndarray, spread: float) -> tuple[int, float, bool] | None:
    """Return from which day on the other plot is ahead, by how much less than before, and who was."""
    seen = np.flatnonzero(~np.isnan(ahead) & (ahead != 0))
    signs = np.sign(ahead[seen])
    turns = np.flatnonzero(signs[1:] != signs[:-1]) + 1
    if len(turns) != 1 or not RANKED_PICKINGS <= turns[0] <= len(seen) - RANKED_PICKINGS:
        return None
    before, after = np.median(ahead[seen[: turns[0]]]), np.median(ahead[seen[turns[0] :]])
    if min(abs(before), abs(after)) < RANK_SPREADS * spread:
        return None
    return int(seen[turns[0]]), float(abs(before - after)), bool(before > 0)


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
