"""Picking days of a garden as a whole: days on which every plot shows 0, days with many culls in one plot."""

import polars as pl

from pipeline.checks.lookup import looked_up, looked_up_by_number, with_blanks

#: A day of zeros is odd where most plots had fruit within so many days before and after: two weekly pickings.
#: Common practice, no source.
DAYS_BESIDE = 14

#: Days of zeros from which we ask. Common practice, no source.
LEAST_ZERO_DAYS = 2

#: A picking is asked about where this share of at least so many fruits, or so many kilograms, is culled, and
#: the garden's other plots of the day stay under the second share. Common practice, no source.
MANY_CULLS, FEW_CULLS = 0.8, 0.5
CULLS_OF_FRUITS, CULLS_OF_KG = 20, 3.0

_DAY = ["garden_at", "date"]


def with_zero_days(rows: pl.DataFrame, pool: pl.DataFrame) -> pl.DataFrame:
    """Return harvest rows with `is_zero_day`: all plots of the garden show 0 between days full of fruit."""
    zero = (pl.col("marketable_weight") == 0) & (pl.col("marketable_count").fill_null(0) == 0)
    bears = (pl.col("marketable_weight") > 0) | (pl.col("marketable_count") > 0)
    days = (
        pool.filter(pl.col("garden_at").is_not_null() & pl.col("date").is_not_null())
        .group_by(_DAY)
        .agg(pl.len().alias("n"), zero.sum().alias("zeros"), bears.sum().alias("bearing"))
    )
    empty = days.filter((pl.col("zeros") == pl.col("n")) & (pl.col("n") > 1))
    if empty.is_empty():
        return with_blanks(rows, {"is_zero_day": pl.Boolean})
    of_gardens = days.join(empty, on="garden_at", how="semi")
    full = of_gardens.filter(pl.col("bearing") * 2 > pl.col("n")).select(
        "garden_at", pl.col("date").alias("full")
    )
    beside = empty.join(full, on="garden_at", how="inner")
    gap = (pl.col("full") - pl.col("date")).dt.total_days()
    odd = beside.group_by(_DAY).agg(
        (gap.is_between(1, DAYS_BESIDE).any() & gap.is_between(-DAYS_BESIDE, -1).any()).alias("is_zero_day")
    )
    enough = pl.col("is_zero_day").sum().over("garden_at") >= LEAST_ZERO_DAYS
    odd = odd.filter(pl.col("is_zero_day") & enough)
    return looked_up(rows, odd, _DAY)


def with_culls(rows: pl.DataFrame, pool: pl.DataFrame) -> pl.DataFrame:
    """Return harvest rows with `others_culled`, null but for rows with many culls.

    It is the largest share of culls in the garden's other plots that day.
    """
    fruits = pl.col("marketable_count") + pl.col("cull_count")
    kg = pl.col("marketable_weight") + pl.col("cull_weight")
    many = (fruits >= CULLS_OF_FRUITS) & (pl.col("cull_count") > MANY_CULLS * fruits)
    many |= (kg >= CULLS_OF_KG) & (pl.col("cull_weight") > MANY_CULLS * kg)
    found = rows.lazy().filter(many.fill_null(value=False)).select("row", "plot_at", *_DAY).collect()
    if found.is_empty():
        return with_blanks(rows, {"others_culled": pl.Float64})
    share = pl.coalesce(pl.col("cull_count") / fruits, pl.col("cull_weight") / kg)
    shares = pool.select("plot_at", *_DAY, share.alias("share"))
    others = found.join(shares, on=_DAY, how="inner", suffix="_other")
    others = others.filter(pl.col("plot_at") != pl.col("plot_at_other"))
    culled = others.group_by("row").agg(pl.col("share").max().alias("others_culled"))
    return looked_up_by_number(rows, culled, "row")
