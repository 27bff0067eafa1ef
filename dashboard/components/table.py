"""Tables: ruled, with numbers to the right, in the order of the figure until a reader orders them otherwise.

They are written as HTML and fetched when somebody opens one: thousands of cells in the page itself would
make every later choice slow. Ordering, searching and turning pages ask the server again, so that a table of
ten thousand rows is as quick as one of ten; assets/table.js only passes on what is pressed.
"""

from collections.abc import Mapping
from html import escape

import pandas as pd

from dashboard.components.arranged import Arrangement, arranged
from dashboard.components.cells import shown_cell, words_of
from dashboard.speech import ENGLISH, Speech
from dashboard.words import FIGURE

#: Rows of one page of a table: what a screen scrolls through without getting lost.
ROWS_SHOWN = 100


def table(
    rows: pd.DataFrame,
    caption: str,
    meanings: Mapping[str, str] | None = None,
    *,
    arrangement: Arrangement | None = None,
    csv: str = "",
    speech: Speech = ENGLISH,
) -> str:
    """Return the rows as HTML: a field to search in, and a page of the table with what leads to the others.

    `meanings` says of columns what they mean, told where their heading is pointed at. `csv` is the address
    of the rows as a file; while some are searched for or ordered, a link takes just those away.
    """
    wanted = arrangement or Arrangement()
    found = arranged(rows, wanted, speech)
    page = min(wanted.page, max(1, -(-len(found) // ROWS_SHOWN)))
    shown = found.iloc[(page - 1) * ROWS_SHOWN : page * ROWS_SHOWN]
    return (
        _tools(rows, found, shown, page, wanted, csv, speech)
        + _body(shown, caption, meanings or {}, wanted, speech)
        + _pages(page, -(-len(found) // ROWS_SHOWN), speech)
    )


def _tools(
    rows: pd.DataFrame,
    found: pd.DataFrame,
    shown: pd.DataFrame,
    page: int,
    wanted: Arrangement,
    csv: str,
    speech: Speech,
) -> str:
    """Return the field to search in, how many rows that leaves, and those rows as a file."""
    if len(found) == len(shown):
        words = "rows_found" if len(found) == len(rows) else "rows_searched"
    else:
        words = "rows_part"
    first = (page - 1) * ROWS_SHOWN + 1
    told = speech.of(
        FIGURE, words, found=len(found), total=len(rows), first=first, last=first + len(shown) - 1
    )
    taken = ""
    if csv and wanted.query:
        address = escape(f"{csv}&{wanted.query}", quote=True)
        taken = f'<a href="{address}" download>{speech.of(FIGURE, "these_csv")}</a>'
    search = (
        f"<label>{speech.of(FIGURE, 'search')} "
        f'<input type="search" name="search" value="{escape(wanted.words, quote=True)}" autocomplete="off">'
        "</label>"
    )
    return f'<div class="table-tools">{search}<span role="status" class="second">{told}</span>{taken}</div>'


def _body(
    shown: pd.DataFrame, caption: str, meanings: Mapping[str, str], wanted: Arrangement, speech: Speech
) -> str:
    words = [words_of(column) for column in shown.columns]
    looks = [' class="n"' if _is_number(shown[column]) else "" for column in shown.columns]
    head = "".join(
        _heading(column, speech(word.heading), look, meanings.get(column, ""), wanted)
        for column, word, look in zip(shown.columns, words, looks, strict=True)
    )
    body = "".join(
        _row([shown_cell(value, word, speech) for value, word in zip(row, words, strict=True)], looks)
        for row in shown.itertuples(index=False, name=None)
    )
    named = escape(caption, quote=True)
    return (
        f'<div class="scroll" role="region" tabindex="0" aria-label="{named}">'
        f"<table><caption>{named}</caption>"
        f"<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table></div>"
    )


def _heading(column: str, heading: str, look: str, meaning: str, wanted: Arrangement) -> str:
    """Return a column's head: a button that orders by it, the other way round when it does so already."""
    order = wanted.order_of(column)
    title = f' title="{escape(meaning, quote=True)}"' if meaning else ""
    name = escape(column, quote=True)
    return (
        f'<th scope="col"{look} aria-sort="{order}"{title}>'
        f'<button type="button" class="sort" data-sort="{name}">{escape(heading)}</button></th>'
    )


def _pages(page: int, pages: int, speech: Speech) -> str:
    """Return the steps to the page before and after; nothing where there is but one."""
    if pages <= 1:
        return ""
    steps = [
        (page - 1, "before", page > 1),
        (page + 1, "after", page < pages),
    ]
    before, after = (
        f'<button type="button" data-step="{words}" data-page="{to}"{"" if is_there else " disabled"}>'
        f"{speech.of(FIGURE, f'rows_{words}')}</button>"
        for to, words, is_there in steps
    )
    told = speech.of(FIGURE, "rows_page", page=page, pages=pages)
    return f'<div class="table-pages">{before}<span class="second">{told}</span>{after}</div>'


def _is_number(column: pd.Series) -> bool:
    return pd.api.types.is_numeric_dtype(column.dtype) and not pd.api.types.is_bool_dtype(column.dtype)


def _row(cells: list[str], looks: list[str]) -> str:
    first = f'<th scope="row"{looks[0]}>{escape(cells[0])}</th>'
    rest = "".join(f"<td{look}>{escape(cell)}</td>" for look, cell in zip(looks[1:], cells[1:], strict=True))
    return f"<tr>{first}{rest}</tr>"
