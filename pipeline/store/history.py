"""What new rows mean for rows that are already kept.

Pure: frames in, a decision for every new row out. Nothing that was sent is changed or removed; a row that a
newer one takes the place of is left, and the newer one is named beside it.
"""

from dataclasses import dataclass

import polars as pl

from pipeline.intake.sheets import Sheet
from pipeline.store.continuing import continued_heads, lacking_keys
from pipeline.store.held import held_rows_back
from pipeline.store.kept import Kept, with_kinship
from pipeline.store.mended import mended_rows

#: Parts of a key are joined by the unit separator, which no spreadsheet cell holds.
_JOINT = "\x1f"


@dataclass(frozen=True)
class Decision:
    """What becomes of the rows of one wave of files.

    `entered`: rows to keep, with their `state`. `left`: row_id, the `row` that takes its place, and `why`:
    revised, mended, held again. `lacking`: file, row_id of rows that go on counting though a file that
    continues theirs lacks them. `parts`: file, site and the chain that it goes on with, null where it begins
    one. `continued`: file, site, chain for every chain that a part goes on with. `seen`: row_id of the kept
    rows that came again, as they were or changed.

    Every row read is counted once: new, revised, unchanged or held.
    """

    entered: pl.DataFrame
    left: pl.DataFrame
    lacking: pl.DataFrame
    parts: pl.DataFrame
    continued: pl.DataFrame
    seen: pl.Series
    new: int
    revised: int
    unchanged: int
    held: int


def with_keys(sheet: Sheet, rows: pl.DataFrame) -> pl.DataFrame:
    """Return the rows with `key`, null where a cell that the key needs is not known; such a row is held."""
    parts = [_key_part(sheet, name) for name in sheet.key]
    by_season = [pl.col("season")] if "plot" in sheet.required else []
    known = pl.all_horizontal([pl.col(name).is_not_null() for name in sheet.key if name in sheet.required])
    key = pl.when(known).then(pl.concat_str([*by_season, *parts], separator=_JOINT))
    return rows.with_columns(key.alias("key")).with_columns(pl.col("is_held") | pl.col("key").is_null())


def _key_part(sheet: Sheet, name: str) -> pl.Expr:
    kind = next(column.kind for column in sheet.columns if column.name == name)
    if kind == "date":
        return pl.col(name).dt.to_string("iso")
    if kind == "count":
        # A plot picked once a day needs no picking number, so a blank one is the first.
        return pl.col(name).fill_null(1).cast(pl.Int64, strict=False).cast(pl.String).fill_null("")
    return pl.col(name).fill_null("").str.to_lowercase().str.strip_chars()


def decide(sheet: Sheet, new: pl.DataFrame, kept: Kept) -> Decision:
    """Return what becomes of the rows of one wave: at most one file for each garden and kind of sheet.

    `new` has row, file, line, site, key, is_held, sender, sent and the sheet's columns.
    """
    usable = new.filter(~pl.col("is_held"))
    continued = continued_heads(usable, kept.heads)
    # A copy of a row in the same file is the row itself.
    once = usable.unique(["file", "key"], keep="first", maintain_order=True)
    fates = _fates(sheet, once, kept, continued)
    lacking = _lacking(sheet, usable, kept, continued)
    mended = mended_rows(sheet, fates.filter(pl.col("fate") == "new").drop("row_id"), lacking)
    back = held_rows_back(sheet, new, kept, continued)
    left = _left(new, fates, mended, back)
    entered = _entered(new, fates, back)
    counts = fates.group_by("fate").len()
    count = dict(zip(counts["fate"], counts["len"], strict=True))
    fresh = count.get("new", 0) + count.get("waits", 0) - mended.height
    revised = count.get("revised", 0) + mended.height
    return Decision(
        entered=entered,
        left=left,
        lacking=lacking.filter(~pl.col("row_id").is_in(left["row_id"].implode())).select("file", "row_id"),
        parts=_parts(usable, continued),
        continued=continued.select("file", "site", "chain"),
        seen=fates["row_id"].drop_nulls(),
        new=fresh,
        revised=revised,
        unchanged=usable.height - fresh - revised,
        held=new.height - usable.height,
    )


