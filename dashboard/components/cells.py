"""How the cells and headings of a table are written."""

import pandas as pd

from dashboard.numerals import NOT_RECORDED, day, number
from dashboard.speech import ENGLISH, Speech
from dashboard.wording.measures import COLUMNS, ColumnWords
from pipeline.words import marked

_YES, _NO = marked("yes"), marked("no")


def words_of(column: str) -> ColumnWords:
    """Return how a column is headed and its numbers are written; one that has no words goes by its name."""
    return COLUMNS.get(column, ColumnWords(column))


def shown_cell(value: object, words: ColumnWords, speech: Speech = ENGLISH) -> str:
    """Return a value as it is read: blank is not recorded, zero is 0."""
    if value is None or value is pd.NA or value is pd.NaT or value != value:
        return speech(NOT_RECORDED)
    if isinstance(value, bool):
        return speech(_YES if value else _NO)
    if isinstance(value, pd.Timestamp):
        return day(value) if speech == ENGLISH else speech.long_day(value)
    if isinstance(value, int | float):
        return number(value * words.scale, words.digits)
    return str(value)
