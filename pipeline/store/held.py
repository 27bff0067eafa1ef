"""Rows on hold that come back: by their key, by their line, or by their values."""

import polars as pl

from pipeline.intake.sheets import NUMBER_KINDS, Sheet
from pipeline.store.kept import Kept, with_kinship


def held_rows_back(sheet: Sheet, new: pl.DataFrame, kept: Kept, continued: pl.DataFrame) -> pl.DataFrame:
    """Return the kept rows on hold that a new row brings back: row_id, row, is_same.

    A row on hold comes back by its key in a file of the same chain or sender, by its line in a file that
    continues its own, or by its values, sent with a usable key that agrees with its own in the day, or in
    the plot where the day was wrong, by the same sender. `is_same` tells a row that
    is still on hold and says what it said before. A row that somebody decided about comes back only so: the
    decision holds until the garden sends something else.
    """
    held = kept.rows.filter((pl.col("state") == "held") | pl.col("is_decided")).rename(
        {"sender": "sender_before", "sent": "sent_before", "site": "site_before"}
    )
    before = held.select(
        "row_id",
        "key",
        "sheet_id",
        "line",
        "chain",
        "sender_before",
        "sent_before",
        "is_decided",
        *_values(sheet),
        *(pl.col(name).alias(f"{name}_before") for name in ("date", "plot") if name in sheet.key),
    )
    sent = new.drop("sheet_id", strict=False)
    pairs = [
        _by_key(sent, before, continued),
        _by_line(sent, before, kept, continued),
        _by_values(sheet, sent, before),
    ]
    columns = ["row_id", "row", "is_held", "is_decided", "sent", "sent_before"]
    found = pl.concat([pair.select(columns) for pair in pairs])
    same = pl.col("is_held") & (pl.col("sent") == pl.col("sent_before"))
    back = found.with_columns(same.alias("is_same")).filter(pl.col("is_same") | ~pl.col("is_decided"))
    return back.unique("row_id", keep="first", maintain_order=True).select("row_id", "row", "is_same")


def _values(sheet: Sheet) -> list[pl.Expr]:
    return [pl.col(name).alias(f"{name}_before") for name in sheet.column_names if name not in sheet.key]


def _by_key(new: pl.DataFrame, before: pl.DataFrame, continued: pl.DataFrame) -> pl.DataFrame:
    pairs = new.join(before.drop("line", "sheet_id"), on="key", how="inner")
    return with_kinship(pairs, continued).filter(pl.col("kinship") < 2)


def _by_line(new: pl.DataFrame, before: pl.DataFrame, kept: Kept, continued: pl.DataFrame) -> pl.DataFrame:
    followed = continued.select("file", "chain").unique().join(kept.chains, on="chain")
    lines = new.join(followed.select("file", "sheet_id").unique(), on="file", how="inner")
    return lines.join(before.drop("key", "chain"), on=["sheet_id", "line"], how="inner")


def _by_values(sheet: Sheet, new: pl.DataFrame, before: pl.DataFrame) -> pl.DataFrame:
    """Return pairs with equal values of one sender and of the same day.

    Blanks and zeros alone are equal to too much, and so is one fruit of one weight on any day.
    """
    values = [name for name in sheet.column_names if name not in sheet.key]
    measured = [name for name in sheet.of_kind(*NUMBER_KINDS) if name in values]
    something = pl.any_horizontal(
        [pl.col(name).fill_null(0) != 0 for name in measured] or [pl.lit(value=False)]
    )
    usable = new.filter(~pl.col("is_held") & (pl.col("sender") != "") & something)
    pairs = usable.join(
        before.drop("key", "line", "sheet_id", "chain"),
        left_on=["sender", *values],
        right_on=["sender_before", *(f"{name}_before" for name in values)],
        how="inner",
        nulls_equal=True,
    )
    day, before_day = pl.col("date"), pl.col("date_before")
    same_day = day == before_day
    if "plot" in sheet.key:
        # A day that could not be read, or whose year was wrong, is told by the plot.
        year_off = before_day.dt.replace(year=day.dt.year()) == day
        same_day |= (pl.col("plot") == pl.col("plot_before")) & (before_day.is_null() | year_off)
    return pairs.filter(same_day)
