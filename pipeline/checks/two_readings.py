"""Weights whose text fits two numbers, where the count and the crop rule one of them out."""

import polars as pl

from pipeline.checks.usual import COUNT_OF


def with_settled_weights(rows: pl.DataFrame) -> pl.DataFrame:
    """Return harvest rows in which a weight with two readings has the only one that gives a usual fruit."""
    for weight, count in COUNT_OF.items():
        if (rows[f"how_{weight}"] == "two ways").any():
            rows = rows.with_columns(_settled(weight, count, pl.col(f"how_{weight}") == "two ways"))
    return rows


def _settled(weight: str, count: str, two_ways: pl.Expr) -> list[pl.Expr]:
    fits_first, fits_other = (
        (pl.col(f"{which}_{weight}") / pl.col(count)).is_between("each_low_kg", "each_high_kg")
        & (pl.col(count) > 0)
        for which in ("first", "other")
    )
    first, other = two_ways & fits_first & ~fits_other, two_ways & fits_other & ~fits_first
    return [
        pl.when(first)
        .then(f"first_{weight}")
        .when(other)
        .then(f"other_{weight}")
        .otherwise(weight)
        .alias(weight),
        pl.when(first | other).then(pl.lit("read as")).otherwise(f"how_{weight}").alias(f"how_{weight}"),
    ]
