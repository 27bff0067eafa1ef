"""Files in; rows, findings and a verdict for every sheet out.

The web page's instant answer, `longrow check` and the night all call `judge`: one check, three places.
"""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import polars as pl

from pipeline.checks.check import Check
from pipeline.checks.context import Context, with_context
from pipeline.checks.run import FINDINGS, find, held_rows
from pipeline.intake.reading import FileReading, read_file
from pipeline.intake.rows import sent_rows, typed_rows
from pipeline.intake.sheets import Sheet, sheets
from pipeline.intake.tables import Limits, Refusal, SentFile
from pipeline.intake.units import BARE_WEIGHT
from pipeline.settings import Intake, Settings

_SHEETS = {"file": pl.UInt32, "tab": pl.String, "sheet": pl.String}


@dataclass(frozen=True)
class Judged:
    """What was found in a batch of files.

    `rows` holds, by kind of sheet, every row with its values, its context and `is_held`. `findings` holds
    all findings (columns of `checks.run.FINDINGS`), `verdicts` one row per sheet: file, tab, sheet,
    verdict, rows, used, held. `file` is the place of the file in the batch.
    """

    rows: dict[str, pl.DataFrame]
    findings: pl.DataFrame
    verdicts: pl.DataFrame


def judge(batch: Sequence[SentFile], context: Context, settings: Settings, checks: Sequence[Check]) -> Judged:
    """Return what the files hold, judged by the checks."""
    limits = limits_of(settings.intake)
    readings = [read_file(file, limits) for file in batch]
    tables = [(at, table) for at, reading in enumerate(readings) for table in reading.tables]
    season = _all_seasons(context)
    rows: dict[str, pl.DataFrame] = {}
    findings = [_refusals(readings), _unknown_columns(readings)]
    for name, sent in sent_rows(tables).items():
        typed = _typed(sheets()[name], sent, settings, season)
        placed = _with_senders(with_context(sheets()[name], typed, context), batch)
        found = find(name, placed, checks)
        rows[name] = placed.with_columns(pl.col("row").is_in(held_rows(found).implode()).alias("is_held"))
        findings.append(found)
    return Judged(rows, pl.concat(findings), _verdicts(rows, readings))


def _with_senders(rows: pl.DataFrame, batch: Sequence[SentFile]) -> pl.DataFrame:
    """Return the rows with `sender_gardens`, the gardens that the sender of their file writes for."""
    gardens = {at: list(file.gardens) for at, file in enumerate(batch) if file.gardens is not None}
    known = pl.DataFrame(
        {"file": list(gardens), "sender_gardens": list(gardens.values())},
        schema={"file": pl.UInt32, "sender_gardens": pl.List(pl.String)},
    )
    return rows.join(known, on="file", how="left", maintain_order="left")


def limits_of(intake: Intake) -> Limits:
    """Return the network's limits in bytes."""
    return Limits(
        largest_bytes=int(intake.largest_file_mb * 1e6),
        largest_unpacked_bytes=int(intake.largest_unpacked_mb * 1e6),
        most_rows=intake.most_rows,
        most_columns=intake.most_columns,
    )


def _typed(
    sheet: Sheet, sent: pl.DataFrame, settings: Settings, season: tuple[date, date] | None
) -> pl.DataFrame:
    return typed_rows(
        sheet,
        sent,
        order=settings.date_order,
        bare_weight=BARE_WEIGHT[settings.units],
        season=season,
    )


def _all_seasons(context: Context) -> tuple[date, date] | None:
    """Return the first and last day of all seasons: a day outside them is not what was meant."""
    first, last = context.layout["start"].min(), context.layout["close"].max()
    return (first, last) if isinstance(first, date) and isinstance(last, date) else None


def _file_findings(found: list[dict[str, object]]) -> pl.DataFrame:
    return pl.DataFrame(found, schema=FINDINGS) if found else pl.DataFrame(schema=FINDINGS)


def _refusals(readings: Sequence[FileReading]) -> pl.DataFrame:
    return _file_findings(
        [_refusal(at, refusal) for at, reading in enumerate(readings) for refusal in reading.refusals]
    )


def _refusal(file: int, refusal: Refusal) -> dict[str, object]:
    details = dict(refusal.details)
    if refusal.column:
        details |= {"column": refusal.column, "sheet": refusal.sheet or ""}
    return {
        "file": file,
        "tab": refusal.tab,
        "sheet": refusal.sheet,
        "column": refusal.column,
        "check": refusal.check,
        "level": "held",
        "details": json.dumps(details),
    }


def _unknown_columns(readings: Sequence[FileReading]) -> pl.DataFrame:
    """Return a note for every column that nobody knows and that holds something."""
    return _file_findings(
        [
            {
                "file": at,
                "tab": table.tab,
                "sheet": table.header.sheet,
                "check": "column-unknown",
                "level": "note",
                "sent": name,
                "details": "{}",
            }
            for at, reading in enumerate(readings)
            for table in reading.tables
            for position, name in table.header.unknown.items()
            if any(position < len(row) and row[position].strip() for row in table.rows)
        ]
    )


def _verdicts(rows: dict[str, pl.DataFrame], readings: Sequence[FileReading]) -> pl.DataFrame:
    """Return one row per sheet, and one per file without any."""
    counts = [
        frame.group_by("file", "tab", maintain_order=True).agg(
            pl.lit(name).alias("sheet"),
            pl.len().cast(pl.Int64).alias("rows"),
            pl.col("is_held").sum().cast(pl.Int64).alias("held"),
        )
        for name, frame in rows.items()
    ]
    refused = [
        {"file": at, "tab": refusal.tab, "sheet": refusal.sheet, "rows": 0, "held": 0}
        for at, reading in enumerate(readings)
        for refusal in reading.refusals
    ]
    schema = _SHEETS | {"rows": pl.Int64, "held": pl.Int64}
    parts = [pl.DataFrame(refused, schema=schema), *(part.select(*schema) for part in counts)]
    whole = pl.concat(parts).sort("file", maintain_order=True)
    return whole.with_columns(
        (pl.col("rows") - pl.col("held")).alias("used"),
        pl.when(pl.col("rows") == 0)
        .then(pl.lit("refused"))
        .when(pl.col("held") == 0)
        .then(pl.lit("taken"))
        .otherwise(pl.lit("taken in part"))
        .alias("verdict"),
    )
