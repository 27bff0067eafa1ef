"""A file as it arrived, in; the sheets in it, or why it was refused, out."""

import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

from pipeline.intake.header import Header, HeaderMissing, find_header, units_below
from pipeline.intake.pictures import is_whole, kind_of_picture, taken_on
from pipeline.intake.signatures import kind_of
from pipeline.intake.tables import Limits, RawTable, Refusal, SentFile, not_read, too_large, too_many_bytes
from pipeline.intake.text import read_text
from pipeline.intake.workbook import read_old_workbook, read_zipped_workbook


@dataclass(frozen=True)
class Picture:
    """A picture of a paper record, which waits to be typed: JPEG, PNG or HEIC, and when it was taken."""

    kind: str
    taken_on: date | None


@dataclass(frozen=True)
class SheetTable:
    """One sheet of one file: its header, and the rows below it, still as text.

    `blank` counts the blank rows that were passed over among them.
    """

    tab: str | None
    header: Header
    header_line: int
    rows: list[list[str]]
    lines: list[int]
    blank: int
    is_1904: bool | None


@dataclass(frozen=True)
class FileReading:
    """All that was found in one file: its sheets, the tabs that nobody knows, and what was refused.

    A picture has neither sheets nor rows: it waits as paper to be typed.
    """

    tables: list[SheetTable] = field(default_factory=list)
    refusals: list[Refusal] = field(default_factory=list)
    unknown_tabs: list[str] = field(default_factory=list)
    picture: Picture | None = None


def read_file(file: SentFile, limits: Limits) -> FileReading:
    """Return the sheets in a file, or why there are none."""
    started = time.monotonic()
    if len(file.content) > limits.largest_bytes:
        return FileReading(refusals=[too_many_bytes(len(file.content), limits.largest_bytes)])
    if not file.content.strip(b"\0 \t\r\n"):
        return FileReading(refusals=[Refusal("file-empty")])
    if (picture := kind_of_picture(file.content)) is not None:
        if not is_whole(file.content):
            return FileReading(refusals=[Refusal("file-damaged")])
        return FileReading(picture=Picture(picture, file.taken_on or taken_on(file.content)))
    raw = _raw_tables(file.content, limits, started)
    if isinstance(raw, Refusal):
        return FileReading(refusals=[raw])
    return _file_reading([_sheet(table, limits) for table in raw], raw)


def _raw_tables(content: bytes, limits: Limits, started: float) -> list[RawTable] | Refusal:
    kind = kind_of(content)
    if kind == "zip":
        return read_zipped_workbook(content, limits, started)
    if kind == "ole":
        return read_old_workbook(content, limits, started)
    if kind != "text":
        return not_read(kind)
    table = read_text(content, limits, started)
    return table if isinstance(table, Refusal) else [table]


def _sheet(table: RawTable, limits: Limits) -> SheetTable | Refusal:
    """Return the sheet that a table makes, or why it makes none."""
    header = find_header(table.rows)
    if isinstance(header, HeaderMissing):
        if header.column is None:
            return Refusal("sheet-unknown", table.tab)
        return Refusal("column-missing", table.tab, header.sheet, header.column)
    first = header.row + 1
    if len(table.rows) - first > limits.most_rows:
        return too_large(len(table.rows) - first, limits.most_rows, "rows")
    line, blank = table.lines[header.row], table.blanks[-1] - table.blanks[header.row]
    if first < len(table.rows) and (units := units_below(table.rows[first])) is not None:
        header, first = header.with_units(units), first + 1
    return SheetTable(table.tab, header, line, table.rows[first:], table.lines[first:], blank, table.is_1904)


def _file_reading(found: Sequence[SheetTable | Refusal], raw: Sequence[RawTable]) -> FileReading:
    """Return the reading of a file with one entry for each tab that holds something.

    A workbook with one sheet that we know may hold any other tabs; they are named, not refused. A tab that
    lacks a column, or is too large, is refused by itself.
    """
    tables = [item for item in found if isinstance(item, SheetTable)]
    refusals = [item for item in found if isinstance(item, Refusal)]
    unknown = [table.tab for table, item in zip(raw, found, strict=True) if _is_unknown(item)]
    if any(refusal.check == "file-too-large" for refusal in refusals):
        return FileReading(refusals=[next(item for item in refusals if item.check == "file-too-large")])
    known = [refusal for refusal in refusals if refusal.check != "sheet-unknown"]
    if tables or known:
        return FileReading(tables, known, [tab for tab in unknown if tab is not None])
    return FileReading(refusals=[Refusal("sheet-unknown")])


def _is_unknown(item: SheetTable | Refusal) -> bool:
    return isinstance(item, Refusal) and item.check == "sheet-unknown"
