"""Picking days of a garden as a whole: days on which every plot shows 0, days with many culls in one plot."""

import polars as pl

from pipeline.checks.lookup import looked_up, looked_up_by_number, where_known, with_blanks
from pipeline.checks.usual import COUNT_OF

#: The rate at which fruits were picked before a day of zeros, and after it, is that of so many days: three
#: weekly pickings. Common practice, no source.
DAYS_BESIDE = 21

#: A day of zeros counts where a fruit was more likely than none; days of zeros are odd where so many fruits
#: were to be expected on them together. By Poisson's distribution none at all then has a chance of exp(-7), 1
#: in 1,000.
LEAST_EXPECTED, EXPECTED_FRUITS = 1.0, 7.0

#: Days of zeros from which we ask. Common practice, no source.
LEAST_ZERO_DAYS = 2

#: A picking is asked about where this share of at least so many fruits, or so many kilograms, is culled, and
#: the garden's other plots of the day stay under the second share. Common practice, no source.
MANY_CULLS, FEW_CULLS = 0.8, 0.5
CULLS_OF_FRUITS, CULLS_OF_KG = 20, 3.0

_DAY = ["garden_at", "date"]
_LOOKED_AT = [*_DAY, "marketable_count", "marketable_weight", "each_low_kg", "each_high_kg"]

#: Whether a picking shows 0, and how many fruits it gave; those that nobody counted are told by their weight.
_IS_ZERO = (pl.col("marketable_weight") == 0) & (pl.col("marketable_count").fill_null(0) == 0)
_USUAL_KG = (pl.col("each_low_kg") * pl.col("each_high_kg")).sqrt()
_PICKED = pl.coalesce("marketable_count", pl.col("marketable_weight") / _USUAL_KG)

_FRUITS = pl.col("marketable_count") + pl.col("cull_count")
_KG = pl.col("marketable_weight") + pl.col("cull_weight")
_CULLED = pl.coalesce(pl.col("cull_count") / _FRUITS, pl.col("cull_weight") / _KG)
_HAS_MANY_CULLS = ((_FRUITS >= CULLS_OF_FRUITS) & (pl.col("cull_count") > MANY_CULLS * _FRUITS)) | (
    (_KG >= CULLS_OF_KG) & (pl.col("cull_weight") > MANY_CULLS * _KG)
)


def with_zero_days(rows: pl.DataFrame, pool: pl.DataFrame) -> pl.DataFrame:
    """Return harvest rows with `is_zero_day`: all plots of the garden show 0 though fruit was to be expected.

    What was to be expected on a day grew since the picking day before, at the lower of the rates at which
    fruits were picked before and after.
    """
    known = where_known(where_known(pool[_LOOKED_AT], "garden_at"), "date")
    suspects = known.filter(_IS_ZERO).group_by(_DAY).len().filter(pl.col("len") > 1)
    if suspects.is_empty():
        return with_blanks(rows, {"is_zero_day": pl.Boolean})
    days = (
        known.join(suspects, on="garden_at", how="semi")
        .group_by(_DAY)
        .agg(pl.len().alias("n"), _IS_ZERO.sum().alias("zeros"), _PICKED.sum().alias("fruits"))
    )
    empty = days.filter((pl.col("zeros") == pl.col("n")) & (pl.col("n") > 1))
    if empty.is_empty():
        return with_blanks(rows, {"is_zero_day": pl.Boolean})
    expected = _expected(empty.select(_DAY), days.sort(_DAY)).filter(pl.col("expected") >= LEAST_EXPECTED)
    of_garden = pl.col("expected").sum().over("garden_at"), pl.len().over("garden_at")
    odd = expected.filter((of_garden[0] >= EXPECTED_FRUITS) & (of_garden[1] >= LEAST_ZERO_DAYS))
    return looked_up(rows, odd.select(*_DAY, pl.lit(value=True).alias("is_zero_day")), _DAY)


def _expected(empty: pl.DataFrame, days: pl.DataFrame) -> pl.DataFrame:
    """Return how many fruits were to be expected on each of some days among all, which are sorted."""
    grown = (pl.col("date") - pl.col("date").shift()).dt.total_days().over("garden_at").alias("grown")
    beside = empty.join(days.with_columns(grown), on="garden_at", how="inner", suffix="_beside")
    apart = (pl.col("date_beside") - pl.col("date")).dt.total_days()
    bears = pl.col("fruits") > 0
    rates = [
        pl.col("fruits").filter(near).sum() / apart.abs().filter(near & bears).max()
        for near in (apart.is_between(-DAYS_BESIDE, -1), apart.is_between(1, DAYS_BESIDE))
    ]
    found = beside.group_by(_DAY).agg(
        *(rate.alias(name) for rate, name in zip(rates, ("before", "after"), strict=True)),
        pl.col("grown").filter(apart == 0).first(),
    )
    # Without fruit on both sides the season has not begun or is over.
    lower = pl.when(pl.col("before").is_not_null() & pl.col("after").is_not_null()).then(
        pl.min_horizontal("before", "after")
    )
    return found.select(*_DAY, (lower * pl.col("grown")).alias("expected"))


def with_culls(rows: pl.DataFrame, pool: pl.DataFrame) -> pl.DataFrame:
    """Return harvest rows with `others_culled`, null but for rows with many culls.

    It is the largest share of culls in the garden's other plots that day.
    """
    found = rows[["row", "plot_at", *_DAY, *COUNT_OF, *COUNT_OF.values()]].filter(_HAS_MANY_CULLS)
    if found.is_empty():
        return with_blanks(rows, {"others_culled": pl.Float64})
    found = found[["row", "plot_at", *_DAY]]
    shares = pool.select("plot_at", *_DAY, _CULLED.alias("share"))
    others = found.join(shares, on=_DAY, how="inner", suffix="_other")
    others = others.filter(pl.col("plot_at") != pl.col("plot_at_other"))
    culled = others.group_by("row").agg(pl.col("share").max().alias("others_culled"))
    return looked_up_by_number(rows, culled, "row")
