"""Cells below a header, from any number of files, as the rows that were sent: still text, with their place.

Each row has, for each column of its sheet, `sent_` the cell as typed (null where blank), and for weights and
lengths `header_unit_` the unit in the header. `other_columns` keeps what nobody knew, as JSON. Columns that
are there only where a file needs them: `twice_` the cell of a second column for the same thing that says
something else, `says_` what the header says of a column, `is_too_wide` where a line has cells beyond the
header, `is_1904` and `header_order` for days.
"""

import json
from dataclasses import dataclass
from functools import reduce

import polars as pl

from pipeline.intake.header import Header
from pipeline.intake.sheets import Sheet, sheets
from pipeline.intake.skipped import BLANK_CELLS, split_rows
from pipeline.intake.units import KG_PER_UNIT, OUNCES_PER_POUND

#: A formula's complaint that means no value; in a column that may be blank it is blank.
NOT_AVAILABLE = ("#N/A", "#N/D")

#: Two weights or numbers that differ by less say the same, rounded in two ways. Common practice, no source.
_SAME_SHARE = 0.01


@dataclass(frozen=True)
class SentRows:
    """The rows of files with one header, what was passed over, and the columns that nobody knows.

    `skipped` has the columns of `skipped.SKIPPED`. `other_filled` has, for each table, one column for each
    position of `other_names`: whether it holds something.
    """

    rows: pl.DataFrame
    skipped: pl.DataFrame
    other_filled: pl.DataFrame


def sent_rows(header: Header, cells: pl.DataFrame) -> SentRows:
    """Return the rows below a header.

    `cells` has `table`, `file`, `tab`, `line`, the cells `c0`, `c1`, ..., and, where a file needs it, `beyond` (cells
    beyond the header) and `is_1904`.
    """
    sheet = sheets()[header.sheet]
    split = split_rows(header, _tidied(cells, len(header.cells)))
    rows = split.rows
    others = other_names(header)
    has_beyond = "beyond" in rows.columns
    said = [
        _other_columns(others, has_beyond=has_beyond).alias("other_columns"),
        *_column_cells(sheet, header),
        *_header_facts(header),
    ]
    if has_beyond:
        said.append(pl.col("beyond").is_not_null().alias("is_too_wide"))
    place = [name for name in ("table", "file", "tab", "line", "is_1904") if name in rows.columns]
    return SentRows(rows.select(*place, *said), split.skipped, _other_filled(rows, others))


def other_names(header: Header) -> dict[int, str]:
    """Return the columns that nobody knows, by position; one without a name is called by its letter."""
    known = {*header.columns, *(at for positions in header.twice.values() for at in positions)}
    named: dict[int, str] = {}
    for at in range(len(header.cells)):
        if at not in known:
            name = header.unknown.get(at) or f"column {column_letter(at)}"
            named[at] = name if name not in named.values() else f"{name} ({column_letter(at)})"
    return named


