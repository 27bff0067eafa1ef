"""One timeline for a row and for a file: what was sent, what was decided, by whom and when."""

from typing import Any

import pandas as pd
import sqlalchemy as sa

from pipeline.intake.sheets import sheets
from pipeline.store.tables import decisions, findings, rows_of, runs, sent_sheets, uploads

_COLUMNS = ["row_id", "entered", "left", "left_why", "state", "who", "file", "tab", "line", "answer", "why"]


def row_timeline(connection: sa.Connection, kind: str, row_id: int) -> pd.DataFrame:
    """Return every version of a row, oldest first.

    Columns: row_id, entered and left (when the runs began), left_why, state, who (sent or decided it), file,
    tab and line it was sent in, the answer and its reason where a decision made it, and the sheet's columns.
    """
    versions = _versions(connection, kind, row_id)
    table, began, ended = rows_of[kind], runs.alias("began"), runs.alias("ended")
    query = (
        sa.select(
            table.c.row_id,
            began.c.started.label("entered"),
            ended.c.started.label("left"),
            table.c.left_why,
            table.c.state,
            sa.func.coalesce(decisions.c.made_by, uploads.c.sender).label("who"),
            uploads.c.name.label("file"),
            sent_sheets.c.tab,
            table.c.line,
            decisions.c.answer,
            decisions.c.why,
            *[table.c[name] for name in sheets()[kind].column_names],
        )
        .join(sent_sheets, sent_sheets.c.sheet_id == table.c.sheet_id)
        .join(uploads, uploads.c.upload_id == sent_sheets.c.upload_id)
        .join(began, began.c.run_id == table.c.entered)
        .outerjoin(ended, ended.c.run_id == table.c.left)
        .outerjoin(decisions, decisions.c.decision_id == table.c.decision_id)
        .where(table.c.row_id.in_(versions))
        .order_by(table.c.row_id)
    )
    return pd.DataFrame(connection.execute(query).all(), columns=[*_COLUMNS, *sheets()[kind].column_names])


def _versions(connection: sa.Connection, kind: str, row_id: int) -> set[int]:
    """Return the identifiers of a row's versions, before and after it."""
    table = rows_of[kind]
    found, frontier = {row_id}, {row_id}
    while frontier:
        linked = connection.execute(
            sa.select(table.c.row_id, table.c.successor).where(
                table.c.row_id.in_(frontier) | table.c.successor.in_(frontier)
            )
        ).all()
        reached = {number for pair in linked for number in pair if number is not None}
        frontier = reached - found
        found |= frontier
    return found


def file_timeline(connection: sa.Connection, upload_id: int) -> list[dict[str, Any]]:
    """Return what a file held, sheet by sheet: its rows by what became of them, and what was asked."""
    received = connection.execute(
        sa.select(sent_sheets, uploads.c.name, uploads.c.received, uploads.c.sender)
        .join(uploads, uploads.c.upload_id == sent_sheets.c.upload_id)
        .where(sent_sheets.c.upload_id == upload_id)
        .order_by(sent_sheets.c.sheet_id)
    ).all()
    return [_sheet_timeline(connection, sheet) for sheet in received]


def _sheet_timeline(connection: sa.Connection, sheet: sa.Row[Any]) -> dict[str, Any]:
    about = {
        name: getattr(sheet, name)
        for name in ("name", "received", "sender", "tab", "kind", "verdict", "rows", "used", "held")
    }
    if sheet.kind is None:
        return about | {"entered": [], "asked": []}
    table = rows_of[sheet.kind]
    rows = connection.execute(
        sa.select(table.c.row_id, table.c.line, table.c.state, table.c.left_why, table.c.successor)
        .where(table.c.sheet_id == sheet.sheet_id, table.c.origin.is_(None))
        .order_by(table.c.line)
    )
    asked = connection.execute(
        sa.select(findings.c.line, findings.c.column, findings.c.check, findings.c.level, findings.c.left)
        .where(findings.c.sheet_id == sheet.sheet_id)
        .order_by(findings.c.finding_id)
    )
    return about | {
        "entered": [dict(row._mapping) for row in rows],
        "asked": [dict(row._mapping) for row in asked],
    }
