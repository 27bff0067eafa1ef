"""Numbers that are not written plainly: each distinct cell is read once by the full grammar."""

from collections.abc import Callable
from typing import Literal

import polars as pl

from pipeline.intake.measures import read_amount, read_hours, read_length, read_weight
from pipeline.intake.numbers import Mark, Reading, read_number, read_percent

#: What failed formulas show, in English and Spanish and in older and newer spreadsheets.
COMPLAINTS = frozenset(
    [
        *("#DIV/0!", "#REF!", "#VALUE!", "#NAME?", "#N/A", "#NUM!", "#NULL!", "#SPILL!", "#CALC!", "#FIELD!"),
        *("#¡DIV/0!", "#¡REF!", "#¡VALOR!", "#¿NOMBRE?", "#N/D", "#¡NUM!", "#¡NULO!"),
        *("Err:501", "Err:502", "Err:503", "Err:504", "Err:508", "Err:509", "Err:511", "Err:519", "Err:522"),
    ]
)

#: Reads a cell, given the unit of its row or header and the decimal mark of its file.
_Reader = Callable[[str, str | None, Mark | None], Reading]

_READERS: dict[str, _Reader] = {
    "count": lambda cell, _unit, mark: read_number(cell, mark),
    "number": lambda cell, _unit, mark: read_number(cell, mark),
    "percent": lambda cell, _unit, mark: read_percent(cell, mark),
    "hours": lambda cell, _unit, mark: read_hours(cell, mark),
    "amount": lambda cell, _unit, mark: read_amount(cell, mark),
    "weight": read_weight,
    "length": read_length,
}


def formula_trouble(cell: str) -> Literal["broken formula", "no result"] | None:
    """Return what is wrong with a formula: `broken formula` or `no result`; None for any other cell."""
    if cell.startswith("="):
        return "no result"
    return "broken formula" if cell.upper() in COMPLAINTS or cell in COMPLAINTS else None


def number_readings(kind: str, cells: pl.DataFrame) -> pl.DataFrame:
    """Return the readings of cells of one kind of column: `at`, value, how, first, other, unit.

    `cells` has `at`, `cell`, `of` (the unit of the row or header) and `mark` (the file's decimal mark).
    """
    keys = ["cell", "of", "mark"]
    distinct = cells.select(keys).unique(maintain_order=True)
    found = [_read(_READERS[kind], cell, unit, mark) for cell, unit, mark in distinct.rows()]
    readings = distinct.with_columns(
        pl.Series("value", [None if one.how == "two ways" else one.value for one in found], pl.Float64),
        pl.Series("how", [one.how for one in found], pl.String),
        pl.Series("first", [one.value if one.how == "two ways" else None for one in found], pl.Float64),
        pl.Series("other", [one.other for one in found], pl.Float64),
        pl.Series("unit", [one.unit for one in found], pl.String),
    )
    joined = cells.join(readings, on=keys, how="left", nulls_equal=True, maintain_order="left")
    return joined.select("at", "value", "how", "first", "other", "unit")


def _read(reader: _Reader, cell: str, unit: str | None, mark: Mark | None) -> Reading:
    trouble = formula_trouble(cell)
    return Reading(None, trouble) if trouble is not None else reader(cell, unit, mark)
