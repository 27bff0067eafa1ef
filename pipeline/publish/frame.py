"""A frame of a published snapshot: its columns, their kinds and what they mean.

A column's kind is one of text, number, whole, date, moment, flag; its unit ends its name.
"""

from dataclasses import dataclass
from typing import Literal

import pandas as pd

Kind = Literal["text", "number", "whole", "date", "moment", "flag"]

#: pandas dtypes by kind. Whole numbers are nullable, since a blank count is not zero.
DTYPES: dict[Kind, str] = {
    "text": "str",
    "number": "float64",
    "whole": "Int64",
    "date": "datetime64[us]",
    "moment": "datetime64[us]",
    "flag": "bool",
}


@dataclass(frozen=True)
class Column:
    """One column of a frame: its name, its kind and one line of what it means."""

    name: str
    kind: Kind
    meaning: str


@dataclass(frozen=True)
class Frame:
    """One frame of a snapshot."""

    name: str
    per_season: bool
    meaning: str
    columns: tuple[Column, ...]

    @property
    def column_names(self) -> list[str]:
        """The names of the columns, in their order."""
        return [column.name for column in self.columns]

    def conform(self, rows: pd.DataFrame) -> pd.DataFrame:
        """Return `rows` with exactly this frame's columns, in order and in their kinds.

        Raises KeyError where a column is missing: the night must make every column that pages read.
        """
        return rows[self.column_names].astype({column.name: DTYPES[column.kind] for column in self.columns})

    def empty(self) -> pd.DataFrame:
        """Return the frame without rows."""
        return pd.DataFrame({column.name: pd.Series(dtype=DTYPES[column.kind]) for column in self.columns})


def frame(name: str, per_season: bool, meaning: str, *columns: tuple[str, Kind, str]) -> Frame:
    """Return a frame with these columns: name, kind, meaning."""
    return Frame(name, per_season, meaning, tuple(Column(*column) for column in columns))
