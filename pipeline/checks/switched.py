"""Files in which the columns of count and weight are switched."""

import polars as pl

from pipeline.checks.lookup import looked_up_by_number
from pipeline.checks.usual import COUNT_OF

#: Rows, and their share of a file's rows with both values, that must look switched. Common practice,
#: no source.
LEAST_ROWS, LEAST_SHARE = 3, 0.8

_FILE = ["file", "tab"]


def with_switched(rows: pl.DataFrame) -> pl.DataFrame:
    """Return harvest rows with `switched_`, for each weight: count and weight look switched in its file.

    Nearly all rows with both values give a fruit that does not fit the crop as written, and one that fits
    once they are exchanged. `unit_kg_`, kilograms in the unit that the number was read in, must be there.
    """
    for weight, count in COUNT_OF.items():
        found = _switched_rows(rows, weight, count).select(
            "row", pl.lit(value=True).alias(f"switched_{weight}")
        )
        rows = looked_up_by_number(rows, found, "row").with_columns(
            pl.col(f"switched_{weight}").fill_null(value=False)
        )
    return rows


def _switched_rows(rows: pl.DataFrame, weight: str, count: str) -> pl.DataFrame:
    both = (pl.col(weight) > 0) & (pl.col(count) > 0)
    told = rows.select("row", *_FILE, both.alias("both"), _fits_turned(weight, count).alias("turned"))
    if not told["turned"].any():
        return told.clear()
    suspects = told.filter("turned").select(_FILE).unique()
    files = (
        told.join(suspects, on=_FILE, how="semi", nulls_equal=True)
        .group_by(_FILE)
        .agg(pl.col("turned", "both").sum())
        .filter((pl.col("turned") >= LEAST_ROWS) & (pl.col("turned") >= LEAST_SHARE * pl.col("both")))
    )
    return told.filter("turned").join(files, on=_FILE, how="semi", nulls_equal=True)


def _fits_turned(weight: str, count: str) -> pl.Expr:
    """Return whether a row's fruit fits the crop only once its count and its weight are exchanged."""
    kg, fruits = pl.col(weight), pl.col(count)
    band = pl.col("each_low_kg"), pl.col("each_high_kg")
    number = kg / pl.col(f"unit_kg_{weight}")
    turned = fruits * pl.col(f"unit_kg_{weight}") / number
    is_whole = (number - number.round()).abs() < 1e-9
    return (
        (kg > 0) & (fruits > 0) & ~(kg / fruits).is_between(*band) & turned.is_between(*band) & is_whole
    ).fill_null(value=False)
