"""The header of a sheet: which row it is, what kind of sheet it makes, which column each name stands for."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache, lru_cache

from pipeline.intake.sheets import Name, names_of, plain, sheets
from pipeline.intake.units import length_unit, weight_unit

#: How far down we look for the column names; titles above them are common. Common practice, no source.
LOOK_AHEAD_ROWS = 30

#: A longer cell is no column name.
LONGEST_NAME = 80

#: Columns that several kinds of sheet share; they alone do not make a kind.
_SHARED = frozenset(["site", "plot", "date", "treatment", "note", "recorded_by", "unit"])

_REMARK = re.compile(r"[(\[]([^)\]]*)[)\]]\s*\.?\s*$")
_UNIT_WORDS = (
    r"kgs?|kilos?|kilograms?|kilogramos?|lbs?|pounds?|libras?|g|grams?|gramos?|oz|ounces?|onzas?"
    r"|cm|mm|in|inches"
)
_TRAILING = re.compile(rf"[\s_,:/-]+(?:in[\s_]+|en[\s_]+)?({_UNIT_WORDS})\.?\s*$", re.I)
_LEADING = re.compile(rf"^\s*({_UNIT_WORDS})\.?[\s_]+(?:of[\s_]+|de[\s_]+)?(?=\S)", re.I)
_ORDER = re.compile(
    r"(?P<first>d{1,2}|m{1,2}|y{2,4}|day|month|year|dia|mes|ano|a{2,4})[\s/.\-,]+"
    r"(?P<second>d{1,2}|m{1,2}|day|month|dia|mes)[\s/.\-,]+"
    r"(?:d{1,2}|m{1,2}|y{2,4}|day|month|year|dia|mes|ano|a{2,4})(?![a-z])"
)
_WEIGHT_WORD = re.compile(r"\bwt\b\.?|\bwgt\b\.?", re.I)
_NUMBER_WORD = re.compile(r"\b(?:no|nr|num)\b\.?|#(?=\s*\w)|nº", re.I)
#: A unit by area is another quantity than a share of the soil's mass.
_BY_AREA = re.compile(r"/\s*(?:ac|acre|ha|a)\b|\bacre|\bhect|per ac|meq|cmol", re.I)
#: Names that mean a weight only because a unit of weight stands with them.
_WEIGHED = frozenset(
    map(plain, ["harvested", "picked", "harvest", "produce", "total", "cosecha", "cosechado", "cosechados"])
)
#: Names of a column that only counts the rows of a printed sheet.
_NUMBERING = frozenset(["", "no", "nr", "num", "row", "line", "rowno", "lineno", "fila", "linea", "n"])

#: What the name of a laboratory's column says of the method, by sheet and column.
_SAYS: dict[tuple[str, str], tuple[tuple[str, str, str], ...]] = {
    ("soil", "p_ppm"): (
        ("mehlich", "p_method", "Mehlich-3"),
        ("m3", "p_method", "Mehlich-3"),
        ("olsen", "p_method", "Olsen"),
        ("bray", "p_method", "Bray-1"),
    ),
    ("soil", "ph"): (
        ("cacl", "ph_in", "CaCl2"),
        ("calciumchloride", "ph_in", "CaCl2"),
        ("water", "ph_in", "water"),
        ("h2o", "ph_in", "water"),
        ("agua", "ph_in", "water"),
    ),
}


@dataclass(frozen=True)
class Header:
    """A header that was understood.

    `columns` maps the position of a cell to the sheet's column, `twice` a column to its further positions,
    `units` a position to the unit in its name, `unknown` a position to a name that nobody knows. `order` is
    that of dates where the header spells it out, `says` what the names say of columns that may be missing.
    """

    row: int
    sheet: str
    cells: tuple[str, ...]
    columns: dict[int, str]
    units: dict[int, str]
    unknown: dict[int, str]
    twice: dict[str, list[int]]
    order: str | None = None
    says: dict[str, str] | None = None

    def unit_of(self, column: str) -> str | None:
        """Return the unit in the name of a column, if any."""
        return next((self.units.get(at) for at, name in self.columns.items() if name == column), None)

    @property
    def numbering(self) -> frozenset[int]:
        """The positions of columns that only count the rows."""
        return frozenset(at for at, name in self.unknown.items() if plain(name) in _NUMBERING)

    def with_units(self, units: dict[int, str]) -> "Header":
        """Return the header with units that stand in the row below it, where it has none itself."""
        kept = {at: unit for at, unit in units.items() if at in self.columns or self._is_twice(at)}
        return replace(self, units=kept | self.units)

    def _is_twice(self, at: int) -> bool:
        return any(at in positions for positions in self.twice.values())


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
    shared with every kind. Of two kinds that fit, the one with more named columns is meant, then the one
    with more columns by their own name; where they are equal, nobody can tell.
    """
    if sum(1 for cell in cells if 0 < len(cell.strip()) <= LONGEST_NAME) < 2:
        return HeaderMissing()
    matches = {name: _match(cells, name) for name in sheets()}
    fits = {name: _rank(match) for name, match in matches.items() if _is_whole(name, set(match))}
    if fits:
        best = [name for name, rank in fits.items() if rank == max(fits.values())]
        return _header(cells, row, best[0]) if len(best) == 1 else HeaderMissing()
    near = {
        name: _rank(match) for name, match in matches.items() if len(match) >= 3 and _lacks(name, set(match))
    }
    if not near:
        return HeaderMissing()
    closest = max(near, key=lambda name: near[name])
    return HeaderMissing(closest, _lacks(closest, set(matches[closest]))[0])


