"""Plots that were left out when the rest of their block was picked."""

from datetime import date

import numpy as np
import polars as pl

from pipeline.checks.check import Say, column
from pipeline.checks.lookup import looked_up, looked_up_at
from pipeline.checks.season.check import SeasonCheck
from pipeline.checks.season.rows import SeasonRows
from pipeline.checks.usual import DAYS_APART

#: Days around a picking of a block within which its other plots may be picked; such days that a plot must
#: miss, unless they lie in the final days of the trial. Common practice, no source.
DAYS_BESIDE, MISSED_DAYS, FINAL_DAYS = 2, 2, 14

#: Days are counted from here: none is before.
_FIRST_DAY = date.min


def _missing_from_block(rows: SeasonRows) -> pl.DataFrame:
    """Return plots that were not picked, or not around the day, when at least half of their block was."""
    sent = pl.concat([rows.harvest.select("plot_at", "date"), rows.held.select("plot_at", "date")])
    picked = sent.select(_numbered("plot_at")).to_series().unique().sort()
    in_block = rows.plots.select("plot_at", "block_at", "site", "close", "died_on")
    asked = _partly_picked(picked, in_block).join(in_block, on="block_at", how="inner")
    missed = (
        asked.filter(~_is_near(asked.select(_numbered("plot_at")).to_series(), picked))
        # A plot of which nothing was ever sent is another question.
        .join(_read(picked, "plot_at").select("plot_at").unique(), on="plot_at", how="semi")
        .filter((pl.col("died_on") > pl.col("date")).fill_null(value=True))
        .filter(~rows.context.is_away(pl.col("date")))
        .sort("plot_at", "date")
    )
    final = pl.col("date") > pl.col("close").dt.offset_by(f"-{FINAL_DAYS}d")
    return (
        missed.group_by("plot_at", maintain_order=True)
        .agg(pl.col("date").first(), pl.len().alias("n"), final.any().alias("final"))
        .filter((pl.col("n") >= MISSED_DAYS) | pl.col("final"))
    )


def _partly_picked(picked: pl.Series, in_block: pl.DataFrame) -> pl.DataFrame:
    """Return blocks and days on which at least half of a block's plots were picked, and not all."""
    plots = looked_up_at(_read(picked, "plot_at"), in_block.select("block_at"), "plot_at")
    counted = plots.select(_numbered("block_at")).to_series().sort().rle().struct.unnest()
    sizes = in_block.group_by("block_at").agg(pl.len().alias("size"))
    days = looked_up(_read(counted["value"], "block_at").hstack([counted["len"]]), sizes, ["block_at"])
    return days.filter((pl.col("len") < pl.col("size")) & (2 * pl.col("len") >= pl.col("size"))).select(
        "block_at", "date"
    )


def _numbered(at: str) -> pl.Expr:
    """Return one number for a plot, or a block, and a day: one is quicker to sort and to search than two."""
    return pl.col(at).cast(pl.Int64) * DAYS_APART + (pl.col("date") - pl.lit(_FIRST_DAY)).dt.total_days()


def _read(numbers: pl.Series, at: str) -> pl.DataFrame:
    """Return the plot, or the block, and the day that each number stands for."""
    day = pl.lit(_FIRST_DAY) + pl.duration(days=pl.col("number") % DAYS_APART)
    return pl.DataFrame({"number": numbers}).select(
        (pl.col("number") // DAYS_APART).cast(pl.UInt32).alias(at), day.alias("date")
    )


def _is_near(asked: pl.Series, picked: pl.Series) -> pl.Series:
    """Return whether the plot of each number was picked within a few days of it; `picked` ascends."""
    days = np.append(picked.to_numpy(), np.iinfo(np.int64).max)
    first = days[np.searchsorted(days, asked.to_numpy() - DAYS_BESIDE)]
    return pl.Series(first <= asked.to_numpy() + DAYS_BESIDE)


CHECKS = (
    SeasonCheck(
        "plot-missing-from-block",
        "question",
        "harvest",
        "plot",
        _missing_from_block,
        {"date": Say(column("date"), "date"), "block": Say(column("block"))},
    ),
)
