"""A sheet as it was sent, and edits to it, in; the corrected sheet, out.

Every cell that no edit names stays as it was typed, and every row keeps its line, so that what was asked
about line 17 is answered on line 17.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from pipeline.intake.reading import SheetTable
from pipeline.intake.units import KG_PER_UNIT, weight_unit

EditKind = Literal["write", "switch", "take out", "times 100"]


@dataclass(frozen=True)
class Edit:
    """One change to a sheet.

    `tab` is the tab that the sheet stands on, blank in a text file. `line` names one row; 0 means all rows.
    `write` puts `text` into a column, over what it holds or (with `only_blank`) where it holds nothing.
    `switch` puts the cells of `column` and of the column `text` in each other's place, `take out` empties
    the row, `times 100` makes percents of parts of one.
    """

    kind: EditKind
    column: str = ""
    text: str = ""
    line: int = 0
    tab: str = ""
    only_blank: bool = False


@dataclass(frozen=True)
class Grid:
    """The cells of one sheet as they stand in a file, the first row on line 1."""

    tab: str
    rows: list[list[str]]


@dataclass(frozen=True)
class _Sheet:
    """A sheet while it is being mended: the place of its columns, and its rows by line."""

    header: list[str]
    places: dict[str, int]
    rows: dict[int, list[str]]

    def with_column(self, column: str) -> "_Sheet":
        """Return the sheet with a column, added at the right where it lacks it."""
        if column in self.places:
            return self
        return replace(self, header=[*self.header, column], places=self.places | {column: len(self.header)})

    def changed(self, lines: Sequence[int], change: Callable[[list[str]], list[str]]) -> "_Sheet":
        """Return the sheet with some rows changed; they are as wide as the header."""
        width = len(self.header)
        new = {line: change(_widened(self.rows[line], width)) for line in lines if line in self.rows}
        return replace(self, rows=self.rows | new)


def mended(tables: Sequence[SheetTable], edits: Sequence[Edit]) -> list[Grid]:
    """Return the sheets of a file with the edits made, in the order in which they are given."""
    return [
        _mended_table(table, [edit for edit in edits if edit.tab == (table.tab or "")]) for table in tables
    ]


def _mended_table(table: SheetTable, edits: Sequence[Edit]) -> Grid:
    header = table.header
    sheet = _Sheet(
        _header_with_units(table),
        {name: at for at, name in header.columns.items()},
        dict(zip(table.lines, (list(row) for row in table.rows), strict=True)),
    )
    for edit in edits:
        sheet = _edited(sheet, edit)
    return Grid(table.tab or "", _on_their_lines(sheet, table.header_line))


def _header_with_units(table: SheetTable) -> list[str]:
    """Return the column names, with the units that stood on a line of their own below them."""
    cells = list(table.header.cells)
    for at, unit in table.header.units.items():
        if not any(weight_unit(part) for part in _words(cells[at])) and unit in KG_PER_UNIT:
            cells[at] = f"{cells[at].strip()} ({unit})"
    return cells


def _words(cell: str) -> list[str]:
    for mark in "()[]_,:/-":
        cell = cell.replace(mark, " ")
    return cell.split()


def _edited(sheet: _Sheet, edit: Edit) -> _Sheet:
    lines = [edit.line] if edit.line else list(sheet.rows)
    if edit.kind == "take out":
        return sheet.changed(lines, lambda row: [""] * len(row))
    if edit.kind == "switch":
        return _switched(sheet, edit, lines)
    if edit.kind == "times 100":
        return _multiplied(sheet, edit, lines)
    return _written(sheet.with_column(edit.column), edit, lines)


def _written(sheet: _Sheet, edit: Edit, lines: Sequence[int]) -> _Sheet:
    at = sheet.places[edit.column]

    def write(row: list[str]) -> list[str]:
        if edit.only_blank and (row[at].strip() or not any(cell.strip() for cell in row)):
            return row
        return _put(row, at, edit.text)

    return sheet.changed(lines, write)


def _multiplied(sheet: _Sheet, edit: Edit, lines: Sequence[int]) -> _Sheet:
    if edit.column not in sheet.places:
        return sheet
    at = sheet.places[edit.column]
    return sheet.changed(lines, lambda row: _put(row, at, _percent(row[at])))


def _switched(sheet: _Sheet, edit: Edit, lines: Sequence[int]) -> _Sheet:
    one, other = sheet.places.get(edit.column), sheet.places.get(edit.text)
    if one is None or other is None:
        return sheet
    return sheet.changed(lines, lambda row: _put(_put(row, one, row[other]), other, row[one]))


def _put(row: list[str], at: int, text: str) -> list[str]:
    return [*row[:at], text, *row[at + 1 :]]


def _percent(cell: str) -> str:
    """Return a part of one as percent; a cell that is no number stays."""
    try:
        return f"{float(cell.replace(',', '.')) * 100:g}"
    except ValueError:
        return cell


def _widened(row: list[str], width: int) -> list[str]:
    return [*row, *[""] * (width - len(row))]


def _on_their_lines(sheet: _Sheet, header_line: int) -> list[list[str]]:
    """Return the rows with blank ones between them, so that each stands on the line where it was."""
    last = max(sheet.rows, default=header_line)
    return [sheet.header if line == header_line else sheet.rows.get(line, []) for line in range(1, last + 1)]
