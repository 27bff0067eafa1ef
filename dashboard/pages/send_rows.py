"""The rows of a file as we read them, and the bar that shows in file order which are in and which wait."""

from typing import Any

import polars as pl
from dash import html

from dashboard.components.attributes import attributes
from dashboard.pages.volunteer import Volunteer
from dashboard.sending.told import Told
from pipeline.checks.names import column_name
from pipeline.checks.shown import shown_number, shown_ounces, shown_weight
from pipeline.intake.sheets import sheets

#: Bars that a tally has at most; a longer sheet has one bar for a run of rows.
MOST_BARS = 120
#: Rows that stand on the page; the rest are in the file.
ROWS_SHOWN = 400
#: Columns that the table shows, of those in which a sheet holds something.
_MOST_COLUMNS = 6


def tally(told: Told, of: Volunteer) -> list[Any]:
    """Return one bar for each row in file order; open ones wait. Without rows, nothing."""
    if not told.rows:
        return []
    waits = [
        waiting
        for rows in told.judged.rows.values()
        for waiting in rows.sort("tab", "line", nulls_last=False)["is_held"].to_list()
    ]
    run = -(-len(waits) // MOST_BARS)
    bars = [any(waits[start : start + run]) for start in range(0, len(waits), run)]
    label = of.say("tally", used=f"{told.used:,}", held=f"{told.held:,}")
    return [
        html.Div(
            [html.I(className="waits") if waiting else html.I() for waiting in bars],
            className="tally",
            role="img",
            **attributes(aria_label=label),
        )
    ]


def rows_as_read(told: Told, of: Volunteer) -> list[Any]:
    """Return the rows as we read them, folded, a table for each sheet."""
    tables = [_table(name, rows, told, of) for name, rows in told.judged.rows.items() if rows.height]
    if not tables:
        return []
    summary = html.Summary(of.say("rows_all", n=f"{told.rows:,}"))
    cut = (
        [html.P(of.say("rows_cut", shown=f"{ROWS_SHOWN:,}", n=f"{told.rows:,}"), className="small second")]
        if told.rows > ROWS_SHOWN
        else []
    )
    return [html.Details([summary, *tables, *cut], className="rows-as-read", open=told.rows <= 30 or None)]


def _table(name: str, rows: pl.DataFrame, told: Told, of: Volunteer) -> html.Div:
    shown = rows.sort("line").head(ROWS_SHOWN)
    columns = _columns(name, shown)
    meant = _meant(name, told)
    head = [html.Th(of.say("line", line="").strip(), scope="col", className="n")]
    head += [
        html.Th(column_name(column, of.language), scope="col", className=_look(name, column))
        for column in columns
    ]
    body = [html.Tr(_cells(name, row, columns, meant, of)) for row in shown.to_dicts()]
    title = of.say("rows_title")
    return html.Div(
        html.Table([html.Caption(title), html.Thead(html.Tr(head)), html.Tbody(body)]),
        className="scroll",
        role="region",
        tabIndex="0",
        **attributes(aria_label=title),
    )


def _columns(name: str, rows: pl.DataFrame) -> list[str]:
    """Return the columns that hold something, the key's first, as many as a page can show."""
    sites = rows["site"].n_unique() if "site" in rows.columns else 1
    held = [
        column.name
        for column in sheets()[name].columns
        if rows[f"sent_{column.name}"].null_count() < rows.height
        and column.kind != "note"
        and (column.name != "site" or sites > 1)
    ]
    return held[:_MOST_COLUMNS]


def _meant(name: str, told: Told) -> set[tuple[str | None, int, str]]:
    """Return the cells that somebody should look at."""
    found = told.judged.findings.filter((pl.col("sheet") == name) & (pl.col("level") != "note"))
    return {
        (row["tab"], row["line"], row["column"]) for row in found.select("tab", "line", "column").to_dicts()
    }


def _look(name: str, column: str) -> str:
    kind = next(one.kind for one in sheets()[name].columns if one.name == column)
    return "" if kind in ("site", "plot", "date", "text", "note", "choice", "unit") else "n"


def _cells(
    name: str, row: dict[str, Any], columns: list[str], meant: set[tuple[str | None, int, str]], of: Volunteer
) -> list[Any]:
    line = row["line"]
    first: list[Any] = [str(line)]
    if row["is_held"]:
        first.append(html.Span(f" {of.say('waits')}", className="second"))
    cells: list[Any] = [html.Th(first, scope="row", className="n second")]
    for column in columns:
        words = _cell(name, row, column, of)
        is_meant = (row["tab"], line, column) in meant
        cells.append(html.Td(html.Mark(words) if is_meant else words, className=_look(name, column)))
    return cells


def _cell(name: str, row: dict[str, Any], column: str, of: Volunteer) -> str:
    """Return a cell as we read it; as it was sent where we could not."""
    value, sent = row[column], row[f"sent_{column}"] or ""
    if value is None:
        return str(sent) or of.say("blank")
    kind = next(one.kind for one in sheets()[name].columns if one.name == column)
    if kind == "weight":
        return _weight(float(value), of.reader.units)
    if kind == "date":
        return of.day(value)
    if isinstance(value, float):
        return shown_number(round(value, 2))
    return str(value)


def _weight(kilograms: float, units: str) -> str:
    return shown_ounces(kilograms) if units == "us" and kilograms > 0 else shown_weight(kilograms, units)
