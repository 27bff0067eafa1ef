"""Sheets in, one frame of typed rows for each kind of sheet out.

A frame holds the rows of any number of files. For each column of the sheet it has the value as read, in
SI units, and beside it what is needed to ask about it:

    marketable_weight          the value: number, day or text; null where blank, not read or in two ways
    sent_marketable_weight     the cell as sent; null where blank
    how_marketable_weight      plain, blank, read as, two ways, unreadable or unit unknown
    first_marketable_weight    where two values are possible: the one, and in `other_` the second
    other_marketable_weight
    unit_marketable_weight     weights and lengths: the unit in the cell
    meant_marketable_weight    weights and lengths: the unit that the number was read in

`file`, `tab` and `line` say where the row stands; `other_columns` keeps what nobody knew, as JSON.
"""

import json
from collections.abc import Callable, Iterable
from datetime import date

import polars as pl

from pipeline.intake import values
from pipeline.intake.dates import DateReading, read_date
from pipeline.intake.reading import SheetTable
from pipeline.intake.sheets import ColumnKind, Sheet, sheets
from pipeline.intake.units import CM_PER_UNIT, KG_PER_UNIT, WEIGHT_UNITS
from pipeline.intake.values import BLANKS, Reading

#: A number as most people write it; everything else goes through the full grammar of `values`.
_PLAIN_NUMBER = r"^\s*[+-]?(?:\d+(?:\.\d*)?|\.\d+)\s*$"
_ISO_DAY = r"^\s*\d{4}-\d{2}-\d{2}\s*$"

_PLACE = {"file": pl.UInt32, "tab": pl.String, "line": pl.UInt32}


def sent_rows(tables: Iterable[tuple[int, SheetTable]]) -> dict[str, pl.DataFrame]:
    """Return, for each kind of sheet, the cells of all its tables as text, with file, tab and line."""
    frames: dict[str, list[pl.DataFrame]] = {}
    for file, table in tables:
        frames.setdefault(table.header.sheet, []).append(_sent(file, table))
    return {name: _whole(sheets()[name], parts) for name, parts in frames.items()}


def _sent(file: int, table: SheetTable) -> pl.DataFrame:
    count = len(table.rows)
    width = max(len(row) for row in table.rows)
    padded = [row + [""] * (width - len(row)) for row in table.rows]
    cells: dict[str, list[str | None]] = {
        name: [row[at] for row in padded] if at < width else [None] * count
        for at, name in table.header.columns.items()
    }
    for name, extra in table.header.twice.items():
        cells[name] = [
            _first_filled([first, *(row[at] for at in extra)])
            for first, row in zip(cells[name], padded, strict=True)
        ]
    cells |= {f"header_unit_{name}": [unit] * count for name, unit in table.header.units.items()}
    cells["other_columns"] = [_other_columns(row, table.header.unknown) for row in padded]
    frame = pl.DataFrame(cells, schema=dict.fromkeys(cells, pl.String))
    return frame.with_columns(
        pl.lit(file, pl.UInt32).alias("file"),
        pl.lit(table.tab, pl.String).alias("tab"),
        pl.Series("line", table.lines, pl.UInt32),
    )


def _first_filled(cells: list[str | None]) -> str | None:
    return next((cell for cell in cells if cell and cell.strip()), cells[0])


def _other_columns(row: list[str], unknown: dict[int, str]) -> str | None:
    kept = {name: row[at] for at, name in unknown.items() if at < len(row) and row[at].strip()}
    return json.dumps(kept, ensure_ascii=False) if kept else None


def _whole(sheet: Sheet, parts: list[pl.DataFrame]) -> pl.DataFrame:
    """Return the parts as one frame that has every column of the sheet; blank cells are null."""
    frame = pl.concat(parts, how="diagonal")
    named = [*sheet.column_names, *(f"header_unit_{name}" for name in sheet.of_kind("weight", "length"))]
    missing = [pl.lit(None, pl.String).alias(name) for name in named if name not in frame.columns]
    frame = frame.with_columns(missing)
    cells = [pl.col(name).str.strip_chars() for name in sheet.column_names]
    blank = [
        pl.when(cell.str.to_lowercase().is_in(list(BLANKS))).then(None).otherwise(cell).alias(f"sent_{name}")
        for name, cell in zip(sheet.column_names, cells, strict=True)
    ]
    return frame.select(*_PLACE, "other_columns", *named[len(sheet.column_names) :], *blank)


def typed_rows(
    sheet: Sheet, sent: pl.DataFrame, *, order: str, bare_weight: str, season: tuple[date, date] | None
) -> pl.DataFrame:
    """Return the rows of one kind of sheet with every cell read.

    `order` is that of the network's dates, `bare_weight` the unit of a weight without one, `season` the
    first and last day of any trial. The order of rows is kept.
    """
    frame = sent
    if units := sheet.of_kind("unit"):
        unit = pl.col(f"sent_{units[0]}").str.to_lowercase().str.strip_chars(". ")
        frame = frame.with_columns(unit.replace_strict(WEIGHT_UNITS, default=None).alias("row_unit"))
    for column in sheet.columns:
        if column.kind == "date":
            frame = _with_dates(frame, column.name, order, season)
        elif column.kind in ("weight", "length"):
            frame = _with_measure(frame, column.name, column.kind, bare_weight, has_unit_column=bool(units))
        elif column.kind in ("count", "number", "percent"):
            read = values.read_percent if column.kind == "percent" else values.read_number
            frame = _with_numbers(frame, column.name, read)
        else:
            frame = frame.with_columns(pl.col(f"sent_{column.name}").alias(column.name))
    return frame