def _fates(sheet: Sheet, once: pl.DataFrame, kept: Kept, continued: pl.DataFrame) -> pl.DataFrame:
    """Return the usable rows with their fate (new, unchanged, revised, waits) and the kept row it is about.

    A row of the chain that the file continues, or of the same known sender, is revised. One of somebody else
    goes on counting, and the new row waits until somebody answers whether it is the same picking.
    """
    values = [name for name in sheet.column_names if name not in sheet.key]
    before = kept.rows.filter(pl.col("state") != "held").select(
        "row_id",
        "key",
        "chain",
        pl.col("sender").alias("sender_before"),
        *[pl.col(name).alias(f"{name}_before") for name in values],
    )
    pairs = with_kinship(once.join(before, on="key", how="left", maintain_order="left"), continued)
    best = pairs.sort("row", "kinship", "row_id", nulls_last=True).unique(
        "row", keep="first", maintain_order=True
    )
    same = pl.all_horizontal([pl.col(name).eq_missing(pl.col(f"{name}_before")) for name in values])
    fate = (
        pl.when(pl.col("row_id").is_null())
        .then(pl.lit("new"))
        .when(same)
        .then(pl.lit("unchanged"))
        .when(pl.col("kinship") < 2)
        .then(pl.lit("revised"))
        .otherwise(pl.lit("waits"))
    )
    return best.with_columns(fate.alias("fate")).select(*once.columns, "row_id", "fate")


def _lacking(sheet: Sheet, usable: pl.DataFrame, kept: Kept, continued: pl.DataFrame) -> pl.DataFrame:
    """Return the rows that count and that a continuing file lacks: file, row_id and the sheet's columns."""
    keys = lacking_keys(usable, kept.heads, continued).drop("site")
    counting = kept.rows.filter(pl.col("state") == "counts")
    found = keys.join(counting, on=["chain", "key"], how="inner")
    return found.select("file", "row_id", *sheet.column_names).unique(
        "row_id", keep="first", maintain_order=True
    )


def _left(new: pl.DataFrame, fates: pl.DataFrame, mended: pl.DataFrame, back: pl.DataFrame) -> pl.DataFrame:
    """Return the kept rows that are left: row_id, row, why."""
    revised = fates.filter(pl.col("fate") == "revised").select(
        "row_id", "row", pl.lit("revised").alias("why")
    )
    held_again = pl.col("row").is_in(new.filter(pl.col("is_held"))["row"].implode())
    returned = back.filter(~pl.col("is_same")).select(
        "row_id",
        "row",
        pl.when(held_again).then(pl.lit("held again")).otherwise(pl.lit("mended")).alias("why"),
    )
    parts = [revised, mended.select("row_id", "row", pl.lit("mended").alias("why")), returned]
    return pl.concat(parts).unique("row_id", keep="first", maintain_order=True)


def _entered(new: pl.DataFrame, fates: pl.DataFrame, back: pl.DataFrame) -> pl.DataFrame:
    """Return the rows to keep with their state; a held row that says what it said before is nothing new."""
    same = back.filter(pl.col("is_same"))["row"].implode()
    held = new.filter(pl.col("is_held") & ~pl.col("row").is_in(same)).with_columns(
        pl.lit("held").alias("state")
    )
    state = pl.when(pl.col("fate") == "waits").then(pl.lit("waits")).otherwise(pl.lit("counts"))
    used = fates.filter(pl.col("fate") != "unchanged").select(*new.columns, state.alias("state"))
    return pl.concat([held, used]).sort("row")


def _parts(usable: pl.DataFrame, continued: pl.DataFrame) -> pl.DataFrame:
    parts = usable.select("file", "site").drop_nulls().unique(maintain_order=True)
    best = continued.unique(["file", "site"], keep="first", maintain_order=True).select(
        "file", "site", "chain"
    )
    return parts.join(best, on=["file", "site"], how="left", maintain_order="left")
