"""Gardens that weigh the bucket too: their weights, followed down to no fruit at all, leave something."""

import polars as pl

from pipeline.checks.lookup import looked_up

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


def buckets(harvest: pl.DataFrame) -> pl.DataFrame:
    """Return the gardens that weigh a bucket: garden_at, fruits and read of small pickings, extra (kg).

    A line goes through the median weight of each number of fruits, weighted by its rows (least squares); the
    uncertainty of its foot is that of weighted regression. Counts far above the others are left out: one with
    a digit too many would turn the line.
    """
    weighed = harvest.select("garden_at", "marketable_count", "marketable_weight")
    counted = weighed.filter((pl.col("marketable_count") > 0) & (pl.col("marketable_weight") > 0))
    most = FAR_ABOVE * pl.col("marketable_count").quantile(0.95)
    often = counted.group_by("garden_at").agg(most.alias("most"))
    medians = counted.group_by("garden_at", "marketable_count").agg(
        pl.col("marketable_weight").median().alias("kg"), pl.len().alias("n")
    )
    medians = (
        looked_up(medians, often, ["garden_at"])
        .filter(pl.col("marketable_count") <= pl.col("most"))
        .sort("garden_at", "marketable_count")
    )
    fruits, kg, n = pl.col("marketable_count"), pl.col("kg"), pl.col("n")
    mean_x, mean_y = (fruits * n).sum() / n.sum(), (kg * n).sum() / n.sum()
    squares = (n * (fruits - mean_x) ** 2).sum()
    slope = (n * (fruits - mean_x) * (kg - mean_y)).sum() / squares
    foot = mean_y - slope * mean_x
    off = kg - foot - slope * fruits
    variance = (n * off**2).sum() / (pl.len() - 2)
    lines = medians.group_by("garden_at").agg(
        n.sum().alias("rows"),
        slope.clip(0.0).alias("slope"),
        foot.alias("extra"),
        (variance * (1 / n.sum() + mean_x**2 / squares)).sqrt().alias("unsure"),
        pl.len().alias("counts"),
    )
    sure = lines.filter(
        (pl.col("rows") >= LEAST_ROWS)
        & (pl.col("counts") > 2)
        & (pl.col("extra") > LEAST_KG)
        & (pl.col("extra") > SURE * pl.col("unsure"))
    )
    smallest = medians.unique("garden_at", keep="first", maintain_order=True)
    few = looked_up(smallest.join(sure, on="garden_at", how="semi"), sure, ["garden_at"])
    heavy = few.filter((fruits <= SMALL_PICKING) & (kg > HEAVY_SMALL * pl.col("slope") * fruits))
    return heavy.select("garden_at", fruits.alias("fruits"), kg.alias("read"), "extra")


def without_bucket_doubts(rows: pl.DataFrame, pool: pl.DataFrame) -> pl.DataFrame:
    """Return harvest rows without doubts about single weights in gardens that weigh the bucket.

    One cause is one question, and that one is asked about the season.
    """
    doubt = pl.col("doubt_marketable_weight")
    doubted = rows.select("garden_at", doubt).drop_nulls()
    suspects = doubted.group_by("garden_at").agg(pl.len().alias("n")).filter(pl.col("n") >= LEAST_DOUBTS)
    if suspects.is_empty():
        return rows
    weighed = pool.select("garden_at", "marketable_count", "marketable_weight")
    found = buckets(weighed.join(suspects, on="garden_at", how="semi"))
    if found.is_empty():
        return rows
    weighs_bucket = pl.col("garden_at").is_in(found["garden_at"].implode())
    return rows.with_columns(pl.when(~weighs_bucket).then(doubt).alias("doubt_marketable_weight"))
