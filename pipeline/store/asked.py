"""Reading what waits for a decision: open questions and rows on hold, with the rows they are about."""

import pandas as pd
import sqlalchemy as sa

from pipeline.checks.pairs import one_of_each_pair
from pipeline.intake.sheets import sheets
from pipeline.store.read import read_frame
from pipeline.store.tables import findings, rows_of, sent_sheets, uploads

_WAITS = findings.c.left.is_(None) & (findings.c.level != "note")


def open_questions(connection: sa.Connection) -> pd.DataFrame:
    """Return the findings that want a decision, oldest first, with the file that each stands in, if any.

    Two findings about one pair of rows are one question: the earlier line's.
    """
    query = (
        sa.select(
            uploads.c.upload_id,
            uploads.c.received,
            uploads.c.name.label("file"),
            sent_sheets.c.tab,
            sent_sheets.c.verdict,
            *findings.columns,
        )
        .outerjoin(sent_sheets, sent_sheets.c.sheet_id == findings.c.sheet_id)
        .outerjoin(uploads, uploads.c.upload_id == sent_sheets.c.upload_id)
        .where(_WAITS)
        .order_by(findings.c.finding_id)
    )
    return one_of_each_pair(read_frame(connection, query))


def rows_asked_about(connection: sa.Connection, kind: str) -> pd.DataFrame:
    """Return the current rows of one kind of sheet that open questions name: row_id, state, columns."""
    table = rows_of[kind]
    asked = sa.select(findings.c.row_id).where(_WAITS, findings.c.kind == kind)
    columns = [table.c[name] for name in sheets()[kind].column_names]
    query = (
        sa.select(table.c.row_id, table.c.state, *columns)
        .where(table.c.row_id.in_(asked), table.c.left.is_(None))
        .order_by(table.c.row_id)
    )
    return read_frame(connection, query)
