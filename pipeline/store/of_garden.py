"""Reading what one garden may see of itself: what waits for it, and what it answered."""

import pandas as pd
import sqlalchemy as sa

from pipeline.checks.pairs import one_of_each_pair
from pipeline.store.read import read_frame
from pipeline.store.tables import decisions, findings, rows_of, sent_sheets, uploads


def open_of_garden(connection: sa.Connection, site: str) -> pd.DataFrame:
    """Return what waits for a garden or is asked of it, rows on hold first, then the newest file first.

    Two findings about one pair of rows are one question: the earlier line's.
    Columns: those of a finding, with the file, its `sha256` and the tab that it stands in where it stands in
    one, and `date`, the day of its row where that has one.
    """
    waits = findings.c.left.is_(None) & (findings.c.level != "note") & (findings.c.site == site)
    days = sa.union_all(
        *(
            sa.select(sa.literal(kind).label("kind"), table.c.row_id, table.c.date).where(
                table.c.site == site, table.c.left.is_(None)
            )
            for kind, table in rows_of.items()
        )
    ).subquery()
    query = (
        sa.select(
            uploads.c.name.label("file"), uploads.c.sha256, sent_sheets.c.tab, days.c.date, *findings.columns
        )
        .outerjoin(days, (days.c.kind == findings.c.kind) & (days.c.row_id == findings.c.row_id))
        .outerjoin(sent_sheets, sent_sheets.c.sheet_id == findings.c.sheet_id)
        .outerjoin(uploads, uploads.c.upload_id == sent_sheets.c.upload_id)
        .where(waits)
        .order_by(findings.c.level, sent_sheets.c.upload_id.desc(), findings.c.line, findings.c.finding_id)
    )
    return one_of_each_pair(read_frame(connection, query))


def answers_of_garden(connection: sa.Connection, made_by: str) -> pd.DataFrame:
    """Return the answers of a garden that stand and wait for the next night, newest first.

    Columns: decision_id, answer, kind, row_id, finding_id, check, column, value.
    """
    names = ("decision_id", "answer", "kind", "row_id", "finding_id", "check", "column", "value")
    query = (
        sa.select(*(decisions.c[name] for name in names))
        .where(decisions.c.made_by == made_by, decisions.c.withdrawn.is_(None), decisions.c.applied.is_(None))
        .order_by(decisions.c.decision_id.desc())
    )
    return read_frame(connection, query)
