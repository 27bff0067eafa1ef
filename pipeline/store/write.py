"""Keeping what was judged: uploads, sheets, rows with their history, findings."""

from collections.abc import Sequence
from dataclasses import dataclass, field, fields
from datetime import date, datetime

import polars as pl
import sqlalchemy as sa

from pipeline.checks.judge import Judged
from pipeline.intake.sheets import Sheet, sheets
from pipeline.store import bulk
from pipeline.store.history import decide, with_keys
from pipeline.store.tables import findings, rows_of, runs, sent_sheets, uploads

#: Above this many gardens all rows that count are read at once instead of garden by garden.
_MANY_SITES = 500


@dataclass(frozen=True)
class Upload:
    """A file that is to be known to the store."""

    sha256: str
    name: str
    sender: str
    size: int
    received: datetime


@dataclass
class Counts:
    """What a run did, in numbers."""

    files_new: int = 0
    taken: int = 0
    taken_in_part: int = 0
    refused: int = 0
    rows_read: int = 0
    rows_new: int = 0
    rows_revised: int = 0
    rows_unchanged: int = 0
    rows_held: int = 0
    sites: set[str] = field(default_factory=set)

    def add(self, other: "Counts") -> None:
        """Add what another batch did."""
        for item in fields(self):
            mine, theirs = getattr(self, item.name), getattr(other, item.name)
            setattr(self, item.name, mine | theirs if isinstance(mine, set) else mine + theirs)


def start_run(connection: sa.Connection, night: date, started: datetime) -> int:
    """Enter a new run and return its number."""
    run = bulk.next_id(connection, runs.c.run_id)
    connection.execute(sa.insert(runs).values(run_id=run, started=started, status="running", night=night))
    return run


def end_run(connection: sa.Connection, run: int, status: str, ended: datetime) -> None:
    """Enter how a run ended."""
    connection.execute(sa.update(runs).where(runs.c.run_id == run).values(status=status, ended=ended))


def known_digests(connection: sa.Connection, digests: Sequence[str]) -> set[str]:
    """Return which of the files were taken before."""
    return {
        sha256
        for start in range(0, len(digests), 500)
        for (sha256,) in connection.execute(
            sa.select(uploads.c.sha256).where(uploads.c.sha256.in_(digests[start : start + 500]))
        )
    }


def keep(connection: sa.Connection, run: int, batch: Sequence[Upload], judged: Judged) -> Counts:
    """Keep a batch of uploads with all that was found in them, and return what was done."""
    counts = Counts(files_new=len(batch))
    upload_ids = _keep_uploads(connection, run, batch)
    sheet_ids = _keep_sheets(connection, judged.verdicts, upload_ids)
    counts.rows_read = int(judged.verdicts["rows"].sum())
    worst = judged.verdicts.group_by("file").agg(pl.col("verdict").unique())["verdict"].to_list()
    for verdicts in worst:
        one = verdicts[0] if len(verdicts) == 1 else "taken in part"
        name = one.replace(" ", "_")
        setattr(counts, name, getattr(counts, name) + 1)
    placed: list[pl.DataFrame] = []
    for name, rows in judged.rows.items():
        placed.append(_keep_rows(connection, run, sheets()[name], rows, sheet_ids, counts))
    _keep_findings(connection, run, judged.findings, sheet_ids, placed)
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
    """Enter the sheets and return their identifiers by file and tab."""
    first = bulk.next_id(connection, sent_sheets.c.sheet_id)
    table = verdicts.with_columns(
        pl.int_range(first, first + verdicts.height, dtype=pl.Int64).alias("sheet_id"),
        pl.col("file").replace_strict(dict(enumerate(upload_ids)), return_dtype=pl.Int64).alias("upload_id"),
        pl.col("sheet").alias("kind"),
    )
    bulk.insert(connection, sent_sheets, table.drop("file", "sheet"))
    return table.select("file", "tab", pl.col("kind").alias("sheet"), "sheet_id")


