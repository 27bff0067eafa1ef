"""What is known of each plot from all sheets: when it was planted and with how many plants, when it died."""

import numpy as np
import polars as pl

from pipeline.checks.lookup import looked_up_by_number, where_known
from pipeline.checks.pool import Pools

#: Events of a planting sheet that add to a plot already planted.
_LATER_EVENTS = ("replaced", "replacement", "thinned", "replanted", "reemplazada", "reemplazadas", "raleada")

_PLANTED = {
    "plot_at": pl.UInt32,
    "planted_on": pl.Date,
    "planted_plants": pl.Float64,
    "is_sown": pl.Boolean,
}

#: How a note says that plants were replaced, in English and Spanish.
REPLACED_IN_WORDS = r"(?i)\b(?:re-?plac|re-?plant|reempla|repuest|resembr|replant)"

#: How people write that seed was sown in place.
_SOWN = ("sown", "seeded", "direct", "direct seeded", "sembrada", "siembra", "siembra directa")


def is_planting() -> pl.Expr:
    """Return whether a row of a planting sheet is about the first planting of its plot."""
    event = pl.col("event").str.to_lowercase().str.strip_chars()
    return (
        ~event.fill_null("").is_in(_LATER_EVENTS)
        & ~pl.col("note").fill_null("").str.contains(REPLACED_IN_WORDS)
        & pl.col("date").is_not_null()
    )


def plot_histories(pools: Pools) -> pl.DataFrame:
    """Return one row for each plot of which any sheet tells something.

    Columns: plot_at, planted_on, planted_plants, is_sown, died_on (the first day without a living plant after
    which none was seen alive again), first_picked (with fruit). The first planting counts; later rows that
    replace plants leave the number planted alone.
    """
    parts = [
        _plantings(pools.of("planting")),
        _deaths(pools.of("condition")),
        first_pickings(pools.of("harvest")),
    ]
    known = [where_known(part, "plot_at")["plot_at"].to_numpy() for part in parts]
    plots = pl.DataFrame({"plot_at": np.unique(np.concatenate(known))}, schema={"plot_at": pl.UInt32})
    for part in parts:
        plots = looked_up_by_number(plots, part, "plot_at")
    return plots


def _plantings(planting: pl.DataFrame) -> pl.DataFrame:
    if planting.is_empty():
        return pl.DataFrame(schema=_PLANTED)
    first = planting.filter(is_planting()).sort("plot_at", "date")
    how = pl.col("how").str.to_lowercase().str.strip_chars()
    return first.group_by("plot_at", maintain_order=True).agg(
        pl.col("date").first().alias("planted_on"),
        pl.col("plants").drop_nulls().first().alias("planted_plants"),
        how.is_in(_SOWN).fill_null(value=False).first().alias("is_sown"),
    )


def _deaths(condition: pl.DataFrame) -> pl.DataFrame:
    if condition.is_empty():
        return pl.DataFrame(schema={"plot_at": pl.UInt32, "died_on": pl.Date})
    lived = pl.col("date").filter(pl.col("alive") > 0).max().over("plot_at")
    dead = (pl.col("alive") == 0) & ((pl.col("date") > lived) | lived.is_null())
    return condition.filter(dead).group_by("plot_at").agg(pl.col("date").min().alias("died_on"))


def first_pickings(harvest: pl.DataFrame) -> pl.DataFrame:
    """Return the first day on which each plot gave fruit: plot_at, first_picked."""
    picked = harvest[["plot_at", "date", "marketable_weight", "marketable_count"]]
    bearing = picked.filter((pl.col("marketable_weight") > 0) | (pl.col("marketable_count") > 0))
    return bearing.group_by("plot_at").agg(pl.col("date").min().alias("first_picked"))