def _match(cells: Sequence[str], sheet: str) -> dict[str, bool]:
    """Return the columns that are named, and whether by their own name."""
    match: dict[str, bool] = {}
    for cell in cells:
        name, _ = _named(cell, sheet)
        if name is not None:
            match[name.column] = match.get(name.column, False) or name.is_own
    return match


def _rank(match: dict[str, bool]) -> tuple[int, int]:
    return len(match), sum(match.values())


def _lacks(sheet: str, match: set[str]) -> list[str]:
    return [name for name in sheets()[sheet].required if name not in match]


def _is_whole(sheet: str, match: set[str]) -> bool:
    return not _lacks(sheet, match) and (bool(match - _SHARED) or sheet == "delivery")


@cache
def _kinds(sheet: str) -> dict[str, str]:
    return {column.name: column.kind for column in sheets()[sheet].columns}


@dataclass(frozen=True)
class _Spoken:
    """What a header cell says, whatever the sheet: its name in several plain ways, and the unit in it."""

    names: tuple[str, ...]
    bare: str
    unit: str | None
    is_by_area: bool


@lru_cache(maxsize=8192)
def _spoken(cell: str) -> _Spoken | None:
    """Return what a header cell says, or None for one that is blank or too long for a name."""
    if not cell.strip() or len(cell) > LONGEST_NAME:
        return None
    bare, unit = _split_unit(cell)
    ways = [
        plain(way)
        for text in (cell, bare, _REMARK.sub("", cell))
        for way in (text, _NUMBER_WORD.sub("number", _WEIGHT_WORD.sub("weight", text)))
    ]
    return _Spoken(tuple(dict.fromkeys(ways)), plain(bare), unit, _BY_AREA.search(cell) is not None)


def _named(cell: str, sheet: str) -> tuple[Name | None, str | None]:
    """Return what a header cell stands for in a kind of sheet, and the unit in it."""
    spoken = _spoken(cell)
    if spoken is None:
        return None, None
    names, kinds, unit = names_of(sheet), _kinds(sheet), spoken.unit or ""
    found = next((names[name] for name in spoken.names if name in names), None)
    if found is None:
        if weight_unit(unit) and (not spoken.bare or spoken.bare in _WEIGHED):
            return _weight_of(None, sheet), unit
        return None, None
    kind = kinds[found.column]
    if weight_unit(unit) and kind == "count":
        return _weight_of(found.column, sheet), unit
    if spoken.is_by_area and found.column.endswith(("_ppm", "_pct")):
        return None, None
    fits = (kind == "weight" and weight_unit(unit)) or (kind == "length" and length_unit(unit))
    return found, unit if fits else None


