"""Gardens that weigh the bucket too: their weights, followed down to no fruit at all, leave something."""

import polars as pl

from pipeline.checks.lookup import looked_up_by_number, where_known

#: A bucket weighs at least this, must stand out from its own uncertainty by so much, and rows that a line
#: through weights and counts needs. Common practice, no source.
LEAST_KG, SURE, LEAST_ROWS = 0.25, 3.0, 12

#: Counts beyond so many times nearly all of the garden's others take no part in the line. Common practice, no
#: source.
FAR_ABOVE = 2.0

#: Fruits of a picking that is small, and how far above their share the smallest pickings must weigh. Twice
#: the crop's soft top for each fruit would miss half a kilogram under a few eggplants: the garden's own
#: fruits decide. Common practice, no source.
SMALL_PICKING, HEAVY_SMALL = 3, 1.5

#: Doubtful weights of a garden from which it is worth looking for a bucket.
LEAST_DOUBTS = 3


_FRUITS, _KG, _ROWS = pl.col("marketable_count"), pl.col("kg"), pl.col("n")


def buckets(harvest: pl.DataFrame) -> pl.DataFrame:
    """Return the gardens that weigh a bucket: garden_at, fruits and read of small pickings, extra (kg).

    A line goes through the median weight of each number of fruits, weighted by its rows (least squares); the
    uncertainty of its foot is that of weighted regression. Counts far above the others are left out: one with
    a digit too many would turn the line.
    """
    medians = _medians(harvest)
    lines = medians.group_by("garden_at").agg(_LINE).with_columns(_SLOPE).with_columns(_FOOT)
    points = where_known(looked_up_by_number(medians, lines.filter(_STANDS_HIGH), "garden_at"), "extra")
    smallest = points.group_by("garden_at", maintain_order=True).agg(_SMALLEST)
    found = smallest.filter(_WEIGHS_BUCKET)
    return found.select("garden_at", "fruits", "read", "extra")


def _medians(harvest: pl.DataFrame) -> pl.DataFrame:
    """Return the median weight of each number of fruits in each garden, and in how many rows it came."""
    weighed = harvest[["garden_at", "marketable_count", "marketable_weight"]]
    counted = weighed.filter((_FRUITS > 0) & (pl.col("marketable_weight") > 0))
    often = counted.group_by("garden_at").agg((FAR_ABOVE * _FRUITS.quantile(0.95)).alias("most"))
    medians = counted.group_by("garden_at", "marketable_count").agg(
        pl.col("marketable_weight").median().alias("kg"), pl.len().alias("n")
    )
    usual = looked_up_by_number(medians, often, "garden_at").filter(pl.col("most") >= _FRUITS)
    return usual.sort("garden_at", "marketable_count")


def _line() -> list[pl.Expr]:
    """Return what the line of a garden is made of: its rows and counts, their means, squares and products."""
    rows = _ROWS.sum()
    mean, mean_kg = (_FRUITS * _ROWS).sum() / rows, (_KG * _ROWS).sum() / rows
    return [
        rows.alias("rows"),
        pl.len().alias("counts"),
        mean.alias("mean"),
        mean_kg.alias("mean_kg"),
        (_ROWS * (_FRUITS - mean) ** 2).sum().alias("squares"),
        (_ROWS * (_FRUITS - mean) * (_KG - mean_kg)).sum().alias("products"),
    ]


def _smallest() -> list[pl.Expr]:
    """Return the smallest pickings of a garden, its line, and how unsure the foot of the line is."""
    off = _KG - pl.col("extra") - pl.col("slope") * _FRUITS
    variance = (_ROWS * off**2).sum() / (pl.len() - 2)
    by_mean = 1 / _ROWS.sum() + pl.col("mean").first() ** 2 / pl.col("squares").first()
    return [
        _FRUITS.first().alias("fruits"),
        _KG.first().alias("read"),
        pl.col("extra", "slope").first(),
        (variance * by_mean).sqrt().alias("unsure"),
    ]


_LINE, _SMALLEST = _line(), _smallest()
_SLOPE = (pl.col("products") / pl.col("squares")).alias("slope")
_FOOT = (pl.col("mean_kg") - pl.col("slope") * pl.col("mean")).alias("extra")
_STANDS_HIGH = (pl.col("rows") >= LEAST_ROWS) & (pl.col("counts") > 2) & (pl.col("extra") > LEAST_KG)
_IS_HEAVY = pl.col("read") > HEAVY_SMALL * pl.col("slope").clip(0.0) * pl.col("fruits")
_WEIGHS_BUCKET = (pl.col("extra") > SURE * pl.col("unsure")) & (pl.col("fruits") <= SMALL_PICKING) & _IS_HEAVY


def without_bucket_doubts(rows: pl.DataFrame, pool: pl.DataFrame) -> pl.DataFrame:
    """Return harvest rows without doubts about single weights in gardens that weigh the bucket.

    One cause is one question, and that one is asked about the season.
    """
    doubt = pl.col("doubt_marketable_weight")
    doubted = where_known(rows[["garden_at", "doubt_marketable_weight"]], "doubt_marketable_weight")
    if doubted.height < LEAST_DOUBTS:
        return rows
    often = doubted.group_by("garden_at").len().filter(pl.col("len") >= LEAST_DOUBTS)
    if often.is_empty():
        return rows
    weighed = pool[["garden_at", "marketable_count", "marketable_weight"]]
    found = buckets(weighed.join(often, on="garden_at", how="semi"))
    if found.is_empty():
        return rows
    weighs_bucket = pl.col("garden_at").is_in(found["garden_at"].implode())
    return rows.with_columns(pl.when(~weighs_bucket).then(doubt).alias("doubt_marketable_weight"))
