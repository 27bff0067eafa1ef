"""A batch of files, in; the rows of their sheets, what was passed over, and why anything was refused, out.

Plain text files with one header are read together (`joined`), all others one by one (`reading`); both ways
end in the same frames, so that a file is read alike alone and among thousands.
"""

import difflib
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import polars as pl

from pipeline.intake.header import Header
from pipeline.intake.joined import JoinedFiles, join
from pipeline.intake.reading import FileReading, Picture, SheetTable, read_file
from pipeline.intake.sent import Cells, SentRows, other_names, sent_rows
from pipeline.intake.sheets import names_of, plain
from pipeline.intake.tables import Limits, Refusal, SentFile

#: Columns of a frame of notes: things about a file or a line that is no row, each by the name of its check.
NOTES: dict[str, type[pl.DataType]] = {
    "file": pl.UInt32,
    "tab": pl.String,
    "sheet": pl.String,
    "line": pl.UInt32,
    "check": pl.String,
    "sent": pl.String,
    "details": pl.String,
}
#: Columns of a frame of tables. `lines` are all records below the header; `rows` those that somebody filled
#: in, and the others were passed over: lines = rows + blank + printed + header + totals.
TABLES: dict[str, type[pl.DataType]] = {
    "file": pl.UInt32,
    "tab": pl.String,
    "sheet": pl.String,
    "header_line": pl.UInt32,
    "lines": pl.UInt32,
    "rows": pl.UInt32,
    "blank": pl.UInt32,
    "printed": pl.UInt32,
    "header": pl.UInt32,
    "totals": pl.UInt32,
}
_PASSED_OVER = ("blank", "printed", "header", "totals")


@dataclass(frozen=True)
class BatchReading:
    """All that was found in a batch of files, each known by its place in the batch.

    `rows` holds, by kind of sheet, every row as sent (columns of `sent`), in the order of files, tabs and
    lines; `tables` one row per sheet (`TABLES`), `notes` what is to be told of them (`NOTES`).
    """

    rows: dict[str, pl.DataFrame]
    tables: pl.DataFrame
    notes: pl.DataFrame
    refusals: list[tuple[int, Refusal]]
    pictures: dict[int, Picture]


def read_batch(files: Sequence[SentFile], limits: Limits, *, join_plain: bool = True) -> BatchReading:
    """Return the rows of all files, what was passed over, and what was refused.

    `join_plain=False` reads plain text files one by one as well; the result is the same.
    """
    groups, careful = join(enumerate(files), limits) if join_plain else ([], range(len(files)))
    readings = {at: read_file(files[at], limits) for at in careful}
    tables = _list_tables(len(files), groups, readings)
    found = [*_read_joined(groups, tables), *_read_one_by_one(readings, tables)]
    counted = _counted(tables, [sent.skipped for _, sent in found if sent.skipped.height])
    return BatchReading(
        _by_kind(found),
        counted,
        _notes(found, tables, readings),
        [*_refusals(readings, counted)],
        {at: reading.picture for at, reading in readings.items() if reading.picture is not None},
    )


#: A note in the order of `NOTES`.
_Note = tuple[int, str | None, str, None, str, str, str]
#: A table of the batch: the place of its file, its tab, its kind of sheet, the line of its header, the rows
#: below it, and the blank rows among them that were passed over.
_Table = tuple[int, str | None, str, int, int, int]


def _list_tables(
    count: int, groups: Sequence[JoinedFiles], readings: Mapping[int, FileReading]
) -> list[_Table]:
    """Return the tables in the order of files and of tabs within a file; their places are their numbers."""
    joined = {
        at: (at, None, group.header.sheet, 1, rows, 0)
        for group in groups
        for at, rows in zip(group.files, group.rows, strict=True)
    }
    listed: list[_Table] = []
    for at in range(count):
        if at in joined:
            listed.append(joined[at])
        elif at in readings:
            listed += [
                (at, table.tab, table.header.sheet, table.header_line, len(table.rows), table.blank)
                for table in readings[at].tables
            ]
    return listed


def _read_joined(
    groups: Iterable[JoinedFiles], tables: Sequence[_Table]
) -> Iterator[tuple[Header, SentRows]]:
    number = {table[0]: at for at, table in enumerate(tables)}
    for group in groups:
        yield group.header, sent_rows(group.header, group.cells([number[at] for at in group.files]))


def _read_one_by_one(
    readings: Mapping[int, FileReading], tables: Sequence[_Table]
) -> Iterator[tuple[Header, SentRows]]:
    """Yield the rows of files that were read one by one, those with the same header together."""
    numbers = iter([at for at, table in enumerate(tables) if table[0] in readings])
    groups: dict[object, list[_Numbered]] = {}
    for at in sorted(readings):
        for table in readings[at].tables:
            key = (table.header.sheet, table.header.cells, tuple(sorted(table.header.units.items())))
            groups.setdefault(key, []).append(_Numbered(next(numbers), at, table))
    for group in groups.values():
        yield group[0].sheet.header, sent_rows(group[0].sheet.header, _cells(group))


@dataclass(frozen=True)
class _Numbered:
    """A sheet with its number among the tables of the batch, and the place of its file."""

    number: int
    file: int
    sheet: SheetTable


