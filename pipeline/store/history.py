"""What new rows mean for rows that are already kept: new, revised, unchanged or held.

Pure: frames in, a decision for every new row out. Nothing is replaced here.
"""

from dataclasses import dataclass

import polars as pl

from pipeline.intake.sheets import Sheet

#: Parts of a key are joined by the unit separator, which no spreadsheet cell holds.
_JOINT = "\x1f"


@dataclass(frozen=True)
class Decision:
    """What becomes of the rows of one batch.

    `entered` are rows to keep as they are (used or held); `left` the identifiers of kept rows that a newer
    one takes the place of; the counts are of rows read.
    """

    entered: pl.DataFrame
    left: list[int]
    new: int
    revised: int
    unchanged: int
    held: int


def with_keys(sheet: Sheet, rows: pl.DataFrame) -> pl.DataFrame:
    """Return the rows with `key`, null where the row cannot be placed or is held."""
    parts = [_key_part(sheet, name) for name in sheet.key]
    season = [pl.col("season").fill_null("")] if sheet.of_kind("plot") and "plot" in sheet.required else []
    key = pl.concat_str([*season, *parts], separator=_JOINT)
    return rows.with_columns(pl.when(~pl.col("is_held")).then(key).alias("key"))


def _key_part(sheet: Sheet, name: str) -> pl.Expr:
    kind = next(column.kind for column in sheet.columns if column.name == name)
    if kind == "date":
        return pl.col(name).dt.to_string("iso")
    if kind == "count":
        # A plot picked once a day needs no picking number, so a blank one is the first.
        return pl.col(name).fill_null(1).cast(pl.Int64, strict=False).cast(pl.String).fill_null("")
    return pl.col(name).fill_null("").str.to_lowercase().str.strip_chars()


def decide(sheet: Sheet, rows: pl.DataFrame, kept: pl.DataFrame) -> Decision:
    """Return what becomes of `rows`, given the rows that count now.

    `rows` have `key` and `is_held`; `kept` has `row_id`, `key` and the sheet's columns. Of several equal
    keys in one batch the last file's last line counts: later files are newer.
    """
    values = [name for name in sheet.column_names if name not in sheet.key]
    held = rows.filter(pl.col("is_held"))
    usable = rows.filter(~pl.col("is_held"))
    newest = usable.unique("key", keep="last", maintain_order=True)
    before = kept.select(
        "key", pl.col("row_id").alias("kept_row_id"), *[pl.col(name).alias(f"kept_{name}") for name in values]
    )
    joined = newest.join(before, on="key", how="left", maintain_order="left")
    is_kept = pl.col("kept_row_id").is_not_null()
    same = pl.all_horizontal([pl.col(name).eq_missing(pl.col(f"kept_{name}")) for name in values])
    changed = joined.filter(is_kept & ~same)
    fresh = joined.filter(~is_kept)
    entered = pl.concat([held, fresh.select(rows.columns), changed.select(rows.columns)])
    return Decision(
        entered=entered.sort("file", "line", maintain_order=True),
        left=changed["kept_row_id"].to_list(),
        new=fresh.height,
        revised=changed.height,
        unchanged=usable.height - fresh.height - changed.height,
        held=held.height,
    )
