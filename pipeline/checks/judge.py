"""Files in; rows, findings and a verdict for every sheet out.

The web page's instant answer, `longrow check` and the night all call `judge`: one check, three places.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from operator import itemgetter

import numpy as np
import polars as pl

from pipeline.checks.check import Check
from pipeline.checks.context import Context
from pipeline.checks.finding import FINDINGS, NO_FINDINGS
from pipeline.checks.gathering import gather
from pipeline.checks.lookup import looked_up_by_number, with_blanks
from pipeline.checks.run import find, held_rows
from pipeline.intake.batch import read_batch
from pipeline.intake.dates import Season
from pipeline.intake.reading import Picture
from pipeline.intake.rows import typed_rows
from pipeline.intake.sheets import Sheet, sheets
from pipeline.intake.tables import Limits, Refusal, SentFile
from pipeline.intake.units import BARE_WEIGHT
from pipeline.settings import Intake, Settings

#: The question about a picture of a paper record.
PAPER = "paper-to-type"

_COUNTS = dict.fromkeys(["rows", "held", "used"], pl.Int64)
_VERDICTS = {"file": pl.UInt32, "tab": pl.String, "sheet": pl.String, **_COUNTS, "verdict": pl.String}


@dataclass(frozen=True)
class Judged:
    """What was found in a batch of files.

    `rows` holds, by kind of sheet, every row with its values, its context and `is_held`. `findings` holds
    all findings (columns of `checks.run.FINDINGS`), `verdicts` one row per sheet: file, tab, sheet,
    verdict, rows, used, held. `pictures` are those of paper records. `file`, and the key of a picture, is
    the place of the file in the batch.
    """

    rows: dict[str, pl.DataFrame]
    findings: pl.DataFrame
    verdicts: pl.DataFrame
    pictures: Mapping[int, Picture]


def judge(batch: Sequence[SentFile], context: Context, settings: Settings, checks: Sequence[Check]) -> Judged:
    """Return what the files hold, judged by the checks."""
    reading = read_batch(batch, limits_of(settings.intake))
    typed = {
        name: _with_senders(_typed(sheets()[name], sent, settings, context.seasons), batch)
        for name, sent in reading.rows.items()
    }
    rows, found = judge_rows(typed, context, checks)
    told = [_refusals(reading.refusals), _papers(reading.pictures, batch), _notes(reading.notes), found]
    verdicts = _verdicts(rows, reading.refusals, reading.pictures)
    return Judged(rows, pl.concat(told), verdicts, reading.pictures)


def judge_rows(
    typed: Mapping[str, pl.DataFrame], context: Context, checks: Sequence[Check]
) -> tuple[dict[str, pl.DataFrame], pl.DataFrame]:
    """Return typed rows, by kind of sheet, with their place and `is_held`, and the findings about them."""
    gathered = gather(typed, context)
    rows: dict[str, pl.DataFrame] = {}
    findings = [NO_FINDINGS]
    for name, gathered_rows in gathered.rows.items():
        found = find(name, gathered_rows, gathered.pools.of(name), checks, context, gathered.told[name])
        is_held = np.zeros(gathered_rows.height, bool)
        is_held[held_rows(found)] = True
        rows[name] = gathered_rows.hstack([pl.Series("is_held", is_held)])
        findings.append(found)
    return rows, pl.concat(findings)


def _with_senders(rows: pl.DataFrame, batch: Sequence[SentFile]) -> pl.DataFrame:
    """Return the rows with `sender_gardens`, the gardens that the sender of their file writes for."""
    gardens = {at: list(file.gardens) for at, file in enumerate(batch) if file.gardens is not None}
    if not gardens:
        return with_blanks(rows, {"sender_gardens": pl.List(pl.String)})
    known = pl.DataFrame(
        {"file": list(gardens), "sender_gardens": list(gardens.values())},
        schema={"file": pl.UInt32, "sender_gardens": pl.List(pl.String)},
    )
    return looked_up_by_number(rows, known, "file")


def limits_of(intake: Intake) -> Limits:
    """Return the network's limits in bytes."""
    return Limits(
        largest_bytes=int(intake.largest_file_mb * 1e6),
        largest_unpacked_bytes=int(intake.largest_unpacked_mb * 1e6),
        most_rows=intake.most_rows,
        most_columns=intake.most_columns,
    )


def _typed(sheet: Sheet, sent: pl.DataFrame, settings: Settings, seasons: Sequence[Season]) -> pl.DataFrame:
    return typed_rows(
        sheet,
        sent,
        order=settings.date_order,
        bare_weight=BARE_WEIGHT[settings.units],
        seasons=seasons,
    )


def _file_findings(found: list[dict[str, object]]) -> pl.DataFrame:
    return pl.DataFrame(found, schema=FINDINGS) if found else NO_FINDINGS


def _refusals(refusals: Sequence[tuple[int, Refusal]]) -> pl.DataFrame:
    return _file_findings([_refusal(at, refusal) for at, refusal in refusals])


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


def _papers(pictures: Mapping[int, Picture], batch: Sequence[SentFile]) -> pl.DataFrame:
    """Return a question for every picture of a paper record: somebody has to type it."""
    gardens = {at: batch[at].gardens or (None,) for at in sorted(pictures)}
    return _file_findings(
        [
            {"file": at, "check": PAPER, "level": "question", "site": sites[0], "details": "{}"}
            for at, sites in gardens.items()
        ]
    )


def _notes(notes: pl.DataFrame) -> pl.DataFrame:
    """Return notes about what is no row: repeated headers, totals, other columns and other tabs."""
    if notes.is_empty():
        return NO_FINDINGS
    told = notes.with_columns(pl.lit("note").alias("level"))
    missing = [pl.lit(None, kind).alias(name) for name, kind in FINDINGS.items() if name not in told.columns]
    return told.with_columns(missing).select(list(FINDINGS))


def _verdicts(
    rows: dict[str, pl.DataFrame], refusals: Sequence[tuple[int, Refusal]], pictures: Mapping[int, Picture]
) -> pl.DataFrame:
    """Return one row per sheet, and one per file without any; a picture is taken, and waits to be typed."""
    listed: list[tuple[int, str | None, str | None, int, int]]
    listed = [(at, refusal.tab, refusal.sheet, 0, 0) for at, refusal in refusals]
    listed += [(at, None, None, 0, 0) for at in sorted(pictures)]
    for name, frame in rows.items():
        by_sheet = frame[["file", "tab", "is_held"]].group_by("file", "tab", maintain_order=True)
        counts = by_sheet.agg(pl.len().alias("rows"), pl.col("is_held").sum())
        listed += [(file, tab, name, count, held) for file, tab, count, held in counts.rows()]
    told = [
        (file, tab, sheet, count, held, count - held, _verdict(count, held, is_picture=file in pictures))
        for file, tab, sheet, count, held in sorted(listed, key=itemgetter(0))
    ]
    return pl.DataFrame(told, schema=_VERDICTS, orient="row")


def _verdict(rows: int, held: int, *, is_picture: bool) -> str:
    if rows == 0 and not is_picture:
        return "refused"
    return "taken in part" if held else "taken"
