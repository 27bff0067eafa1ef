"""Spreadsheets (.xlsx, .xls, .ods): every tab as a table of text cells.

Cells come as the spreadsheet shows them: a date as its ISO day, a whole number without its point.
"""

import io
import zipfile
from datetime import date, datetime, time, timedelta

from python_calamine import CalamineError, CalamineSheet, CalamineWorkbook, PasswordError

from pipeline.intake.tables import Limits, RawTable, Refusal, too_large, without_blank_rows

#: First bytes of a ZIP archive (.xlsx, .ods) and of an OLE file (.xls, and .xlsx with a password).
ZIP_MARK = b"PK\x03\x04"
OLE_MARK = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"


def is_workbook(content: bytes) -> bool:
    """Return whether the first bytes are those of a spreadsheet."""
    return content.startswith((ZIP_MARK, OLE_MARK))


def read_workbook(content: bytes, limits: Limits) -> list[RawTable] | Refusal:
    """Return the tables of every tab that holds something."""
    if content.startswith(ZIP_MARK) and (refusal := _unpacked_refusal(content, limits)) is not None:
        return refusal
    try:
        book = CalamineWorkbook.from_filelike(io.BytesIO(content))
        sheets = [book.get_sheet_by_name(name) for name in book.sheet_names]
    except PasswordError:
        return Refusal("file-locked")
    except CalamineError:
        return Refusal("file-locked" if b"E\0n\0c\0r\0y\0p\0t" in content else "file-damaged")
    tables = []
    for sheet in sheets:
        if sheet.total_height > limits.most_rows:
            return too_large(sheet.total_height, limits.most_rows, "rows")
        if sheet.total_width > limits.most_columns:
            return too_large(sheet.total_width, limits.most_columns, "columns")
        table = _table(sheet)
        if table.rows:
            tables.append(table)
    return tables if tables else Refusal("file-empty")


def _unpacked_refusal(content: bytes, limits: Limits) -> Refusal | None:
    """Return a refusal where the archive is broken, locked, or would unpack to more than the limit."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            members = archive.infolist()
    except zipfile.BadZipFile:
        return Refusal("file-damaged")
    if any(member.flag_bits & 1 for member in members):
        return Refusal("file-locked")
    size = sum(member.file_size for member in members)
    if size > limits.largest_unpacked_bytes:
        return too_large(size // 1_000_000, limits.largest_unpacked_bytes // 1_000_000, "MB")
    names = {member.filename for member in members}
    if not ({"xl/workbook.xml", "content.xml", "xl/workbook.bin"} & names):
        return Refusal("file-kind-not-read", details={"sent": "ZIP"})
    return None


def _table(sheet: CalamineSheet) -> RawTable:
    rows = [[_shown(cell) for cell in row] for row in sheet.to_python(skip_empty_area=False)]
    return without_blank_rows(sheet.name, rows, list(range(1, len(rows) + 1)))


def _shown(cell: object) -> str:
    """Return a cell as text: the day of a date cell in ISO form, a number in its shortest form."""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float):
        return str(int(cell)) if cell.is_integer() and abs(cell) < 1e15 else repr(cell)
    if isinstance(cell, datetime):
        return cell.date().isoformat()
    if isinstance(cell, date):
        return cell.isoformat()
    if isinstance(cell, (time, timedelta)):
        return str(cell)
    return str(cell)
