"""The fruits of every picking against those of the other gardens."""

import polars as pl

from pipeline.checks.lookup import looked_up, looked_up_at

#: Gardens that a picking is held against. Common practice, no source.
LEAST_PEERS = 5

_CELL = ["trial_at", "in_ground", "stage_read", "month"]


def against_peers(harvest: pl.DataFrame, layout: pl.DataFrame) -> pl.DataFrame:
    """Return counted pickings with their log weight per fruit and how far it is from the other gardens'.

    Columns: garden_at, in_ground, date, month, each (the logarithm), apart, peers_low, peers_high, and the
    unit that the number was read in where it is known. Gardens are compared in the same treatment, stage and
    month; where fewer than five others have rows there, `apart` is null.
    """
    trial = layout.select("in_ground", pl.struct("trial", "season").rank("dense").alias("trial_at"))
    known = ("plot_at", "garden_at", "date", "stage_read", "meant_marketable_weight")
    each = (pl.col("marketable_weight") / pl.col("marketable_count")).log()
    is_counted = (pl.col("marketable_count") > 0) & (pl.col("marketable_weight") > 0)
    fruits = harvest.select(
        *(name for name in known if name in harvest.columns),
        pl.col("date").dt.month().alias("month"),
        pl.when(is_counted).then(each).alias("each"),
    ).filter(pl.col("each").is_not_null())
    fruits = looked_up_at(fruits, trial, "plot_at")
    own = fruits.group_by(*_CELL, "garden_at").agg(pl.col("each").median().alias("own"))
    peers = own.group_by(_CELL).agg(
        pl.len().alias("gardens"),
        pl.col("own").median().alias("peers"),
        pl.col("own").quantile(0.1).alias("peers_low"),
        pl.col("own").quantile(0.9).alias("peers_high"),
    )
    enough = pl.col("gardens") > LEAST_PEERS
    apart = pl.when(enough).then(pl.col("each") - pl.col("peers")).alias("apart")
    return looked_up(fruits, peers, _CELL).with_columns(apart)
