"""Cells below a header, from any number of files, as the rows that were sent: still text, with their place.

Each row has, for each column of its sheet, `sent_` the cell as typed (null where blank), and for weights and
lengths `header_unit_` the unit in the header. `other_columns` keeps what nobody knew, as JSON. Columns that
are there only where a file needs them: `twice_` the cell of a second column for the same thing that says
something else, `says_` what the header says of a column, `is_too_wide` where a line has cells beyond the
header, `is_1904` and `header_order` for days.
"""

import json
from dataclasses import dataclass
from functools import lru_cache, reduce

import polars as pl

from pipeline.intake.header import Header
from pipeline.intake.sheets import Sheet, sheets
from pipeline.intake.skipped import BLANK_CELLS, split_rows
from pipeline.intake.units import KG_PER_UNIT, OUNCES_PER_POUND

#: A formula's complaint that means no value; in a column that may be blank it is blank.
NOT_AVAILABLE = ("#N/A", "#N/D")
_BLANK_OR_NOT_AVAILABLE = (*BLANK_CELLS, *NOT_AVAILABLE)

#: No cell: a null among texts.
NO_TEXT = pl.lit(None, pl.String)
#: Two weights in two units that differ by less say the same, rounded in two ways. Common practice, no source.
_SAME_SHARE = 0.01


@dataclass(frozen=True)
class Cells:
    """Cells below a header: `table`, `file`, `tab`, `line`, and the cells `c0`, `c1`, ... as text.

    Where a file needs it there is also `beyond` (cells beyond the header) and `is_1904`. Where it cannot be
    so, `may_hold_odd_spaces` says that spaces around a cell are plain ones, and `is_guarded` that no cell
    stands as ="001", as a spreadsheet saves what it must not touch. `has_outer_spaces` is false where no cell
    has a plain space around it either.
    """

    frame: pl.DataFrame
    may_hold_odd_spaces: bool
    is_guarded: bool
    has_outer_spaces: bool = True


@dataclass(frozen=True)
class SentRows:
    """The rows of files with one header, what was passed over, and the columns that nobody knows.

    `skipped` has the columns of `skipped.SKIPPED`. `other_filled` has, for each table, one column for each
    position of `other_names`: whether it holds something.
    """

    rows: pl.DataFrame
    skipped: pl.DataFrame
    other_filled: pl.DataFrame


def sent_rows(header: Header, cells: Cells) -> SentRows:
    """Return the rows below a header."""
    sheet = sheets()[header.sheet]
    others = other_names(header)
    rows, skipped = split_rows(header, _tidied(sheet, header, cells))
    said = [_other_columns(others, rows).alias("other_columns"), *_column_cells(sheet, header)]
    said += [pl.lit(value, pl.String).alias(f"says_{name}") for name, value in (header.says or {}).items()]
    if header.order is not None:
        said.append(pl.lit(header.order, pl.String).alias("header_order"))
    if "beyond" in rows.columns:
        said.append(pl.col("beyond").is_not_null().alias("is_too_wide"))
    place = [name for name in ("table", "file", "tab", "line", "is_1904") if name in rows.columns]
    return SentRows(rows.select(*place, *said), skipped, _other_filled(rows, others))


def other_names(header: Header) -> dict[int, str]:
    """Return the columns that nobody knows, by position; one without a name is called by its letter."""
    known = _known(header)
    named: dict[int, str] = {}
    for at in range(len(header.cells)):
        if at not in known:
            name = header.unknown.get(at) or f"column {column_letter(at)}"
            named[at] = name if name not in named.values() else f"{name} ({column_letter(at)})"
    return named


def _known(header: Header) -> dict[int, str]:
    """Return the sheet's column at each position that has one, second columns for the same thing included."""
    further = {at: name for name, positions in header.twice.items() for at in positions}
    return header.columns | further


