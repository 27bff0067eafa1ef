"""Reading the tables that a person keeps: CSV text in, a typed frame and every problem out.

Nothing stops at the first problem. Each problem names file, line, column, what is wrong and how to
mend it; lines count as a text editor counts them.
"""

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, time
from pathlib import Path
from typing import Literal

import numpy as np
import pandas as pd

from sites.errors import Problem

CellKind = Literal["text", "number", "whole", "date", "dates"]

_EXPECTED: Mapping[str, str] = {
    "number": "a number, such as 38.5",
    "whole": "a whole number, such as 3",
    "date": "a date as year-month-day, such as 2025-05-14",
    "dates": "dates as year-month-day with blanks between them, such as 2025-07-01 2025-08-01",
}


@dataclass(frozen=True)
class TableColumn:
    """What a column of a kept table may hold."""

    name: str
    kind: CellKind = "text"
    required: bool = False
    choices: tuple[str, ...] = ()
    default: str = ""
    low: float = -np.inf
    high: float = np.inf


@dataclass(frozen=True)
class TableDefinition:
    """A kept table: its file, its columns and the columns that together name a row."""

    file: str
    columns: tuple[TableColumn, ...]
    key: tuple[str, ...] = ()
    optional: bool = False

    @property
    def required_columns(self) -> list[str]:
        """The names of the columns that the file must have."""
        return [column.name for column in self.columns if column.required]


@dataclass
class TableReading:
    """A table as read: its frame (with the column `line`) and the problems met on the way."""

    frame: pd.DataFrame
    problems: list[Problem] = field(default_factory=list)


def read_table(folder: Path, definition: TableDefinition) -> TableReading:
    """Return the table in `folder`, typed, with every problem in it; columns not defined are kept as text."""
    path = folder / definition.file
    if not path.exists():
        problems = [] if definition.optional else [_missing_file(definition)]
        return TableReading(_empty(definition), problems)
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = path.read_bytes()[: error.start].count(b"\n") + 1
        what = "the file is not UTF-8 text."
        return TableReading(
            _empty(definition), [Problem(definition.file, line, None, what, "Save it as CSV UTF-8.")]
        )
    return parse_table(text, definition)


def parse_table(text: str, definition: TableDefinition) -> TableReading:
    """Return the table in the CSV `text`, typed, with every problem in it."""
    header, rows, problems = _split(text, definition)
    missing = [name for name in definition.required_columns if name not in header]
    problems += [
        Problem(
            definition.file, 1, name, "the column is missing.", "Add it to the first line and fill it in."
        )
        for name in missing
    ]
    if missing:
        return TableReading(_empty(definition), problems)
    cells = {name: [row[1].get(name, "").strip() for row in rows] for name in header}
    lines = [row[0] for row in rows]
    frame: dict[str, object] = {"line": lines}
    for column in definition.columns:
        values, found = _typed(cells.get(column.name, [""] * len(rows)), column, lines, definition.file)
        frame[column.name] = values
        problems += found
    extra = [name for name in header if name not in frame]
    frame |= {name: pd.Series(cells[name], dtype="str") for name in extra}
    table = pd.DataFrame(frame)
    return TableReading(table, problems + _repeated_keys(table, definition))


def _missing_file(definition: TableDefinition) -> Problem:
    columns = ", ".join(definition.required_columns)
    return Problem(
        definition.file, None, None, "the file is missing.", f"Make it with the columns {columns}."
    )


def _empty(definition: TableDefinition) -> pd.DataFrame:
    columns = {column.name: _convert([], column)[0] for column in definition.columns}
    return pd.DataFrame({"line": pd.Series(dtype="int64"), **columns})


