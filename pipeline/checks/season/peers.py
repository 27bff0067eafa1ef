"""The fruits of every picking against those of the other gardens."""

import polars as pl

from pipeline.checks.lookup import looked_up_at, looked_up_by_number

#: Gardens that a picking is held against. Common practice, no source.
LEAST_PEERS = 5

#: Stages as numbers; a picking of a stage that is not known is held against others like it.
_STAGES = pl.Enum(["immature", "mature", "ripe"])

#: More than any number of a month or of a stage.
_MONTHS, _STAGE_NUMBERS = 13, 4


def against_peers(harvest: pl.DataFrame, layout: pl.DataFrame) -> pl.DataFrame:
    """Return counted pickings with their log weight per fruit and how far it is from the other gardens'.

    Columns: garden_at, arm_at, date, month, each (the logarithm), apart, peers_low, peers_high, and the
    unit that the number was read in where it is known. Gardens are compared in the same treatment, stage and
    month; where fewer than five others have rows there, `apart` is null.
    """
    treatment = layout.select(pl.struct("trial", "season", "in_ground").rank("dense").alias("treatment_at"))
    known = ("plot_at", "garden_at", "arm_at", "date", "meant_marketable_weight")
    each = (pl.col("marketable_weight") / pl.col("marketable_count")).log()
    is_counted = (pl.col("marketable_count") > 0) & (pl.col("marketable_weight") > 0)
    fruits = harvest.select(
        *(name for name in known if name in harvest.columns),
        pl.col("date").dt.month().alias("month"),
        _moment().alias("moment"),
        pl.when(is_counted).then(each).alias("each"),
    ).filter(pl.col("each").is_not_null())
    fruits = looked_up_at(fruits, treatment, "plot_at").with_columns(
        _at_moment("treatment_at").alias("cell_at")
    )
    own = fruits.group_by(_at_moment("arm_at")).agg(
        pl.col("cell_at").first(), pl.col("each").median().alias("own")
    )
    peers = own.group_by("cell_at").agg(
        pl.len().alias("gardens"),
        pl.col("own").median().alias("peers"),
        pl.col("own").quantile(0.1).alias("peers_low"),
        pl.col("own").quantile(0.9).alias("peers_high"),
    )
    enough = pl.col("gardens") > LEAST_PEERS
    apart = pl.when(enough).then(pl.col("each") - pl.col("peers")).alias("apart")
    return looked_up_by_number(fruits, peers, "cell_at").with_columns(apart)


def _moment() -> pl.Expr:
    """Return one number for the stage and the month of a picking."""
    stage = pl.col("stage_read").cast(_STAGES).to_physical().cast(pl.Int64)
    return stage.fill_null(_STAGE_NUMBERS - 1) * _MONTHS + pl.col("date").dt.month()


def _at_moment(at: str) -> pl.Expr:
    """Return one number for a group and the moment; it is quicker to group by than three."""
    return pl.col(at).cast(pl.Int64) * (_STAGE_NUMBERS * _MONTHS) + pl.col("moment")