def column_letter(at: int) -> str:
    """Return the letters by which a spreadsheet calls its column."""
    letters, at = "", at + 1
    while at:
        at, rest = divmod(at - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def _tidied(sheet: Sheet, header: Header, cells: Cells) -> pl.DataFrame:
    """Return the cells without outer spaces, null where they are empty or say that nothing was recorded."""
    known = _known(header)
    blank = [
        ("",) if at not in known else BLANK_CELLS if known[at] in sheet.required else _BLANK_OR_NOT_AVAILABLE
        for at in range(len(header.cells))
    ]
    if cells.may_hold_odd_spaces or cells.is_guarded:
        return cells.frame.with_columns(
            _tidy(at, words, is_guarded=cells.is_guarded) for at, words in enumerate(blank)
        )
    # Most columns are tidy as they are, and looking is cheaper than writing them anew.
    is_untidy = cells.frame.select(
        _is_untidy(at, words, has_outer_spaces=cells.has_outer_spaces) for at, words in enumerate(blank)
    ).row(0)
    untidy = [_tidy(at, words) for at, words in enumerate(blank) if is_untidy[at]]
    return cells.frame.with_columns(untidy) if untidy else cells.frame


@lru_cache(maxsize=1024)
def _tidy(at: int, blank: tuple[str, ...], *, is_guarded: bool = False) -> pl.Expr:
    """Return a cell without outer spaces, null where it holds one of the words for nothing."""
    cell = pl.col(f"c{at}").str.strip_chars()
    if is_guarded:
        cell = cell.str.replace(r'(?s)^="(.*)"$', "${1}")
    return pl.when(~cell.is_in(blank)).then(cell)


@lru_cache(maxsize=1024)
def _is_untidy(at: int, blank: tuple[str, ...], *, has_outer_spaces: bool) -> pl.Expr:
    """Return whether some cell of a column holds a word for nothing, or has a space around it."""
    cell = pl.col(f"c{at}")
    found = cell.is_in(blank)
    if has_outer_spaces:
        found |= cell.str.starts_with(" ") | cell.str.ends_with(" ")
    return found.any()


def _column_cells(sheet: Sheet, header: Header) -> list[pl.Expr]:
    """Return the cells of each column of the sheet, and the unit in the header of each measure."""
    positions = {name: [at, *header.twice.get(name, ())] for at, name in header.columns.items()}
    exprs: list[pl.Expr] = []
    for column in sheet.columns:
        found = [_Cell.at(at, header) for at in positions.get(column.name, ())]
        whole = reduce(_joined, found) if found else _Cell(NO_TEXT, NO_TEXT, None)
        exprs.append(whole.cell.alias(f"sent_{column.name}"))
        if column.kind in ("weight", "length"):
            exprs.append(whole.unit.alias(f"header_unit_{column.name}"))
        if whole.differs is not None:
            exprs.append(whole.differs.alias(f"twice_{column.name}"))
    return exprs


@dataclass(frozen=True)
class _Cell:
    """The cell of a column, its unit in the header, and what a second column says instead."""

    cell: pl.Expr
    unit: pl.Expr
    header_unit: str | None
    differs: pl.Expr | None = None

    @classmethod
    def at(cls, at: int, header: Header) -> "_Cell":
        """Return the cell at a position."""
        unit = header.units.get(at)
        return cls(pl.col(f"c{at}"), pl.lit(unit, pl.String), unit)


def _joined(first: _Cell, second: _Cell) -> _Cell:
    """Return two columns for one thing as one: the first that is filled, and the second where it differs.

    A column of pounds beside one of ounces holds both parts of one weight.
    """
    one, two = first.cell, second.cell
    pair = _pounds_and_ounces(first, second)
    cell = pl.coalesce(pair, one, two)
    differs = (one != two) & pair.is_null() & ~_say_the_same(first, second).fill_null(value=False)
    unit = pl.when(one.is_null() & two.is_not_null()).then(second.unit).otherwise(first.unit)
    other = pl.when(differs).then(two)
    before = [] if first.differs is None else [first.differs]
    return _Cell(cell, unit, first.header_unit, pl.coalesce(*before, other))


def _number(cell: pl.Expr) -> pl.Expr:
    return cell.cast(pl.Float64, strict=False)


def _pounds_and_ounces(first: _Cell, second: _Cell) -> pl.Expr:
    """Return the weight that whole pounds in one column and less than a pound of ounces in the other make."""
    by_unit = {first.header_unit: first.cell, second.header_unit: second.cell}
    if set(by_unit) != {"lb", "oz"}:
        return NO_TEXT
    pounds, ounces = by_unit["lb"], by_unit["oz"]
    whole = _number(pounds)
    is_pair = (
        (whole == whole.floor())
        & (whole >= 0)
        & _number(ounces).is_between(0, OUNCES_PER_POUND, closed="left")
    )
    return pl.when(is_pair).then(pl.concat_str(pounds, pl.lit(" lb "), ounces, pl.lit(" oz")))


def _say_the_same(first: _Cell, second: _Cell) -> pl.Expr:
    """Return whether two cells hold one number, or one weight in two units."""
    one, two = _number(first.cell), _number(second.cell)
    units = [unit for unit in (first.header_unit, second.header_unit) if unit in KG_PER_UNIT]
    size = KG_PER_UNIT[units[1]] / KG_PER_UNIT[units[0]] if len(units) == 2 else 1.0
    if size == 1.0:
        return one == two
    return (one - two * size).abs() <= _SAME_SHARE * one.abs()


def _other_filled(rows: pl.DataFrame, others: dict[int, str]) -> pl.DataFrame:
    """Return, for each table, which of the columns that nobody knows hold something."""
    if not others:
        return pl.DataFrame(schema={"table": pl.UInt32})
    return rows.group_by("table", maintain_order=True).agg(
        pl.col(f"c{at}").is_not_null().any() for at in others
    )


def _other_columns(others: dict[int, str], rows: pl.DataFrame) -> pl.Expr:
    """Return the filled cells of columns that nobody knows as one JSON object by name, null without any."""
    cells = {name: f"c{at}" for at, name in others.items()}
    if "beyond" in rows.columns:
        cells["beyond the last column"] = "beyond"
    filled = {name: cell for name, cell in cells.items() if rows[cell].null_count() < rows.height}
    if not filled:
        return NO_TEXT
    # Keys that are plain words can be told from text inside a value, where every quote is escaped.
    keyed = pl.struct([pl.col(cell).alias(f"c{at}") for at, cell in enumerate(filled.values())])
    text = keyed.struct.json_encode().str.replace_all(r'"c\d+":null,?', "").str.replace(r",\}$", "}")
    for at, name in enumerate(filled):
        text = text.str.replace(f'"c{at}":', f"{json.dumps(name, ensure_ascii=False)}:", literal=True)
    return pl.when(text != "{}").then(text)
