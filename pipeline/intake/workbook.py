"""Spreadsheets (.xlsx, .xls, .ods): every tab as a table of text cells.

Cells come as the spreadsheet shows them: a date as its ISO day, a whole number without its point, a
percentage with its sign, a failed formula as its complaint, and a formula that was never worked out as the
formula itself after an equals sign. Hidden rows and tabs are read like any other; of a merged cell only the
first carries the value.
"""

import io
import time
from datetime import date, datetime, timedelta
from datetime import time as time_of_day
from typing import Any

from python_calamine import (
    CalamineError,
    CalamineWorkbook,
    PasswordError,
    SheetTypeEnum,
    WorksheetNotFound,
    XmlError,
    ZipError,
)

from pipeline.intake import archive, compound, ods, xlsx
from pipeline.intake.biff import open_old_workbook
from pipeline.intake.grid import BadRecordsError, BookFacts, GridFacts, damaged
from pipeline.intake.tables import Limits, RawTable, Refusal, holds_something, not_read, took_too_long

#: What other archives hold, by a part that each of them has.
_OTHER_ARCHIVES = (
    ("word/document.xml", "DOCX"),
    ("ppt/presentation.xml", "PPTX"),
    ("xl/workbook.bin", "XLSB"),
    ("AndroidManifest.xml", "APK"),
    ("doc.kml", "KMZ"),
)
_OTHER_OPEN_DOCUMENTS = {b"text": "ODT", b"presentation": "ODP", b"graphics": "ODG"}
_OPEN_DOCUMENT = b"application/vnd.oasis.opendocument."
_SPREADSHEET = (_OPEN_DOCUMENT + b"spreadsheet", _OPEN_DOCUMENT + b"spreadsheet-template")

#: What the reader of spreadsheets raises for a file that it cannot read.
_UNREADABLE = (CalamineError, XmlError, ZipError, WorksheetNotFound)


def read_zipped_workbook(content: bytes, limits: Limits, started: float) -> list[RawTable] | Refusal:
    """Return the tables of every tab of an .xlsx or .ods file that holds something."""
    try:
        parts = archive.unpack(content, limits, lambda name: xlsx.is_wanted(name) or ods.is_wanted(name))
        if isinstance(parts, Refusal):
            return parts
        if xlsx.WORKBOOK in parts:
            facts = xlsx.book_facts(parts, limits)
        elif ods.CONTENT in parts and parts.get("mimetype", b"").strip() in _SPREADSHEET:
            facts = ods.book_facts(parts, limits)
            parts["mimetype"] = _SPREADSHEET[0]
        else:
            return not_read(_kind_of_archive(content, parts))
        return _tables(archive.pack(parts), facts, limits, started)
    except BadRecordsError as bad:
        return bad.refusal


def read_old_workbook(content: bytes, limits: Limits, started: float) -> list[RawTable] | Refusal:
    """Return the tables of every tab of an .xls file that holds something."""
    try:
        book = open_old_workbook(content, limits)
        return _tables(compound.around(book.name, book.stream), book.facts, limits, started)
    except BadRecordsError as bad:
        return bad.refusal


def _kind_of_archive(content: bytes, parts: dict[str, bytes]) -> str:
    if (kind := parts.get("mimetype", b"")).startswith(_OPEN_DOCUMENT):
        name = kind.removeprefix(_OPEN_DOCUMENT).partition(b"-")[0].strip()
        return _OTHER_OPEN_DOCUMENTS.get(name, "ODF")
    names = archive.names(content)
    if any(name.endswith(".iwa") or name.startswith("Index/") for name in names):
        return "NUMBERS"
    return next((kind for part, kind in _OTHER_ARCHIVES if part in names), "ZIP")


def _tables(content: bytes, facts: BookFacts, limits: Limits, started: float) -> list[RawTable] | Refusal:
    """Return the tables of a file whose records were looked through."""
    found: list[RawTable] = []
    try:
        book = CalamineWorkbook.from_filelike(io.BytesIO(content))
        for at, sheet in enumerate(book.sheets_metadata):
            if sheet.typ != SheetTypeEnum.WorkSheet:
                continue
            if time.monotonic() - started > limits.most_seconds:
                return took_too_long(limits)
            known = facts.tabs[at][1] if at < len(facts.tabs) else GridFacts()
            grid = book.get_sheet_by_index(at).to_python(skip_empty_area=False)
            table = _table(sheet.name, grid, known, is_1904=facts.is_1904)
            if table.rows:
                found.append(table)
    except PasswordError:
        return Refusal("file-locked")
    except _UNREADABLE as error:
        raise damaged() from error
    except BaseException as error:
        # A broken rule inside the reader, which is not Python's, comes as an exception of its own kind.
        if type(error).__name__ != "PanicException":
            raise
        raise damaged() from error
    return found or Refusal("file-empty")


def _table(name: str, grid: list[list[Any]], facts: GridFacts, *, is_1904: bool) -> RawTable:
    rows = [[_shown(cell) for cell in row] for row in grid]
    for row, column in facts.percents:
        if row < len(grid) and column < len(grid[row]) and type(grid[row][column]) in (int, float):
            rows[row][column] = f"{_number(grid[row][column] * 100)}%"
    if facts.shown:
        width = max(facts.columns, max(map(len, rows), default=0))
        rows += [[] for _ in range(facts.rows - len(rows))]
        rows = [row + [""] * (width - len(row)) for row in rows]
    for (row, column), text in facts.shown.items():
        rows[row][column] = text
    lines = [line for line, row in enumerate(rows, start=1) if holds_something(row)]
    # Above the row on line 7, the fifth that holds something, stand two blank rows.
    blanks = [line - 1 - before for before, line in enumerate(lines)]
    kept = [rows[line - 1] for line in lines]
    return RawTable(name, kept, lines, [*blanks, len(rows) - len(lines)], is_1904)


def _shown(cell: object) -> str:
    """Return a cell as text: the day of a date cell in ISO form, a number as the spreadsheet shows it."""
    if isinstance(cell, str):
        return cell
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, (int, float)):
        return _number(cell)
    if isinstance(cell, datetime):
        return cell.date().isoformat()
    if isinstance(cell, (date, time_of_day)):
        return cell.isoformat()
    if isinstance(cell, timedelta):
        return _hours(cell)
    return str(cell)


def _number(value: float) -> str:
    """Return a number with the 15 digits that spreadsheets keep, so that 0.1 + 0.2 shows as 0.3."""
    return f"{value:.15g}"


def _hours(span: timedelta) -> str:
    minutes, seconds = divmod(int(span.total_seconds()), 60)
    return f"{minutes // 60}:{minutes % 60:02}:{seconds:02}"