def _cells(group: Sequence[_Numbered]) -> Cells:
    """Return the rows of sheets with one header as one frame of text cells."""
    width = len(group[0].sheet.header.cells)
    rows = [row for one in group for row in one.sheet.rows]
    counts = [len(one.sheet.rows) for one in group]
    columns: dict[str, object] = {
        "table": np.repeat(np.array([one.number for one in group], np.uint32), counts),
        "file": np.repeat(np.array([one.file for one in group], np.uint32), counts),
        "tab": pl.Series([one.sheet.tab for one in group for _ in one.sheet.rows], dtype=pl.String),
        "line": pl.Series([line for one in group for line in one.sheet.lines], dtype=pl.UInt32),
        "is_1904": pl.Series([one.sheet.is_1904 for one in group for _ in one.sheet.rows], dtype=pl.Boolean),
    }
    exact = [row if len(row) == width else (row + [""] * (width - len(row)))[:width] for row in rows]
    for at in range(width):
        columns[f"c{at}"] = pl.Series([row[at] for row in exact], dtype=pl.String)
    if any(len(row) > width for row in rows):
        columns["beyond"] = pl.Series([_beyond(row, width) for row in rows], dtype=pl.String)
    return Cells(
        pl.DataFrame(columns),
        may_hold_odd_spaces=True,
        is_guarded=any('="' in cell for row in rows for cell in row),
    )


def _beyond(row: list[str], width: int) -> str | None:
    """Return the cells of a row beyond the header's columns, if any holds something."""
    return "; ".join(cell.strip() for cell in row[width:] if cell.strip()) or None


def _by_kind(found: Sequence[tuple[Header, SentRows]]) -> dict[str, pl.DataFrame]:
    """Return the rows by kind of sheet, in the order of tables and lines; null where a column is lacking."""
    parts: dict[str, list[pl.DataFrame]] = {}
    for header, sent in found:
        if sent.rows.height:
            parts.setdefault(header.sheet, []).append(sent.rows)
    return {
        name: of_kind[0]
        if len(of_kind) == 1
        else pl.concat(of_kind, how="diagonal").sort("table", "line", maintain_order=True)
        for name, of_kind in sorted(parts.items())
    }


def _counted(tables: Sequence[_Table], skipped: Sequence[pl.DataFrame]) -> pl.DataFrame:
    """Return the tables with how many of their lines are rows, and how many were passed over and why."""
    seen: dict[tuple[int, str], int] = {}
    for frame in skipped:
        counts = frame.group_by("table", "why").len().rows()
        seen |= {(table, why): seen.get((table, why), 0) + count for table, why, count in counts}
    counted = []
    for number, (at, tab, sheet, header_line, rows, blank) in enumerate(tables):
        passed = {why: seen.get((number, why), 0) for why in _PASSED_OVER}
        left = rows - sum(passed.values())
        passed["blank"] += blank
        counted.append((at, tab, sheet, header_line, rows + blank, left, *passed.values()))
    return pl.DataFrame(counted, schema=TABLES, orient="row")


def _refusals(readings: Mapping[int, FileReading], counted: pl.DataFrame) -> Iterator[tuple[int, Refusal]]:
    """Yield the refusals of all files, and of those whose known sheets hold no row."""
    for at, reading in sorted(readings.items()):
        for refusal in reading.refusals:
            yield at, refusal
    held = counted[["file", "tab", "sheet", "rows"]].rows()
    with_rows = {at for at, _, _, rows in held if rows}
    told = with_rows | {at for at, reading in readings.items() if reading.refusals}
    for at, tab, sheet, _ in held:
        if at not in told:
            told.add(at)
            yield at, Refusal("file-header-only", tab, sheet)


def _notes(
    found: Sequence[tuple[Header, SentRows]], tables: Sequence[_Table], readings: Mapping[int, FileReading]
) -> pl.DataFrame:
    noted = [*_unknown_columns(found, tables), *_unread_tabs(readings)]
    passed_over = [_passed_over(header, sent.skipped) for header, sent in found if sent.skipped.height]
    notes = pl.DataFrame(sorted(noted, key=lambda note: note[0]), schema=NOTES, orient="row")
    return pl.concat([notes, *passed_over]).sort("file", maintain_order=True) if passed_over else notes


def _passed_over(header: Header, skipped: pl.DataFrame) -> pl.DataFrame:
    """Return a note for every repeated header and every row of totals."""
    checks = {"header": "header-repeated", "totals": "totals-row-skipped"}
    named = skipped.filter(pl.col("why").is_in(list(checks))).with_columns(
        pl.lit(header.sheet).alias("sheet"),
        pl.col("why").replace_strict(checks, return_dtype=pl.String).alias("check"),
        pl.lit("{}").alias("details"),
    )
    return named.select(list(NOTES))


def _unknown_columns(found: Sequence[tuple[Header, SentRows]], tables: Sequence[_Table]) -> Iterator[_Note]:
    """Yield a note for every column of a file that nobody knows and that holds something."""
    for header, sent in found:
        names = other_names(header)
        for number, *holds in sent.other_filled.rows():
            at, tab, *_ = tables[number]
            for name, is_filled in zip(names.values(), holds, strict=True):
                if is_filled:
                    nearest = json.dumps({"nearest": _nearest(name, header.sheet)})
                    yield at, tab, header.sheet, None, "column-unknown", name, nearest


@lru_cache(maxsize=1024)
def _nearest(name: str, sheet: str) -> str | None:
    close = difflib.get_close_matches(plain(name), names_of(sheet), n=1, cutoff=0.75)
    return names_of(sheet)[close[0]].column.replace("_", " ") if close else None


def _unread_tabs(readings: Mapping[int, FileReading]) -> Iterator[_Note]:
    """Yield a note for every tab that nobody knows beside one that was read."""
    for at, reading in sorted(readings.items()):
        for other in reading.unknown_tabs if reading.tables else ():
            read = reading.tables[0]
            details = json.dumps({"tab": read.tab, "other": other}, ensure_ascii=False)
            yield at, read.tab, read.header.sheet, None, "tab-not-read", other, details