def _weight_of(count: str | None, sheet: str) -> Name | None:
    """Return the weight column that belongs to a count, else the sheet's first weight column."""
    weights = sheets()[sheet].of_kind("weight")
    beside = f"{(count or '').removesuffix('_count')}_weight"
    column = beside if beside in weights else weights[0] if weights and count is None else None
    return None if column is None else Name(column, is_own=False, is_weak=False)


def _split_unit(cell: str) -> tuple[str, str | None]:
    """Return the name in a header cell and the unit that stands in, before or after it, if any."""
    if whole := _unit(cell):
        return ("", whole) if len(plain(cell)) > 1 else (cell, None)
    if (inner := _REMARK.search(cell)) and (unit := _unit(inner.group(1))):
        return cell[: inner.start()], unit
    if trailing := _TRAILING.search(cell):
        return cell[: trailing.start()], _unit(trailing.group(1))
    if leading := _LEADING.search(cell):
        return cell[leading.end() :], _unit(leading.group(1))
    return cell, None


def _unit(text: str) -> str | None:
    word = re.sub(r"^\s*(?:in|en)\s+(?=\S)", "", text, flags=re.I)
    return weight_unit(word) or length_unit(word)


def units_below(cells: Sequence[str]) -> dict[int, str] | None:
    """Return the units of a row that holds nothing but units, by position; None for any other row."""
    filled = {at: cell.strip("()[] \t") for at, cell in enumerate(cells) if cell.strip()}
    units = {at: unit for at, cell in filled.items() if len(cell) <= LONGEST_NAME and (unit := _unit(cell))}
    return units if filled and len(units) == len(filled) else None


def _header(cells: Sequence[str], row: int, sheet: str) -> Header:
    named = {at: _named(cell, sheet) for at, cell in enumerate(cells)}
    strong = {name.column for name, _ in named.values() if name is not None and not name.is_weak}
    columns: dict[int, str] = {}
    units: dict[int, str] = {}
    unknown: dict[int, str] = {}
    twice: dict[str, list[int]] = {}
    for at, (name, unit) in named.items():
        taken = name is not None and (name.column in strong or name.column in columns.values())
        if name is None or (name.is_weak and taken):
            if cells[at].strip():
                unknown[at] = " ".join(cells[at].split())
            continue
        if name.column in columns.values():
            twice.setdefault(name.column, []).append(at)
        else:
            columns[at] = name.column
        if unit:
            units[at] = unit
    return Header(
        row,
        sheet,
        tuple(cells),
        columns,
        units,
        unknown,
        twice,
        _date_order(cells, columns),
        _says(sheet, cells, columns) or None,
    )


def _date_order(cells: Sequence[str], columns: dict[int, str]) -> str | None:
    """Return the order of dates where a header such as `Date (dd/mm/yyyy)` spells it out."""
    for at, column in columns.items():
        if column == "date" and (found := _ORDER.search(_small(cells[at]))):
            first, second = found["first"][0], found["second"][0]
            order = {"dm": "dmy", "md": "mdy", "ym": "ymd", "am": "ymd"}.get(first + second)
            if order is not None:
                return order
    return None


def _small(text: str) -> str:
    return text.casefold().replace("í", "i").replace("ñ", "n")


def _says(sheet: str, cells: Sequence[str], columns: dict[int, str]) -> dict[str, str]:
    says: dict[str, str] = {}
    for at, column in columns.items():
        for part, other, value in _SAYS.get((sheet, column), ()):
            if part in plain(cells[at]):
                says.setdefault(other, value)
    return says
