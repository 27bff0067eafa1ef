"""Files in which the columns of count and weight are switched."""

import polars as pl

from pipeline.checks.lookup import looked_up
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
    turned = rows.select(_FIT_TURNED)
    return rows.hstack([_switched(rows, weight, turned[weight]) for weight in COUNT_OF])


def _switched(rows: pl.DataFrame, weight: str, turned: pl.Series) -> pl.Series:
    """Return the flag of rows that fit turned, in files in which nearly all do."""
    name = f"switched_{weight}"
    if not turned.any():
        return turned.alias(name)
    both = (pl.col(weight) > 0) & (pl.col(COUNT_OF[weight]) > 0)
    files = (
        rows.select(*_FILE, both.alias("both"))
        .hstack([turned.alias("turned")])
        .group_by(_FILE)
        .agg(pl.col("turned", "both").sum())
        .filter((pl.col("turned") >= LEAST_ROWS) & (pl.col("turned") >= LEAST_SHARE * pl.col("both")))
    )
    in_file = looked_up(rows[_FILE], files.select(*_FILE, pl.lit(value=True).alias("all")), _FILE)["all"]
    return (turned & in_file.fill_null(value=False)).alias(name)


def _fits_turned(weight: str, count: str) -> pl.Expr:
    """Return whether a row's fruit fits the crop only once its count and its weight are exchanged."""
    kg, fruits = pl.col(weight), pl.col(count)
    band = pl.col("each_low_kg"), pl.col("each_high_kg")
    number = kg / pl.col(f"unit_kg_{weight}")
    turned = fruits * pl.col(f"unit_kg_{weight}") / number
    is_whole = (number - number.round()).abs() < 1e-9
    fits = (kg > 0) & (fruits > 0) & ~(kg / fruits).is_between(*band) & turned.is_between(*band) & is_whole
    return fits.fill_null(value=False).alias(weight)


_FIT_TURNED = [_fits_turned(weight, count) for weight, count in COUNT_OF.items()]
