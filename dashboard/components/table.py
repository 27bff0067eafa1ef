"""Tables: ruled, with numbers to the right, in the order of the figure.

They are written as HTML and fetched when somebody opens one: thousands of cells in the page itself would
make every later choice slow.
"""

from collections.abc import Mapping
from html import escape

import pandas as pd

from dashboard.numerals import NOT_RECORDED, day, number
from dashboard.words import COLUMNS, FIGURE, ColumnWords

#: Rows that are written out; the CSV holds all. A table longer than this is read in a spreadsheet.
ROWS_SHOWN = 240


def table(rows: pd.DataFrame, caption: str, meanings: Mapping[str, str] | None = None) -> str:
    """Return the rows as HTML: a table that scrolls sideways inside itself, and its count where it is cut.

    `meanings` says of columns what they mean, told where their heading is pointed at.
    """
    shown = rows.head(ROWS_SHOWN)
    words = [COLUMNS.get(column, ColumnWords(column)) for column in rows.columns]
    looks = [' class="n"' if _is_number(rows[column]) else "" for column in rows.columns]
    told = [_title((meanings or {}).get(column, "")) for column in rows.columns]
    head = "".join(
        f'<th scope="col"{look}{title}>{escape(word.heading)}</th>'
        for word, look, title in zip(words, looks, told, strict=True)
    )
    body = "".join(_row(row, words, looks) for row in shown.itertuples(index=False, name=None))
    named = escape(caption, quote=True)
    inside = (
        f'<div class="scroll" role="region" tabindex="0" aria-label="{named}">'
        f"<table><caption>{named}</caption>"
        f"<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table></div>"
    )
    if len(shown) == len(rows):
        return inside
    cut = FIGURE["rows_shown"].format(shown=len(shown), total=len(rows))
    return f'{inside}<p class="small second">{cut}</p>'


def _title(meaning: str) -> str:
    return f' title="{escape(meaning, quote=True)}"' if meaning else ""


def _is_number(column: pd.Series) -> bool:
    return pd.api.types.is_numeric_dtype(column.dtype) and not pd.api.types.is_bool_dtype(column.dtype)


def _row(row: tuple[object, ...], words: list[ColumnWords], looks: list[str]) -> str:
    cells = [escape(_cell(value, word)) for value, word in zip(row, words, strict=True)]
    first = f'<th scope="row"{looks[0]}>{cells[0]}</th>'
    rest = "".join(f"<td{look}>{cell}</td>" for look, cell in zip(looks[1:], cells[1:], strict=True))
    return f"<tr>{first}{rest}</tr>"


def _cell(value: object, words: ColumnWords) -> str:
    if value is None or value is pd.NA or value is pd.NaT or value != value:
        return NOT_RECORDED
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, pd.Timestamp):
        return day(value)
    if isinstance(value, int | float):
        return number(value * words.scale, words.digits)
    return str(value)
