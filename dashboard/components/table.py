"""Tables: ruled, with numbers to the right, in the order of the figure."""

from typing import Any

import pandas as pd
from dash import html

from dashboard.components.attributes import attributes
from dashboard.numerals import NOT_RECORDED, day, number
from dashboard.words import COLUMNS, FIGURE, ColumnWords

#: Rows that a page writes out; the CSV holds all. A table longer than this is read in a spreadsheet.
ROWS_ON_PAGE = 240


def table(rows: pd.DataFrame, caption: str) -> html.Div:
    """Return the rows as a table that scrolls sideways inside itself, with its count where it is cut."""
    shown = rows.head(ROWS_ON_PAGE)
    words = {column: COLUMNS.get(column, ColumnWords(column)) for column in rows.columns}
    numeric = {column: pd.api.types.is_numeric_dtype(rows[column].dtype) for column in rows.columns}
    numeric |= {column: False for column in rows.columns if pd.api.types.is_bool_dtype(rows[column].dtype)}
    head = html.Tr(
        [
            html.Th(words[column].heading, scope="col", className="n" if numeric[column] else None)
            for column in rows.columns
        ]
    )
    body = [
        html.Tr(
            [
                _in_row(index == 0, _cell(value, words[column]), numeric[column])
                for index, (column, value) in enumerate(zip(rows.columns, row, strict=True))
            ]
        )
        for row in shown.itertuples(index=False, name=None)
    ]
    cut = (
        [html.P(FIGURE["rows_shown"].format(shown=len(shown), total=len(rows)), className="small second")]
        if len(shown) < len(rows)
        else []
    )
    inside = html.Div(
        html.Table([html.Caption(caption), html.Thead(head), html.Tbody(body)]),
        className="scroll",
        role="region",
        tabIndex="0",
        **attributes(aria_label=caption),
    )
    return html.Div([inside, *cut])


def _in_row(is_head: bool, text: str, is_number: bool) -> Any:
    look = "n" if is_number else None
    return html.Th(text, scope="row", className=look) if is_head else html.Td(text, className=look)


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
