"""Sheets as files to take away: CSV and spreadsheet, with no cell that a spreadsheet would run."""

import csv
import io
import re
from collections.abc import Sequence
from datetime import date, datetime, time
from typing import Any

import xlsxwriter

from dashboard.formulas import disarmed
from dashboard.sending.mending import Grid

#: Numbers as people type them; one of them may begin with a minus and is no formula.
_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?")
#: Widest column of a spreadsheet, in letters, and the air beside its longest cell.
_WIDEST, _AIR = 40, 2
#: A file's own clock would make the same sheet differ from one second to the next.
_FIXED_DAY = datetime(2000, 1, 1)


def csv_bytes(grid: Grid) -> bytes:
    """Return a sheet as CSV in UTF-8 with a mark, so that spreadsheets read its accents."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerows([_safe(cell) for cell in row] for row in grid.rows)
    return out.getvalue().encode("utf-8-sig")


def workbook_bytes(grids: Sequence[Grid], *, frozen_rows: int = 0) -> bytes:
    """Return sheets as one spreadsheet, a tab each. Text stays text: nothing in it is run."""
    out = io.BytesIO()
    with xlsxwriter.Workbook(out, {"in_memory": True, "default_date_format": "yyyy-mm-dd"}) as book:
        book.set_properties({"created": _FIXED_DAY})
        for at, grid in enumerate(grids, start=1):
            sheet = book.add_worksheet(_tab_name(grid.tab, at))
            for down, row in enumerate(grid.rows):
                for across, cell in enumerate(row):
                    _write(sheet, down, across, cell)
            for across, width in enumerate(_widths(grid)):
                sheet.set_column(across, across, width)
            if frozen_rows:
                sheet.freeze_panes(frozen_rows, 0)
    return out.getvalue()


def _safe(cell: str) -> str:
    """Return a cell so that a spreadsheet that opens the CSV takes it for text, unless it is a number."""
    return cell if _NUMBER.fullmatch(cell) else disarmed(cell)


def _write(sheet: Any, down: int, across: int, cell: str) -> None:
    """Write one cell: a day as a day and a number as a number, all else as text, never as a formula."""
    if not cell:
        return
    day = _day(cell)
    if day is not None:
        sheet.write_datetime(down, across, datetime.combine(day, time()))
    elif re.fullmatch(r"(?:0|[1-9]\d{0,11})(?:\.\d+)?", cell):
        sheet.write_number(down, across, float(cell))
    else:
        sheet.write_string(down, across, cell)


def _day(cell: str) -> date | None:
    try:
        return date.fromisoformat(cell) if len(cell) == 10 else None
    except ValueError:
        return None


def _widths(grid: Grid) -> list[int]:
    columns = max((len(row) for row in grid.rows), default=0)
    longest = [max((len(row[at]) for row in grid.rows if at < len(row)), default=0) for at in range(columns)]
    return [min(length + _AIR, _WIDEST) for length in longest]


def _tab_name(tab: str, at: int) -> str:
    """Return the tab's name as a spreadsheet takes it: 31 letters, without the marks that it keeps."""
    kept = re.sub(r"[\[\]:*?/\\]", " ", tab).strip("' ")[:31]
    return kept or f"Sheet{at}"
