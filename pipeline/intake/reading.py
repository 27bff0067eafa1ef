"""A file as it arrived, in; the sheets in it, or why it was refused, out."""

from dataclasses import dataclass

from pipeline.intake.header import Header, HeaderMissing, find_header
from pipeline.intake.sheets import plain
from pipeline.intake.tables import Limits, RawTable, Refusal, SentFile, too_large
from pipeline.intake.text import read_text
from pipeline.intake.values import is_blank
from pipeline.intake.workbook import is_workbook, read_workbook

#: First bytes of files that people send and that hold no table.
_OTHER_KINDS = {
    b"%PDF": "PDF",
    b"\xff\xd8\xff": "JPEG",
    b"\x89PNG": "PNG",
    b"GIF8": "GIF",
    b"RIFF": "RIFF",
    b"{\\rtf": "RTF",
    b"<!DOCTYPE": "HTML",
    b"<html": "HTML",
    b"II*\0": "TIFF",
    b"MM\0*": "TIFF",
}

#: Columns that a printed sheet may hold before anybody writes on it. A planting sheet comes with its tags
#: printed and its days open; all others may come with the day of the visit.
_PREPRINTED = {"planting": ("site", "plot", "treatment"), "delivery": ("site", "date", "treatment")}
_PREPRINTED_ELSEWHERE = ("site", "plot", "date")


@dataclass(frozen=True)
class SheetTable:
    """One sheet as read: its header and its rows below it, still as text."""

    tab: str | None
    header: Header
    rows: list[list[str]]
    lines: list[int]


@dataclass(frozen=True)
class FileReading:
    """All that was found in one file: its sheets, and what was refused in it."""

    tables: list[SheetTable]
    refusals: list[Refusal]


def read_file(file: SentFile, limits: Limits) -> FileReading:
    """Return the sheets in a file, or why there are none."""
    raw = _raw_tables(file, limits)
    if isinstance(raw, Refusal):
        return FileReading([], [raw])
    found = [_sheet(table) for table in raw]
    tables = [item for item in found if isinstance(item, SheetTable)]
    refusals = [item for item in found if isinstance(item, Refusal)]
    # A workbook with one sheet that we know may hold any other tabs; they are named, not refused.
    return FileReading(tables, [] if tables else refusals[:1])


def _raw_tables(file: SentFile, limits: Limits) -> list[RawTable] | Refusal:
    if len(file.content) > limits.largest_bytes:
        return too_large(len(file.content) // 1_000_000, limits.largest_bytes // 1_000_000, "MB")
    if not file.content.strip():
        return Refusal("file-empty")
    if is_workbook(file.content):
        return read_workbook(file.content, limits)
    for mark, kind in _OTHER_KINDS.items():
        if file.content[:16].lstrip().upper().startswith(mark.upper()):
            return Refusal("file-kind-not-read", details={"sent": kind})
    if b"\0\0\0" in file.content[:4096]:
        return Refusal("file-kind-not-read", details={"sent": "binary"})
    table = read_text(file.content, limits)
    return table if isinstance(table, Refusal) else [table]


def _sheet(table: RawTable) -> SheetTable | Refusal:
    header = find_header(table.rows)
    if isinstance(header, HeaderMissing):
        if header.column is None:
            return Refusal("sheet-unknown", table.tab)
        return Refusal("column-missing", table.tab, header.sheet, header.column)
    kept = [
        (row, line)
        for row, line in zip(table.rows[header.row + 1 :], table.lines[header.row + 1 :], strict=True)
        if _is_row(row, header, table.rows[header.row])
    ]
    if not kept:
        return Refusal("file-header-only", table.tab, header.sheet)
    return SheetTable(table.tab, header, [row for row, _ in kept], [line for _, line in kept])


def _is_row(row: list[str], header: Header, names: list[str]) -> bool:
    """Return whether somebody entered something: neither a repeated header nor a printed row left blank."""
    printed = _PREPRINTED.get(header.sheet, _PREPRINTED_ELSEWHERE)
    if not any(header.columns.get(at) not in printed and not is_blank(cell) for at, cell in enumerate(row)):
        return False
    same = [plain(cell) == plain(name) for cell, name in zip(row, names, strict=False) if name.strip()]
    return not (same and sum(same) >= 0.8 * len(same))