def _keep_rows(
    connection: sa.Connection,
    run: int,
    sheet: Sheet,
    rows: pl.DataFrame,
    sheet_ids: pl.DataFrame,
    counts: Counts,
) -> pl.DataFrame:
    """Enter the rows of one kind that are new or changed; return the identifier that each of them got."""
    table = rows_of[sheet.name]
    keyed = with_keys(sheet, rows)
    sites = keyed["site"].drop_nulls().unique().to_list()
    decision = decide(sheet, keyed, _counting(connection, sheet, sites))
    first = bulk.next_id(connection, table.c.row_id)
    entered = decision.entered.join(
        sheet_ids.drop("sheet"), on=["file", "tab"], how="left", nulls_equal=True, maintain_order="left"
    ).with_columns(
        pl.int_range(first, first + decision.entered.height, dtype=pl.Int64).alias("row_id"),
        pl.lit(run).alias("entered"),
        _as_sent(sheet).alias("sent"),
    )
    known = [column.name for column in table.columns if column.name in entered.columns]
    bulk.insert(connection, table, entered.select(known))
    bulk.mark_left(connection, table, decision.left, run)
    counts.add(
        Counts(
            rows_new=decision.new,
            rows_revised=decision.revised,
            rows_unchanged=decision.unchanged,
            rows_held=decision.held,
            sites=set(sites),
        )
    )
    return entered.select("file", pl.lit(sheet.name).alias("sheet"), "row", "row_id")


def _as_sent(sheet: Sheet) -> pl.Expr:
    """Return the cells of a row as they were typed, as JSON, with the columns that nobody knows."""
    cells = pl.struct([pl.col(f"sent_{name}").alias(name) for name in sheet.column_names])
    json = cells.struct.json_encode().str.replace_all(r'"\w+":null,?', "").str.replace(r",\}$", "}")
    extra = pl.col("other_columns").fill_null("{}")
    return pl.format("[{},{}]", json, extra)


def _counting(connection: sa.Connection, sheet: Sheet, sites: list[str]) -> pl.DataFrame:
    """Return the rows of some gardens that count now."""
    table = rows_of[sheet.name]
    columns = [table.c.row_id, table.c.key, *(table.c[name] for name in sheet.column_names)]
    query = sa.select(*columns).where(table.c.left.is_(None), ~table.c.is_held)
    if len(sites) <= _MANY_SITES:
        query = query.where(table.c.site.in_(sites))
    schema = {column.name: _polars_type(column) for column in columns}
    found = connection.execute(query).all()
    return pl.DataFrame([tuple(row) for row in found], schema=schema, orient="row")


def _polars_type(column: sa.Column[object]) -> type[pl.DataType]:
    if isinstance(column.type, sa.Date):
        return pl.Date
    if isinstance(column.type, sa.Double):
        return pl.Float64
    return pl.String if isinstance(column.type, sa.Text) else pl.Int64


def _keep_findings(
    connection: sa.Connection,
    run: int,
    found: pl.DataFrame,
    sheet_ids: pl.DataFrame,
    placed: list[pl.DataFrame],
) -> None:
    """Enter the findings of sheets and of entered rows; rows left alone keep their older findings."""
    empty = {"file": pl.UInt32, "sheet": pl.String, "row": pl.UInt32, "row_id": pl.Int64}
    rows = pl.concat([pl.DataFrame(schema=empty), *placed])
    joined = found.join(rows, on=["file", "sheet", "row"], how="left", maintain_order="left").filter(
        pl.col("row").is_null() | pl.col("row_id").is_not_null()
    )
    joined = joined.join(
        sheet_ids.drop("sheet"), on=["file", "tab"], how="left", nulls_equal=True, maintain_order="left"
    )
    first = bulk.next_id(connection, findings.c.finding_id)
    ready = joined.with_columns(
        pl.int_range(first, first + joined.height, dtype=pl.Int64).alias("finding_id"),
        pl.col("sheet").alias("kind"),
        pl.lit(run).alias("entered"),
    )
    bulk.insert(connection, findings, ready.drop("file", "tab", "sheet", "row", "garden"))
