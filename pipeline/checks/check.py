"""A check: a name, what it looks at, and one vectorised condition over the rows of any number of files."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

import polars as pl

Level = Literal["held", "question", "note"]

#: What a value in a message is, so that it can be shown in the reader's language and units. A `cell` is
#: shown as its column is: a weight as a weight, a number as a number. `crop`, `word` and `column` are words
#: in two languages; `choices` are readings of a typed number, of which one is meant.
Kind = Literal[
    "text",
    "number",
    "cell",
    "weight",
    "weight in ounces",
    "length",
    "date",
    "percent",
    "hours",
    "fruits",
    "plants",
    "volunteers",
    "crop",
    "word",
    "column",
    "sheet",
    "choices",
]

#: A condition on one column of a sheet, or on the whole row where no column is named.
Condition = Callable[[str], pl.Expr]

#: Adds to the rows that a check found what its message needs, given all rows of their gardens.
More = Callable[[pl.DataFrame, pl.DataFrame], pl.DataFrame]


@dataclass(frozen=True)
class Say:
    """A value that a message holds: how to work it out for a row, and how to show it."""

    value: Callable[[str], pl.Expr]
    kind: Kind = "text"


@dataclass(frozen=True, eq=False)
class Check:
    """One check; two are the same only where they are one, so that what is made of one can be kept by it.

    `name` is that of its words. `columns` names, for each sheet it looks at, the columns that it tries one
    by one; a check of whole rows names the column that the reader should look at. `condition` is true on
    rows that the check asks about. `say` holds what its message needs beyond line, plot, garden and the
    cell as sent, which every message may use; `more` adds to the rows found what cannot be told from a row
    by itself. Where `once_per` names columns, the first row of each of their groups stands for all: one
    cause is one question.

    `among` names a column of flags: rows where it is not set are no case for the check, and cost nothing.

    `needs` names columns without which the condition is true of no row: a reader of files gives some only
    where it can tell (a row with too many cells, say), and others are often blank, or flags set nowhere.
    Where no row has one of them the check costs nothing. `{}` in them stands for the column that is tried.
    """

    name: str
    level: Level
    columns: Mapping[str, tuple[str, ...]]
    condition: Condition
    say: Mapping[str, Say] = field(default_factory=dict)
    once_per: tuple[str, ...] = ()
    more: More | None = None
    needs: tuple[str, ...] = ()
    among: str = ""

    @cached_property
    def conditions(self) -> dict[tuple[str, str], pl.Expr]:
        """The condition by sheet and column; what is not known fires no check."""
        return {
            (sheet, name): self.condition(name).fill_null(value=False)
            for sheet, names in self.columns.items()
            for name in names
        }


def column(name: str) -> Callable[[str], pl.Expr]:
    """Return a value that is always read from the named column, whichever column a check tries."""
    return lambda _tried: pl.col(name)


def tried(prefix: str = "") -> Callable[[str], pl.Expr]:
    """Return a value that is read from the column that a check tries, or its companion with the prefix."""
    return lambda name: pl.col(f"{prefix}{name}")


def always(value: pl.Expr) -> Callable[[str], pl.Expr]:
    """Return a value that is the same whichever column a check tries."""
    return lambda _tried: value


def word(english: str, spanish: str) -> pl.Expr:
    """Return a word in both languages, to be put into a message."""
    return pl.struct(pl.lit(english).alias("en"), pl.lit(spanish).alias("es"))
