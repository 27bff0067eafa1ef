"""Reading what counts: rows as data frames, uploads, open findings."""

from collections.abc import Sequence
from itertools import repeat
from typing import Any

import numpy as np
import pandas as pd
import sqlalchemy as sa

from pipeline.store.tables import decisions, findings, rows_of, sent_sheets, uploads

#: Columns of a row that say how it is kept, not what it says.
_BOOKKEEPING = frozenset(
    ["sheet_id", "key", "state", "entered", "left", "left_why", "successor", "origin", "decision_id", "sent"]
)


def counting_rows(connection: sa.Connection, kind: str, season: str | None = None) -> pd.DataFrame:
    """Return the rows of one kind of sheet that count now, with where they came from.

    Columns: row_id, file, tab, line, season and the sheet's own, weights in kg, lengths in cm.
    """
    table = rows_of[kind]
    columns = [column for column in table.columns if column.name not in _BOOKKEEPING]
    query = (
        sa.select(uploads.c.name.label("file"), sent_sheets.c.tab, *columns)
        .join(sent_sheets, sent_sheets.c.sheet_id == table.c.sheet_id)
        .join(uploads, uploads.c.upload_id == sent_sheets.c.upload_id)
        .where(table.c.left.is_(None), table.c.state == "counts")
        .order_by(table.c.row_id)
    )
    if season is not None:
        query = query.where(table.c.season == season)
    return read_frame(connection, query)


def sheets_received(connection: sa.Connection) -> pd.DataFrame:
    """Return every sheet received, oldest first, with its upload and verdict."""
    query = (
        sa.select(
            uploads.c.upload_id,
            uploads.c.received,
            uploads.c.run_id,
            uploads.c.name.label("file"),
            uploads.c.sender,
            sent_sheets.c.sheet_id,
            sent_sheets.c.tab,
            sent_sheets.c.kind,
            sent_sheets.c.verdict,
            sent_sheets.c.rows,
            sent_sheets.c.used,
            sent_sheets.c.held,
        )
        .join(sent_sheets, sent_sheets.c.upload_id == uploads.c.upload_id)
        .order_by(uploads.c.upload_id, sent_sheets.c.sheet_id)
    )
    return read_frame(connection, query)


def sites_of_sheets(connection: sa.Connection, kinds: Sequence[str]) -> pd.DataFrame:
    """Return which gardens each sheet has rows of: sheet_id, site."""
    parts = [
        sa.select(rows_of[kind].c.sheet_id, rows_of[kind].c.site)
        .where(rows_of[kind].c.site.is_not(None))
        .distinct()
        for kind in kinds
    ]
    return read_frame(connection, sa.union(*parts))


def open_findings(connection: sa.Connection) -> pd.DataFrame:
    """Return the findings that stand open, with file and tab."""
    query = (
        sa.select(uploads.c.upload_id, uploads.c.name.label("file"), sent_sheets.c.tab, *findings.columns)
        .outerjoin(sent_sheets, sent_sheets.c.sheet_id == findings.c.sheet_id)
        .outerjoin(uploads, uploads.c.upload_id == sent_sheets.c.upload_id)
        .where(findings.c.left.is_(None))
        .order_by(findings.c.finding_id)
    )
    return read_frame(connection, query)


def planted_swaps(connection: sa.Connection) -> pd.DataFrame:
    """Return the pairs of plots found to stand in each other's place: site, one, other."""
    query = sa.select(decisions.c.site, decisions.c.value).where(
        decisions.c.answer == "planted this way", decisions.c.withdrawn.is_(None)
    )
    rows = [
        (site, *value.split()[:2])
        for site, value in connection.execute(query.order_by(decisions.c.decision_id))
    ]
    return pd.DataFrame(rows, columns=["site", "one", "other"])


def held_days(connection: sa.Connection, season: str) -> pd.DataFrame:
    """Return the gardens and days of harvest rows on hold in a season: site, date."""
    table = rows_of["harvest"]
    query = sa.select(table.c.site, table.c.date).where(
        table.c.left.is_(None), table.c.state == "held", table.c.season == season, table.c.site.is_not(None)
    )
    return read_frame(connection, query.distinct())


def read_frame(connection: sa.Connection, query: sa.Select | sa.CompoundSelect) -> pd.DataFrame:
    """Return the query's rows with the dtypes that the schema says, also where there are none."""
    rows = connection.execute(query).all()
    # Column by column: a frame of objects turned into another takes thrice as long, and most have few rows.
    columns = zip(*rows, strict=True) if rows else repeat(())
    return pd.DataFrame(
        {
            column.name: _of_dtype(values, _dtype(column.type))
            for column, values in zip(query.selected_columns, columns, strict=False)
        }
    )


def _of_dtype(values: Sequence[Any], dtype: str) -> np.ndarray | pd.api.extensions.ExtensionArray:
    return pd.array(values, dtype=dtype) if dtype in ("Int64", "str") else np.array(values, dtype=dtype)


def _dtype(kind: sa.types.TypeEngine[object]) -> str:
    if isinstance(kind, (sa.Date, sa.DateTime)):
        return "datetime64[us]"
    if isinstance(kind, sa.Boolean):
        return "bool"
    if isinstance(kind, sa.Double):
        return "float64"
    return "Int64" if isinstance(kind, (sa.Integer, sa.BigInteger)) else "str"
