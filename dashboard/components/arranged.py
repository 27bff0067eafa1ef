"""The rows of a table as a reader wants them: in another order, only those that hold some words."""

from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import urlencode

import pandas as pd

from dashboard.components.cells import shown_cell, words_of
from dashboard.speech import ENGLISH, Speech

#: Letters of a search that are looked at; more than anybody types.
_MOST_LETTERS = 100
#: Digits of a page's number that are believed.
_MOST_DIGITS = 6


@dataclass(frozen=True)
class Arrangement:
    """What a reader asked of a table: ordered by which column, which words its rows hold, which page."""

    column: str = ""
    is_falling: bool = False
    words: str = ""
    page: int = 1

    @classmethod
    def parse(cls, told: Mapping[str, str]) -> "Arrangement":
        """Return what an address asks for; what it garbles is taken as not asked."""
        page = told.get("page", "")
        is_number = page.isascii() and page.isdigit() and len(page) <= _MOST_DIGITS
        return cls(
            told.get("sort", ""),
            told.get("falling") == "yes",
            told.get("search", "")[:_MOST_LETTERS].strip(),
            max(1, int(page)) if is_number else 1,
        )

    @property
    def query(self) -> str:
        """What order and search add to an address; blank where neither is asked for."""
        told = {"search": self.words} if self.words else {}
        if self.column:
            told |= {"sort": self.column} | ({"falling": "yes"} if self.is_falling else {})
        return urlencode(told)

    def order_of(self, column: str) -> str:
        """Return how the table is ordered by a column, by the names of WAI-ARIA's aria-sort."""
        if column != self.column:
            return "none"
        return "descending" if self.is_falling else "ascending"


def arranged(rows: pd.DataFrame, wanted: Arrangement, speech: Speech = ENGLISH) -> pd.DataFrame:
    """Return the rows that hold every word searched for, in the order asked for.

    Words are looked for in the cells as they are shown, large and small letters alike. Rows that are equal
    keep their order, and what is not recorded stands last either way.
    """
    found = _holding(rows, wanted.words, speech)
    if wanted.column not in found.columns:
        return found
    return found.sort_values(
        wanted.column,
        ascending=not wanted.is_falling,
        kind="stable",
        na_position="last",
        key=lambda column: column.str.casefold() if pd.api.types.is_string_dtype(column.dtype) else column,
    )


def _holding(rows: pd.DataFrame, words: str, speech: Speech) -> pd.DataFrame:
    wanted = words.casefold().split()
    if not wanted or rows.empty:
        return rows
    columns = [_as_read(rows[name], speech) for name in rows.columns]
    texts = columns[0].str.cat(columns[1:], sep="\n") if len(columns) > 1 else columns[0]
    # No-break spaces between a number and its unit are typed as plain ones.
    plain = texts.str.replace("\u00a0", " ", regex=False)
    holds = pd.Series(True, index=rows.index)
    for word in wanted:
        holds &= plain.str.contains(word, regex=False)
    return rows[holds]


def _as_read(column: pd.Series, speech: Speech) -> pd.Series:
    words = words_of(str(column.name))
    return column.map(lambda value: shown_cell(value, words, speech).casefold()).astype("str")