def _distinct(frame: pl.DataFrame, columns: list[str], name: str, plain: str) -> pl.DataFrame:
    """Return the distinct cells (with their units) that are not written in the plain way."""
    odd = pl.col(f"sent_{name}").is_not_null() & ~pl.col(f"sent_{name}").str.contains(plain)
    return frame.filter(odd).select(columns).unique(maintain_order=True)


def _readings(distinct: pl.DataFrame, name: str, found: list[Reading]) -> pl.DataFrame:
    return distinct.with_columns(
        pl.Series(f"odd_{name}", [reading.value for reading in found], pl.Float64),
        pl.Series(f"how_{name}", [reading.how for reading in found], pl.String),
        pl.Series(f"unit_{name}", [reading.unit for reading in found], pl.String),
        pl.Series(f"other_{name}", [reading.other for reading in found], pl.Float64),
    )


def _with_odd(frame: pl.DataFrame, name: str, odd: pl.DataFrame, plain_value: pl.Expr) -> pl.DataFrame:
    """Return the frame with plain cells read at once and the others as the full grammar found them."""
    keys = [column for column in odd.columns if column.startswith(("sent_", "unit_of_"))]
    joined = frame.join(odd, on=keys, how="left", nulls_equal=True, maintain_order="left")
    sent = pl.col(f"sent_{name}")
    how = pl.when(sent.is_null()).then(pl.lit("blank")).otherwise(pl.col(f"how_{name}").fill_null("plain"))
    return joined.with_columns(
        pl.when(how == "two ways")
        .then(None)
        .otherwise(pl.coalesce(f"odd_{name}", pl.when(how == "plain").then(plain_value)))
        .alias(name),
        how.alias(f"how_{name}"),
    ).rename({f"odd_{name}": f"first_{name}"})


def _with_numbers(frame: pl.DataFrame, name: str, read: Callable[[str], Reading]) -> pl.DataFrame:
    distinct = _distinct(frame, [f"sent_{name}"], name, _PLAIN_NUMBER)
    odd = _readings(distinct, name, [read(cell) for cell in distinct[f"sent_{name}"]])
    return _with_odd(frame, name, odd, pl.col(f"sent_{name}").cast(pl.Float64, strict=False))


def _with_measure(
    frame: pl.DataFrame, name: str, kind: ColumnKind, bare_weight: str, *, has_unit_column: bool
) -> pl.DataFrame:
    """Return the frame with weights in kilograms or lengths in centimetres.

    The unit nearest the number wins: cell, then row, then header, then the network's.
    """
    sizes = KG_PER_UNIT if kind == "weight" else CM_PER_UNIT
    given = (
        pl.coalesce("row_unit", f"header_unit_{name}")
        if has_unit_column and kind == "weight"
        else pl.col(f"header_unit_{name}")
    )
    unit = f"unit_of_{name}"
    frame = frame.with_columns(
        given.is_not_null().alias(f"has_unit_{name}"),
        given.fill_null(bare_weight if kind == "weight" else "cm").alias(unit),
    )
    distinct = _distinct(frame, [f"sent_{name}", unit], name, _PLAIN_NUMBER)
    read = values.read_weight if kind == "weight" else values.read_length
    odd = _readings(distinct, name, [read(cell, of) for cell, of in distinct.rows()])
    factor = pl.col(unit).replace_strict(sizes, return_dtype=pl.Float64)
    read_in = pl.when(pl.col(f"unit_{name}") == "lb oz").then(pl.lit("lb")).otherwise(pl.col(f"unit_{name}"))
    whole = _with_odd(frame, name, odd, pl.col(f"sent_{name}").cast(pl.Float64, strict=False) * factor)
    return whole.with_columns(pl.coalesce(read_in, unit).alias(f"meant_{name}")).drop(unit)


def _with_dates(frame: pl.DataFrame, name: str, order: str, season: tuple[date, date] | None) -> pl.DataFrame:
    sent = f"sent_{name}"
    distinct = frame.filter(pl.col(sent).is_not_null()).select(sent).unique(maintain_order=True)
    iso = distinct[sent].str.contains(_ISO_DAY)
    found = [
        DateReading(_iso_day(cell), "plain", "iso")
        if plain and _iso_day(cell)
        else read_date(cell, order, season)
        for cell, plain in zip(distinct[sent], iso, strict=True)
    ]
    odd = distinct.with_columns(
        pl.Series(name, [reading.value for reading in found], pl.Date),
        pl.Series(f"how_{name}", [reading.how for reading in found], pl.String),
        pl.Series(f"form_{name}", [reading.form for reading in found], pl.String),
        pl.Series(f"other_{name}", [reading.other for reading in found], pl.Date),
    )
    joined = frame.join(odd, on=sent, how="left", maintain_order="left")
    return joined.with_columns(pl.col(f"how_{name}").fill_null("blank"))


def _iso_day(cell: str) -> date | None:
    try:
        return date.fromisoformat(cell.strip())
    except ValueError:
        return None
