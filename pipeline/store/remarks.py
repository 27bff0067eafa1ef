"""What the history of rows gives reason to say: values changed, rows lacking, two people's pickings."""

import polars as pl

from pipeline.intake.sheets import Sheet
from pipeline.store.history import Decision

#: Columns that a remark shares with any other finding of the store.
_COLUMNS = [
    "sheet_id",
    "row_id",
    "kind",
    "line",
    "column",
    "check",
    "level",
    "site",
    "plot",
    "season",
    "sent",
    "details",
]


def history_findings(
    sheet: Sheet, rows: pl.DataFrame, entered: pl.DataFrame, decision: Decision
) -> pl.DataFrame:
    """Return what is to be said about the rows of one wave, ready for the table of findings.

    `rows` are all rows of the wave, `entered` those that were entered, with their row_id.
    """
    sheet_of = rows.select("file", "sheet_id").unique("file", keep="first", maintain_order=True)
    parts = [
        _revised(entered, decision),
        _mended(entered, decision),
        _waiting(sheet, entered),
        _lacking(sheet_of, decision),
    ]
    return pl.concat([part.with_columns(pl.lit(sheet.name).alias("kind")).select(_COLUMNS) for part in parts])


def _finding(
    rows: pl.DataFrame, check: str, level: str, details: pl.Expr, column: str | None = None
) -> pl.DataFrame:
    shared = {
        "row_id": pl.Int64,
        "line": pl.Int64,
        "site": pl.String,
        "plot": pl.String,
        "season": pl.String,
        "sent": pl.String,
    }
    missing = [pl.lit(None, kind).alias(name) for name, kind in shared.items() if name not in rows.columns]
    return rows.with_columns(missing).with_columns(
        pl.lit(check).alias("check"),
        pl.lit(level).alias("level"),
        pl.lit(column, pl.String).alias("column"),
        pl.lit("").alias("kind"),
        details.alias("details"),
        pl.col("line").cast(pl.Int64),
    )


def _revised(entered: pl.DataFrame, decision: Decision) -> pl.DataFrame:
    """Return one note for each file whose rows changed values that were sent before."""
    changed = decision.left.filter(pl.col("why") == "revised").select("row")
    by_sheet = (
        entered.join(changed, on="row", how="semi")
        .group_by("sheet_id", "site", maintain_order=True)
        .agg(pl.len().alias("n"))
    )
    return _finding(by_sheet, "value-revised", "note", pl.struct("n").struct.json_encode())


def _mended(entered: pl.DataFrame, decision: Decision) -> pl.DataFrame:
    pairs = decision.left.filter(pl.col("why") == "mended").select("row", pl.col("row_id").alias("other"))
    rows = _placed(entered).join(pairs, on="row", how="inner")
    return _finding(rows, "row-mended", "note", pl.struct("other").struct.json_encode())


def _waiting(sheet: Sheet, entered: pl.DataFrame) -> pl.DataFrame:
    rows = _placed(entered.filter(pl.col("state") == "waits"))
    read = "marketable_weight" if sheet.name == "harvest" else sheet.column_names[-1]
    details = pl.struct(
        pl.col("date").dt.to_string("iso").alias("date"), pl.col(read).alias("read")
    ).struct.json_encode()
    return _finding(rows, "picking-by-two-people", "question", details, read)


def _lacking(sheet_of: pl.DataFrame, decision: Decision) -> pl.DataFrame:
    """Return one question for each row that a continuing file lacks; the row goes on counting."""
    rows = decision.lacking.join(sheet_of, on="file", how="left")
    by_sheet = pl.struct(pl.len().over("sheet_id").alias("n")).struct.json_encode()
    return _finding(rows, "rows-not-in-new-file", "question", by_sheet)


def _placed(rows: pl.DataFrame) -> pl.DataFrame:
    """Return the rows with a plot and season, where their kind of sheet has none."""
    missing = [pl.lit(None, pl.String).alias(name) for name in ("plot", "season") if name not in rows.columns]
    return rows.with_columns(missing).drop("sent")
