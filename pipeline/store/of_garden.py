"""Reading what one garden may see of itself: what waits for it, and what it answered."""

from collections.abc import Mapping
from typing import Any

import sqlalchemy as sa

from pipeline.checks.pairs import mirrored
from pipeline.store.tables import decisions, findings, rows_of, sent_sheets, uploads

Record = dict[str, Any]

_SITE: sa.BindParameter[str] = sa.bindparam("named_site")
_MADE_BY: sa.BindParameter[str] = sa.bindparam("named_maker")


def _what_is_open() -> sa.Select[Any]:
    waits = findings.c.left.is_(None) & (findings.c.level != "note") & (findings.c.site == _SITE)
    days = sa.union_all(
        *(
            sa.select(sa.literal(kind).label("kind"), table.c.row_id, table.c.date).where(
                table.c.site == _SITE, table.c.left.is_(None)
            )
            for kind, table in rows_of.items()
        )
    ).subquery()
    return (
        sa.select(
            uploads.c.name.label("file"), uploads.c.sha256, sent_sheets.c.tab, days.c.date, *findings.columns
        )
        .outerjoin(days, (days.c.kind == findings.c.kind) & (days.c.row_id == findings.c.row_id))
        .outerjoin(sent_sheets, sent_sheets.c.sheet_id == findings.c.sheet_id)
        .outerjoin(uploads, uploads.c.upload_id == sent_sheets.c.upload_id)
        .where(waits)
        .order_by(findings.c.level, sent_sheets.c.upload_id.desc(), findings.c.line, findings.c.finding_id)
    )


def _what_was_answered() -> sa.Select[Any]:
    names = ("decision_id", "answer", "kind", "row_id", "finding_id", "check", "column", "value")
    return (
        sa.select(*(decisions.c[name] for name in names))
        .where(
            decisions.c.made_by == _MADE_BY, decisions.c.withdrawn.is_(None), decisions.c.applied.is_(None)
        )
        .order_by(decisions.c.decision_id.desc())
    )


# Both are asked for every page of a garden, and putting a query together takes longer than its answer.
_OPEN, _ANSWERED = _what_is_open(), _what_was_answered()


def open_of_garden(connection: sa.Connection, site: str) -> list[Record]:
    """Return what waits for a garden or is asked of it, rows on hold first, then the newest file first.

    Two findings about one pair of rows are one question: the earlier line's. Each has the columns of a
    finding, with the file, its `sha256` and the tab that it stands in where it stands in one, and `date`, the
    day of its row where that has one; a blank is None.
    """
    found = _records(connection, _OPEN, {_SITE.key: site})
    again = mirrored(found, ["sheet_id"])
    return [finding for at, finding in enumerate(found) if at not in again]


def answers_of_garden(connection: sa.Connection, made_by: str) -> list[Record]:
    """Return the answers of a garden that stand and wait for the next night, newest first.

    Each has decision_id, answer, kind, row_id, finding_id, check, column and value; a blank is None.
    """
    return _records(connection, _ANSWERED, {_MADE_BY.key: made_by})


def _records(connection: sa.Connection, query: sa.Select[Any], values: Mapping[str, str]) -> list[Record]:
    return [dict(row) for row in connection.execute(query, values).mappings()]
