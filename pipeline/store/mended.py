"""The same row mended: a row that comes back with one cell of its key put right."""

from collections.abc import Sequence

import polars as pl

from pipeline.intake.sheets import Sheet


def mended_rows(sheet: Sheet, fresh: pl.DataFrame, lacking: pl.DataFrame) -> pl.DataFrame:
    """Return the pairs in which a fresh row is a lacking one mended: row, row_id.

    `fresh` are rows that nobody sent before (row, file and the sheet's columns); `lacking` are rows that
    count and that a continuing file lacks (row_id, file and the sheet's columns). A pair is equal in all but
    one cell of the key, not everything in it is zero, and neither side has a second partner: where two rows
    fit, nobody can tell which was meant.
    """
    values = [name for name in sheet.column_names if name not in sheet.key]
    something = fresh.filter(_is_something(sheet))
    pairs = something.join(lacking, on=["file", *values], how="inner", suffix="_before", nulls_equal=True)
    one_cell = pairs.filter(_cells_that_differ(sheet.key) == 1).select("row", "row_id")
    alone = pl.col("row").is_duplicated().not_() & pl.col("row_id").is_duplicated().not_()
    return one_cell.filter(alone)


def _is_something(sheet: Sheet) -> pl.Expr:
    """Return whether a row holds anything besides zeros and blanks."""
    numbers = [
        pl.col(column.name).fill_null(0) != 0
        for column in sheet.columns
        if column.kind in ("count", "number", "percent", "length", "weight") and not column.in_key
    ]
    texts = [
        pl.col(column.name).is_not_null()
        for column in sheet.columns
        if column.kind in ("text", "choice") and not column.in_key
    ]
    return pl.any_horizontal(*numbers, *([] if numbers else texts))


def _cells_that_differ(key: Sequence[str]) -> pl.Expr:
    return pl.sum_horizontal(
        [pl.col(name).ne_missing(pl.col(f"{name}_before")).cast(pl.UInt8) for name in key]
    )
