"""Keeping what was judged: uploads, sheets, rows with their history, findings."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

import polars as pl
import sqlalchemy as sa

from pipeline.checks.judge import Judged
from pipeline.intake.sheets import Sheet, sheets
from pipeline.store import bulk
from pipeline.store.counts import Counts
from pipeline.store.current import kept_of
from pipeline.store.history import Decision, decide, with_keys
from pipeline.store.pictures import keep_pictures
from pipeline.store.remarks import history_findings
from pipeline.store.tables import findings, rows_of, sent_sheets, sheet_parts, uploads
from pipeline.store.versions import close_findings

_NO_FINDINGS = {"finding_id": pl.Int64, "sheet_id": pl.Int64}


@dataclass(frozen=True)
class Upload:
    """A file that is to be known to the store; `sender` is blank where nobody knows who sent it."""

    sha256: str
    name: str
    sender: str
    size: int
    received: datetime


def keep(connection: sa.Connection, run: int, batch: Sequence[Upload], judged: Judged) -> Counts:
    """Keep a batch of uploads with all that was found in them, oldest first, and return what was done."""
    upload_ids = _keep_uploads(connection, run, batch)
    sheet_ids = _keep_sheets(connection, judged.verdicts, upload_ids)
    counts = Counts.of_files(judged.verdicts)
    senders = pl.DataFrame(
        {"file": list(range(len(batch))), "sender": [upload.sender for upload in batch]},
        schema={"file": pl.UInt32, "sender": pl.String},
    )
    kept: list[pl.DataFrame] = []
    for name, rows in judged.rows.items():
        sheet = sheets()[name]
        of_kind = sheet_ids.filter(pl.col("sheet") == name).drop("sheet")
        placed = rows.join(senders, on="file", how="left", maintain_order="left")
        placed = placed.join(of_kind, on=["file", "tab"], how="left", nulls_equal=True, maintain_order="left")
        keyed = with_keys(sheet, placed.with_columns(_as_sent(sheet).alias("sent")))
        for wave in _waves(keyed):
            entered = _keep_wave(connection, run, sheet, wave, counts)
            kept.append(entered)
    _keep_row_findings(connection, run, judged.findings, sheet_ids, kept)
    keep_pictures(connection, {upload_ids[at]: picture for at, picture in judged.pictures.items()})
    return counts


def _keep_uploads(connection: sa.Connection, run: int, batch: Sequence[Upload]) -> list[int]:
    first = bulk.next_id(connection, uploads.c.upload_id)
    ids = list(range(first, first + len(batch)))
    if batch:
        connection.execute(
            sa.insert(uploads),
            [
                {
                    "upload_id": upload_id,
                    "sha256": upload.sha256,
                    "name": upload.name,
                    "sender": upload.sender,
                    "bytes": upload.size,
                    "received": upload.received,
                    "run_id": run,
                }
                for upload_id, upload in zip(ids, batch, strict=True)
            ],
        )
    return ids


def _keep_sheets(connection: sa.Connection, verdicts: pl.DataFrame, upload_ids: list[int]) -> pl.DataFrame:
    """Enter the sheets and return their identifiers: file, tab, sheet, sheet_id."""
    first = bulk.next_id(connection, sent_sheets.c.sheet_id)
    table = verdicts.with_columns(
        pl.int_range(first, first + verdicts.height, dtype=pl.Int64).alias("sheet_id"),
        pl.col("file").replace_strict(dict(enumerate(upload_ids)), return_dtype=pl.Int64).alias("upload_id"),
        pl.col("sheet").alias("kind"),
    )
    bulk.insert(connection, sent_sheets, table.drop("file", "sheet"))
    return table.select("file", "tab", "sheet", "sheet_id")


def _as_sent(sheet: Sheet) -> pl.Expr:
    """Return the cells of a row as they were typed, as JSON, with the columns that nobody knows."""
    cells = pl.struct([pl.col(f"sent_{name}").alias(name) for name in sheet.column_names])
    json = cells.struct.json_encode().str.replace_all(r'"\w+":null,?', "").str.replace(r",\}$", "}")
    return pl.format("[{},{}]", json, pl.col("other_columns").fill_null("{}"))


def _waves(rows: pl.DataFrame) -> Iterator[pl.DataFrame]:
    """Yield the rows so that no wave holds two files of one garden: each is held against those before it.

    A row whose garden is not known goes with the first part of its file.
    """
    parts = rows.select("file", "site").drop_nulls().unique().sort("site", "file")
    numbered = parts.with_columns(pl.int_range(pl.len()).over("site").alias("wave"))
    first = numbered.group_by("file").agg(pl.col("wave").min().alias("first_wave"))
    placed = rows.join(numbered, on=["file", "site"], how="left", maintain_order="left")
    placed = placed.join(first, on="file", how="left", maintain_order="left")
    wave = pl.coalesce("wave", "first_wave", pl.lit(0))
    count = placed.select(wave.max()).item()
    for number in range((count or 0) + 1):
        of_wave = placed.filter(wave == number)
        if not of_wave.is_empty():
            yield of_wave.drop("wave", "first_wave")


def _keep_wave(
    connection: sa.Connection, run: int, sheet: Sheet, rows: pl.DataFrame, counts: Counts
) -> pl.DataFrame:
    """Keep one wave of one kind of sheet; return the identifier that each entered row got."""
    table = rows_of[sheet.name]
    senders = rows["sender"].unique().to_list()
    sites = rows["site"].drop_nulls().unique().to_list()
    decision = decide(sheet, rows, kept_of(connection, sheet, sites, senders))
    first = bulk.next_id(connection, table.c.row_id)
    entered = decision.entered.with_columns(
        pl.int_range(first, first + decision.entered.height, dtype=pl.Int64).alias("row_id"),
        pl.lit(run).alias("entered"),
    )
    known = [column.name for column in table.columns if column.name in entered.columns]
    bulk.insert(connection, table, entered.select(known))
    placed = entered.select("file", pl.lit(sheet.name).alias("sheet"), "row", "row_id")
    _leave(connection, run, sheet, decision, placed)
    _close_lacking(connection, run, sheet, decision.seen)
    _keep_parts(connection, sheet, rows, decision)
    _insert_findings(connection, run, history_findings(sheet, rows, entered, decision))
    counts.add_rows(decision, sites)
    return placed


def _leave(
    connection: sa.Connection, run: int, sheet: Sheet, decision: Decision, placed: pl.DataFrame
) -> None:
    """Mark the rows that are left, name those that took their place, close what was asked about them."""
    table = rows_of[sheet.name]
    left = decision.left.join(placed.select("row", pl.col("row_id").alias("successor")), on="row", how="left")
    if left.is_empty():
        return
    connection.execute(
        sa.update(table)
        .where(table.c.row_id == sa.bindparam("b_row"))
        .values(left=run, left_why=sa.bindparam("b_why"), successor=sa.bindparam("b_successor")),
        [
            {"b_row": row, "b_why": why, "b_successor": new}
            for row, why, new in left.select("row_id", "why", "successor").rows()
        ],
    )
    close_findings(connection, run, sheet.name, left["row_id"].to_list())


def _close_lacking(connection: sa.Connection, run: int, sheet: Sheet, seen: pl.Series) -> None:
    """Close the questions about rows that a file lacked and that have come again."""
    lacking = (
        (findings.c.check == "rows-not-in-new-file")
        & (findings.c.kind == sheet.name)
        & findings.c.left.is_(None)
    )
    asked = connection.execute(sa.select(findings.c.finding_id, findings.c.row_id).where(lacking)).all()
    came = set(seen.to_list()) if asked else set()
    done = [finding_id for finding_id, row_id in asked if row_id in came]
    if done:
        connection.execute(sa.update(findings).where(findings.c.finding_id.in_(done)).values(left=run))


def _keep_parts(connection: sa.Connection, sheet: Sheet, rows: pl.DataFrame, decision: Decision) -> None:
    """Enter the parts of the files with their keys; a file that is continued gives its keys up."""
    usable = rows.filter(~pl.col("is_held"))
    if usable.is_empty():
        return
    keys = usable.group_by("file", "site", "sheet_id", maintain_order=True).agg(
        pl.col("key").unique(maintain_order=True).str.join("\n").alias("keys")
    )
    chains = sorted(set(decision.continued["chain"].to_list()))
    for start in range(0, len(chains), 500):
        some = sheet_parts.c.chain.in_(chains[start : start + 500])
        connection.execute(sa.update(sheet_parts).where(some).values(keys=None))
    parts = keys.join(decision.parts, on=["file", "site"], how="left")
    ready = parts.select(
        "sheet_id",
        "site",
        # A part that continues nothing begins a chain, named after its own sheet.
        pl.coalesce("chain", "sheet_id").alias("chain"),
        pl.lit(sheet.name).alias("kind"),
        "keys",
    )
    bulk.insert(connection, sheet_parts, ready)


def _keep_row_findings(
    connection: sa.Connection,
    run: int,
    found: pl.DataFrame,
    sheet_ids: pl.DataFrame,
    kept: list[pl.DataFrame],
) -> None:
    """Enter the findings of sheets and of entered rows; rows left alone keep their older findings."""
    empty = {"file": pl.UInt32, "sheet": pl.String, "row": pl.UInt32, "row_id": pl.Int64}
    rows = pl.concat([pl.DataFrame(schema=empty), *kept])
    joined = found.join(rows, on=["file", "sheet", "row"], how="left", maintain_order="left").filter(
        pl.col("row").is_null() | pl.col("row_id").is_not_null()
    )
    placed = joined.join(
        sheet_ids, on=["file", "tab", "sheet"], how="left", nulls_equal=True, maintain_order="left"
    )
    _insert_findings(connection, run, placed.rename({"sheet": "kind"}))


def _insert_findings(connection: sa.Connection, run: int, found: pl.DataFrame) -> None:
    if found.is_empty():
        return
    first = bulk.next_id(connection, findings.c.finding_id)
    ready = found.with_columns(
        pl.int_range(first, first + found.height, dtype=pl.Int64).alias("finding_id"),
        pl.lit(run).alias("entered"),
    )
    bulk.insert(
        connection,
        findings,
        ready.select([column.name for column in findings.columns if column.name in ready.columns]),
    )
