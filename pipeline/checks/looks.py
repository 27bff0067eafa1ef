"""What a look at a plot is held against: the look before, replacements since, the other plots that day."""

import polars as pl

from pipeline.checks.lookup import looked_up
from pipeline.checks.plot_history import REPLACED_IN_WORDS, is_planting
from pipeline.checks.usual import spread

#: Plots seen on a day that a height needs to be held against. Common practice, no source.
ENOUGH_PLOTS = 5

#: A spread between plots is never taken for less: a twentieth of the middle. Common practice, no source.
LEAST_SHARE = 0.05

MEASURED = ("height_cm", "width_cm")


def with_looks(rows: pl.DataFrame, pool: pl.DataFrame, planting: pl.DataFrame) -> pl.DataFrame:
    """Return condition rows with the look before and with what is usual that day.

    Added: before_on, before_alive, before_severity (of the day before this one on which somebody looked: the
    most alive, the least sick), replaced_since (a planting row or a note says so), and for heights and widths
    `day_n_`, `day_mid_`, `day_spread_`, `day_low_`, `day_high_` of the garden's plots that day.
    """
    return _with_days(_with_before(rows, pool, planting), pool)


def _with_before(rows: pl.DataFrame, pool: pl.DataFrame, planting: pl.DataFrame) -> pl.DataFrame:
    said = pl.col("note").fill_null("").str.contains(REPLACED_IN_WORDS)
    days = (
        pool.filter(pl.col("plot_at").is_not_null() & pl.col("date").is_not_null())
        .group_by("plot_at", "date")
        .agg(pl.col("alive").max(), pl.col("severity_pct").min(), said.any().alias("replaced"))
        .sort("plot_at", "date")
    )
    # A look that did not count the plants says nothing about how many there were.
    carried = pl.col("alive", "severity_pct").forward_fill().shift(1).over("plot_at").name.prefix("before_")

    def last_day(value: str) -> pl.Expr:
        told = pl.when(pl.col(value).is_not_null()).then("date")
        return told.forward_fill().shift(1).over("plot_at")

    before = days.select(
        *("plot_at", "date", "replaced"),
        carried,
        last_day("alive").alias("counted_on"),
        last_day("severity_pct").alias("scored_on"),
    )
    later = planting.filter(~is_planting() & pl.col("date").is_not_null()).select(
        "plot_at", pl.col("date").alias("replaced_on")
    )
    replaced = (
        before.join(later, on="plot_at", how="inner")
        .filter(pl.col("replaced_on").is_between("counted_on", "date"))
        .select("plot_at", "date", pl.lit(value=True).alias("replanted"))
        .unique()
    )
    return looked_up(looked_up(rows, before, ["plot_at", "date"]), replaced, ["plot_at", "date"])


def _with_days(rows: pl.DataFrame, pool: pl.DataFrame) -> pl.DataFrame:
    by_day = ["garden_at", "date"]
    known = pool.filter(pl.col("garden_at").is_not_null() & pl.col("date").is_not_null())
    usual = []
    for name in MEASURED:
        value = pl.col(name)
        usual += [
            value.count().alias(f"day_n_{name}"),
            value.median().alias(f"day_mid_{name}"),
            pl.max_horizontal(spread(value), LEAST_SHARE * value.median()).alias(f"day_spread_{name}"),
            value.quantile(0.25, "nearest").alias(f"day_low_{name}"),
            value.quantile(0.75, "nearest").alias(f"day_high_{name}"),
        ]
    return looked_up(rows, known.group_by(by_day).agg(usual), by_day)
