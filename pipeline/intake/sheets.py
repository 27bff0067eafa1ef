"""The seven sheets that volunteers send: their columns, keys and the names people give to columns.

The definitions stand in `sheets.csv` beside this module, one line a column. A name after a question mark
stands for its column only where no other header does: a sheet with `Site` and `Garden name` names its
garden once, and `Garden name` is a column of its own.
"""

import csv
import unicodedata
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Literal, cast

ColumnKind = Literal[
    "site",
    "plot",
    "date",
    "text",
    "note",
    "choice",
    "unit",
    "count",
    "number",
    "percent",
    "length",
    "weight",
    "hours",
    "amount",
]

#: Kinds of columns whose cells are read as numbers.
NUMBER_KINDS = ("count", "number", "percent", "length", "weight", "hours", "amount")


@dataclass(frozen=True)
class SheetColumn:
    """One column of a sheet; `weak` names give way to any other name of the column."""

    name: str
    kind: ColumnKind
    is_required: bool
    in_key: bool
    synonyms: tuple[str, ...]
    weak: tuple[str, ...]


@dataclass(frozen=True)
class Sheet:
    """One kind of sheet."""

    name: str
    columns: tuple[SheetColumn, ...]

    @property
    def column_names(self) -> tuple[str, ...]:
        """The names of all columns."""
        return tuple(column.name for column in self.columns)

    @property
    def required(self) -> tuple[str, ...]:
        """The columns without which rows mean nothing."""
        return tuple(column.name for column in self.columns if column.is_required)

    @property
    def key(self) -> tuple[str, ...]:
        """The columns that together name a row."""
        return tuple(column.name for column in self.columns if column.in_key)

    def of_kind(self, *kinds: ColumnKind | str) -> tuple[str, ...]:
        """The names of the columns of these kinds."""
        return tuple(column.name for column in self.columns if column.kind in kinds)


@cache
def sheets() -> dict[str, Sheet]:
    """Return the seven sheets by name."""
    columns: dict[str, list[SheetColumn]] = {}
    with (files("pipeline.intake") / "sheets.csv").open(encoding="utf-8") as lines:
        for row in csv.DictReader(lines):
            names = [part.strip() for part in row["synonyms"].split(";")]
            columns.setdefault(row["sheet"], []).append(
                SheetColumn(
                    name=row["column"],
                    kind=cast(ColumnKind, row["kind"]),
                    is_required=row["required"] == "yes",
                    in_key=row["in_key"] == "yes",
                    synonyms=tuple(name for name in names if not name.startswith("?")),
                    weak=tuple(name.removeprefix("?") for name in names if name.startswith("?")),
                )
            )
    return {name: Sheet(name, tuple(of_sheet)) for name, of_sheet in columns.items()}


def plain(text: str) -> str:
    """Return the text as names are compared: no case, accents, spaces or punctuation."""
    decomposed = unicodedata.normalize("NFKD", text).casefold()
    return "".join(letter for letter in decomposed if letter.isalnum())


@dataclass(frozen=True)
class Name:
    """What a header cell stands for: a column, by its own name, a synonym, or a name that gives way."""

    column: str
    is_own: bool
    is_weak: bool


@cache
def names_of(sheet: str) -> dict[str, Name]:
    """Return, for one sheet, the column that each plain name or synonym stands for."""
    names: dict[str, Name] = {}
    for column in sheets()[sheet].columns:
        names[plain(column.name)] = Name(column.name, is_own=True, is_weak=False)
    for column in sheets()[sheet].columns:
        for name in (*column.synonyms, *column.weak):
            names.setdefault(plain(name), Name(column.name, is_own=False, is_weak=name in column.weak))
    return names
