"""Reading the rows behind a published snapshot, garden by garden, with the file and line of each."""

from datetime import datetime, time
from typing import Any

import pandas as pd
import sqlalchemy as sa

from pipeline.intake.sheets import sheets
from pipeline.store.read import read_frame
from pipeline.store.tables import rows_of, sent_sheets, uploads


def garden_rows(
    connection: sa.Connection, kind: str, site: str, season: str | None, run: int
) -> pd.DataFrame:
    """Return the rows of one garden and kind of sheet as a run left them, in file order.

    Without a `season` all of them. Columns: row_id, state (counts, held, waits or aside), upload_id, file,
    tab, line, received, sender, origin (the row as it was sent, where a decision made this version of it),
    sent (the cells as they came, JSON) and the columns of the sheet, weights in kg.
    """
    query = _rows(kind).where(_stood(kind, site, run))
    if season is not None:
        query = query.where(rows_of[kind].c.season == season)
    return read_frame(connection, query)


def rows_around(
    connection: sa.Connection, kind: str, row_id: int, site: str | None, run: int
) -> list[dict[str, Any]]:
    """Return one row, whether or not it still counts, and the rows of its garden as a run left them.

    Of a row whose garden is not known (`site` is None) that row alone, of one that is not there only the
    garden's. One record a row, named and in the order of `garden_rows`; None where a cell is blank.
    """
    is_asked_for = rows_of[kind].c.row_id == row_id
    wanted = is_asked_for if site is None else is_asked_for | _stood(kind, site, run)
    return [dict(row) for row in connection.execute(_rows(kind).where(wanted)).mappings()]


def _stood(kind: str, site: str, run: int) -> sa.ColumnElement[bool]:
    """Return which rows are of a garden and stood when a run ended."""
    table = rows_of[kind]
    still_stands = table.c.left.is_(None) | (table.c.left > run)
    return (table.c.site == site) & (table.c.entered <= run) & still_stands


def _rows(kind: str) -> sa.Select[Any]:
    table = rows_of[kind]
    columns = [table.c[name] for name in sheets()[kind].column_names]
    return (
        sa.select(
            table.c.row_id,
            table.c.state,
            uploads.c.upload_id,
            uploads.c.sha256,
            uploads.c.name.label("file"),
            sent_sheets.c.tab,
            table.c.line,
            uploads.c.received,
            uploads.c.sender,
            table.c.origin,
            table.c.sent,
            *columns,
        )
        .join(sent_sheets, sent_sheets.c.sheet_id == table.c.sheet_id)
        .join(uploads, uploads.c.upload_id == sent_sheets.c.upload_id)
        .order_by(uploads.c.upload_id, table.c.line, table.c.row_id)
    )


_SITE: sa.BindParameter[str] = sa.bindparam("named_site")
_SEASON: sa.BindParameter[str] = sa.bindparam("named_season")
_RUN: sa.BindParameter[int] = sa.bindparam("named_run")


def _weighed() -> sa.Select[Any]:
    harvest = rows_of["harvest"]
    return sa.select(harvest.c.plot, harvest.c.date, harvest.c.marketable_weight).where(
        harvest.c.site == _SITE,
        harvest.c.season == _SEASON,
        harvest.c.entered <= _RUN,
        harvest.c.left.is_(None) | (harvest.c.left > _RUN),
        harvest.c.state == "counts",
        harvest.c.marketable_weight.is_not(None),
        harvest.c.date.is_not(None),
    )


# Asked for every page of a garden; putting a query together takes longer than its answer.
_WEIGHED = _weighed()


def weighed_pickings(
    connection: sa.Connection, site: str, season: str, run: int
) -> list[tuple[str, datetime, float]]:
    """Return plot, day and kg of a garden's pickings that counted, as a run left them."""
    values = {_SITE.key: site, _SEASON.key: season, _RUN.key: run}
    midnight = time()
    return [
        (plot, datetime.combine(day, midnight), weight)
        for plot, day, weight in connection.execute(_WEIGHED, values)
    ]


def row_as_kept(connection: sa.Connection, kind: str, row_id: int) -> pd.DataFrame:
    """Return one row with the file that it came in, whether or not it still counts; else none."""
    table = rows_of[kind]
    columns = [table.c[name] for name in sheets()[kind].column_names]
    query = (
        sa.select(
            table.c.row_id,
            table.c.state,
            table.c.season,
            uploads.c.upload_id,
            uploads.c.sha256,
            uploads.c.name.label("file"),
            sent_sheets.c.tab,
            table.c.line,
            uploads.c.received,
            uploads.c.sender,
            table.c.sent,
            *columns,
        )
        .join(sent_sheets, sent_sheets.c.sheet_id == table.c.sheet_id)
        .join(uploads, uploads.c.upload_id == sent_sheets.c.upload_id)
        .where(table.c.row_id == row_id)
    )
    return read_frame(connection, query)
