"""The header of a sheet: which row it is, what kind of sheet it makes, which column each name stands for."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from pipeline.intake.sheets import names_of, plain, sheets
from pipeline.intake.units import LENGTH_UNITS, WEIGHT_UNITS

#: How far down we look for the column names; titles above them are common. Common practice, no source.
LOOK_AHEAD_ROWS = 30

_PARENTHESIS = re.compile(r"[(\[]([^)\]]*)[)\]]\s*$")
_TRAILING_UNIT = re.compile(r"[\s_,]+(kgs?|lbs?|g|oz|cm|in|mm)\.?\s*$", re.IGNORECASE)


@dataclass(frozen=True)
class Header:
    """A header that was understood.

    `columns` maps the position of a cell to the sheet's column, `units` a column to the unit in its name,
    `unknown` a position to a name that nobody knows, `twice` a column to its second positions.
    """

    row: int
    sheet: str
    columns: dict[int, str]
    units: dict[str, str]
    unknown: dict[int, str]
    twice: dict[str, list[int]]


@dataclass(frozen=True)
class HeaderMissing:
    """Why no header was understood: no kind of sheet fits, or one fits but lacks a required column."""

    sheet: str | None = None
    column: str | None = None


def find_header(rows: Sequence[Sequence[str]]) -> Header | HeaderMissing:
    """Return the first row that names the columns of a sheet, else the nearest miss."""
    nearest = HeaderMissing()
    for position, cells in enumerate(rows[:LOOK_AHEAD_ROWS]):
        found = read_header(cells, position)
        if isinstance(found, Header):
            return found
        if found.sheet is not None and nearest.sheet is None:
            nearest = found
    return nearest


def read_header(cells: Sequence[str], row: int = 0) -> Header | HeaderMissing:
    """Return what a row says as a header.

    A kind of sheet fits where all its required columns are named and at least one column that is not
    shared with every kind. Of two kinds that fit, the one with more named columns is meant; where they
    are equal, nobody can tell.
    """
    matches = {name: _match(cells, name) for name in sheets()}
    fits = {name: match for name, match in matches.items() if _is_whole(name, match)}
    if fits:
        most = max(len(match) for match in fits.values())
        best = [name for name, match in fits.items() if len(match) == most]
        return _header(cells, row, best[0]) if len(best) == 1 else HeaderMissing()
    near = {name: len(match) for name, match in matches.items() if len(match) >= 3 and _lacks(name, match)}
    if not near:
        return HeaderMissing()
    closest = max(near, key=lambda name: near[name])
    return HeaderMissing(closest, _lacks(closest, matches[closest])[0])


def _split_unit(cell: str) -> tuple[str, str | None]:
    """Return the name in a header cell and the unit that stands in or after it, if any."""
    inner = _PARENTHESIS.search(cell)
    if inner:
        unit = _unit(inner.group(1))
        return (cell[: inner.start()], unit) if unit else (cell, None)
    trailing = _TRAILING_UNIT.search(cell)
    return (cell[: trailing.start()], _unit(trailing.group(1))) if trailing else (cell, None)


def _unit(text: str) -> str | None:
    word = text.strip().strip(".").casefold()
    return WEIGHT_UNITS.get(word) or LENGTH_UNITS.get(word)


def _column(cell: str, names: dict[str, str]) -> str | None:
    """Return the column that a header cell stands for, with or without the unit or remark in it."""
    for name in (cell, _split_unit(cell)[0], _PARENTHESIS.sub("", cell)):
        if (column := names.get(plain(name))) is not None:
            return column
    return None


def _match(cells: Sequence[str], sheet: str) -> set[str]:
    names = names_of(sheet)
    return {column for cell in cells if cell and (column := _column(cell, names)) is not None}


def _lacks(sheet: str, match: set[str]) -> list[str]:
    return [name for name in sheets()[sheet].required if name not in match]


def _is_whole(sheet: str, match: set[str]) -> bool:
    shared = {"site", "plot", "date", "treatment", "note", "recorded_by", "unit"}
    return not _lacks(sheet, match) and (bool(match - shared) or sheet == "delivery")


def _header(cells: Sequence[str], row: int, sheet: str) -> Header:
    names = names_of(sheet)
    kinds = {column.name: column.kind for column in sheets()[sheet].columns}
    columns: dict[int, str] = {}
    units: dict[str, str] = {}
    unknown: dict[int, str] = {}
    twice: dict[str, list[int]] = {}
    for position, cell in enumerate(cells):
        column = _column(cell, names)
        if column is None:
            if cell.strip():
                unknown[position] = cell.strip()
            continue
        if column in columns.values():
            twice.setdefault(column, []).append(position)
            continue
        columns[position] = column
        unit = _split_unit(cell)[1]
        if unit and kinds[column] in ("weight", "length"):
            units[column] = unit
    return Header(row, sheet, columns, units, unknown, twice)