def column_letter(at: int) -> str:
    """Return the letters by which a spreadsheet calls its column."""
    letters, at = "", at + 1
    while at:
        at, rest = divmod(at - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def _tidied(cells: pl.DataFrame, width: int) -> pl.DataFrame:
    """Return the cells without outer spaces, null where they are empty.

    A spreadsheet that must not touch a cell saves it as ="001"; the cell is what stands in the quotes.
    """
    names = [f"c{at}" for at in range(width)]
    stripped = cells.with_columns(pl.col(names).str.strip_chars())
    guarded = stripped.select(pl.col(names).str.starts_with('="').any()).row(0) if cells.height else ()
    stripped = stripped.with_columns(
        pl.col(name).str.replace(r'(?s)^="(.*)"$', "${1}")
        for name, is_guarded in zip(names, guarded, strict=False)
        if is_guarded
    )
    return stripped.with_columns(pl.when(pl.col(names) != "").then(pl.col(names)))


def _not_blank(cell: pl.Expr, *, is_required: bool) -> pl.Expr:
    blank = BLANK_CELLS if is_required else [*BLANK_CELLS, *NOT_AVAILABLE]
    return pl.when(~cell.is_in(blank)).then(cell)


def _column_cells(sheet: Sheet, header: Header) -> list[pl.Expr]:
    """Return the cells of each column of the sheet, and the unit in the header of each measure."""
    positions = {name: [at, *header.twice.get(name, ())] for at, name in header.columns.items()}
    exprs: list[pl.Expr] = []
    for column in sheet.columns:
        at = positions.get(column.name)
        is_measure = column.kind in ("weight", "length")
        if at is None:
            exprs.append(pl.lit(None, pl.String).alias(f"sent_{column.name}"))
            if is_measure:
                exprs.append(pl.lit(None, pl.String).alias(f"header_unit_{column.name}"))
            continue
        cells = [_not_blank(pl.col(f"c{one}"), is_required=column.is_required) for one in at]
        units = [header.units.get(one) for one in at]
        joined = reduce(
            _joined,
            [_Cell(cell, pl.lit(unit, pl.String), unit) for cell, unit in zip(cells, units, strict=True)],
        )
        exprs.append(joined.cell.alias(f"sent_{column.name}"))
        if is_measure:
            exprs.append(joined.unit.alias(f"header_unit_{column.name}"))
        if joined.differs is not None:
            exprs.append(joined.differs.alias(f"twice_{column.name}"))
    return exprs


@dataclass(frozen=True)
class _Cell:
    """The cell of a column, its unit in the header, and what a second column says instead."""

    cell: pl.Expr
    unit: pl.Expr
    header_unit: str | None
    differs: pl.Expr | None = None


def _joined(first: _Cell, second: _Cell) -> _Cell:
    """Return two columns for one thing as one: the first that is filled, and the second where it differs.

    A column of pounds beside one of ounces holds both parts of one weight.
    """
    one, two = first.cell, second.cell
    one_number, two_number = (cell.cast(pl.Float64, strict=False) for cell in (one, two))
    if (first.header_unit, second.header_unit) in (("lb", "oz"), ("oz", "lb")):
        is_pounds_first = first.header_unit == "lb"
        pounds, ounces = (one_number, two_number) if is_pounds_first else (two_number, one_number)
        pounds_text, ounces_text = (one, two) if is_pounds_first else (two, one)
        is_pair = (
            (pounds == pounds.floor()) & (pounds >= 0) & ounces.is_between(0, OUNCES_PER_POUND, closed="left")
        )
        pair = pl.concat_str(pounds_text, pl.lit(" lb "), ounces_text, pl.lit(" oz"))
        cell = pl.when(is_pair).then(pair).otherwise(pl.coalesce(one, two))
    else:
        is_pair, cell = pl.lit(value=False), pl.coalesce(one, two)
    units = [unit for unit in (first.header_unit, second.header_unit) if unit in KG_PER_UNIT]
    size = KG_PER_UNIT[units[1]] / KG_PER_UNIT[units[0]] if len(units) == 2 else 1.0
    alike = (one_number - two_number * size).abs() <= (_SAME_SHARE * one_number.abs() if size != 1.0 else 0.0)
    differs = (one != two) & ~alike.fill_null(value=False) & ~is_pair.fill_null(value=False)
    unit = pl.when(one.is_null() & two.is_not_null()).then(second.unit).otherwise(first.unit)
    other = pl.when(differs).then(two)
    return _Cell(
        cell, unit, first.header_unit, other if first.differs is None else pl.coalesce(first.differs, other)
    )


def _header_facts(header: Header) -> list[pl.Expr]:
    facts = [pl.lit(value, pl.String).alias(f"says_{name}") for name, value in (header.says or {}).items()]
    if header.order is not None:
        facts.append(pl.lit(header.order, pl.String).alias("header_order"))
    return facts


def _other_filled(rows: pl.DataFrame, others: dict[int, str]) -> pl.DataFrame:
    """Return, for each table, which of the columns that nobody knows hold something."""
    if not others:
        return pl.DataFrame(schema={"table": pl.UInt32})
    return rows.group_by("table", maintain_order=True).agg(
        pl.col(f"c{at}").is_not_null().any() for at in others
    )


def _other_columns(others: dict[int, str], *, has_beyond: bool) -> pl.Expr:
    """Return the filled cells of columns that nobody knows as one JSON object by name, null without any."""
    cells = {name: pl.col(f"c{at}") for at, name in others.items()}
    if has_beyond:
        cells["beyond the last column"] = pl.col("beyond")
    if not cells:
        return pl.lit(None, pl.String)
    # Keys that are plain words can be told from text inside a value, where every quote is escaped.
    keyed = pl.struct([cell.alias(f"c{at}") for at, cell in enumerate(cells.values())])
    text = keyed.struct.json_encode().str.replace_all(r'"c\d+":null,?', "").str.replace(r",\}$", "}")
    for at, name in enumerate(cells):
        text = text.str.replace(f'"c{at}":', f"{json.dumps(name, ensure_ascii=False)}:", literal=True)
    return pl.when(text != "{}").then(text)