def _split(
    text: str, definition: TableDefinition
) -> tuple[list[str], list[tuple[int, dict[str, str]]], list[Problem]]:
    """Return the header, the rows with their lines, and rows that do not fit the header."""
    reader = csv.reader(io.StringIO(text, newline=""))
    header = [name.strip().lower() for name in next(reader, [])]
    rows: list[tuple[int, dict[str, str]]] = []
    problems = [
        Problem(definition.file, 1, name, "two columns have this name.", "Rename or remove one of them.")
        for name in sorted({name for name in header if name and header.count(name) > 1})
    ]
    line = reader.line_num + 1
    for cells in reader:
        if any(cell.strip() for cell in cells):
            if len(cells) > len(header) and any(cell.strip() for cell in cells[len(header) :]):
                what = f"the line has {len(cells)} cells, the first line has {len(header)}."
                problems.append(
                    Problem(definition.file, line, None, what, "Put text that holds a comma in quotes.")
                )
            rows.append((line, dict(zip(header, cells, strict=False))))
        line = reader.line_num + 1
    return [name for name in header if name], rows, problems


def _typed(
    cells: list[str], column: TableColumn, lines: list[int], file: str
) -> tuple[pd.Series, list[Problem]]:
    cells = [cell or column.default for cell in cells]
    problems = []
    if column.required:
        problems += [
            Problem(file, line, column.name, "the cell is blank.", "Fill it in.")
            for line, cell in zip(lines, cells, strict=True)
            if not cell
        ]
    values, wrong = _convert(cells, column)
    for row in wrong:
        what = f"“{cells[row][:60]}” cannot be used here."
        problems.append(Problem(file, lines[row], column.name, what, f"Write {_expected(column)}."))
    return values, problems


def _expected(column: TableColumn) -> str:
    if column.choices:
        return "one of " + ", ".join(column.choices)
    expected = _EXPECTED[column.kind]
    if np.isfinite(column.low) and np.isfinite(column.high):
        return f"{expected}, from {column.low:g} to {column.high:g}"
    return f"{expected}, {column.low:g} or more" if np.isfinite(column.low) else expected


def _convert(cells: list[str], column: TableColumn) -> tuple[pd.Series, list[int]]:
    """Return the cells as a series of the column's kind, and the positions of cells that do not fit it."""
    if column.kind == "text":
        wrong = [
            row for row, cell in enumerate(cells) if column.choices and cell not in ("", *column.choices)
        ]
        return pd.Series(cells, dtype="str"), wrong
    if column.kind == "dates":
        wrong = [row for row, cell in enumerate(cells) if any(_date(part) is None for part in cell.split())]
        return pd.Series(cells, dtype="str"), wrong
    if column.kind == "date":
        dates = [_date(cell) for cell in cells]
        wrong = [row for row, cell in enumerate(cells) if cell and dates[row] is None]
        return pd.Series(pd.to_datetime(pd.Series(dates, dtype="object")), dtype="datetime64[us]"), wrong
    numbers = [_number(cell, column) for cell in cells]
    wrong = [row for row, cell in enumerate(cells) if cell and np.isnan(numbers[row])]
    dtype = "Int64" if column.kind == "whole" else "float64"
    return pd.Series(numbers, dtype="float64").astype(dtype), wrong


def _date(cell: str) -> date | None:
    try:
        return date.fromisoformat(cell) if len(cell) == 10 else None
    except ValueError:
        return None


def _number(cell: str, column: TableColumn) -> float:
    try:
        number = float(cell) if cell and "_" not in cell else np.nan
    except ValueError:
        return np.nan
    fits = np.isfinite(number) and column.low <= number <= column.high
    whole = column.kind != "whole" or number == int(number) if fits else False
    return number if fits and whole else np.nan


def _repeated_keys(table: pd.DataFrame, definition: TableDefinition) -> list[Problem]:
    if not definition.key or table.empty:
        return []
    key = list(definition.key)
    first = table.groupby(key, dropna=False)["line"].transform("min")
    repeated = table[table.duplicated(key) & table[key].astype("str").ne("").any(axis=1)]
    return [
        Problem(
            definition.file,
            int(row.line),
            ", ".join(key),
            f"line {int(first[row.Index])} already names {' '.join(str(getattr(row, k)) for k in key)}.",
            "Remove one of the two lines or correct it.",
        )
        for row in repeated.itertuples()
    ]


def midnight(day: date) -> pd.Timestamp:
    """Return the day as the timestamp that date columns of frames hold."""
    return pd.Timestamp.combine(day, time())
