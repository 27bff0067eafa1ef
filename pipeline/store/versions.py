"""Versions of rows: made by a decision, left when a newer one takes their place."""

from collections.abc import Mapping, Sequence
from typing import Any

import sqlalchemy as sa

from pipeline.store import bulk
from pipeline.store.tables import findings, rows_of

#: Columns of a version that are not taken over from the row before.
_OWN = ("row_id", "entered", "left", "left_why", "successor", "decision_id")


def current_row(connection: sa.Connection, kind: str, row_id: int) -> sa.Row[Any] | None:
    """Return the row if it is current, None where a newer one took its place."""
    table = rows_of[kind]
    return connection.execute(
        sa.select(table).where(table.c.row_id == row_id, table.c.left.is_(None))
    ).one_or_none()


def new_version(
    connection: sa.Connection,
    run: int,
    kind: str,
    row: sa.Row[Any],
    why: str,
    decision_id: int,
    changes: Mapping[str, Any],
) -> int:
    """Enter a version of a row with some cells changed, leave the row for it, and return its identifier."""
    number = enter_version(connection, run, kind, row, decision_id, changes)
    leave(connection, run, kind, [row.row_id], why, number)
    return number


def enter_version(
    connection: sa.Connection,
    run: int,
    kind: str,
    row: sa.Row[Any],
    decision_id: int,
    changes: Mapping[str, Any],
) -> int:
    """Enter a version of a row with some cells changed, and return its identifier.

    The version remembers the row as it was sent, so that the same value sent again changes nothing.
    """
    table = rows_of[kind]
    before = dict(row._mapping)
    values = {name: value for name, value in before.items() if name not in _OWN}
    values |= {"origin": before["origin"] or before["row_id"], **changes}
    number = bulk.next_id(connection, table.c.row_id)
    connection.execute(sa.insert(table).values(row_id=number, entered=run, decision_id=decision_id, **values))
    return number


def leave(
    connection: sa.Connection, run: int, kind: str, row_ids: Sequence[int], why: str, successor: int | None
) -> None:
    """Mark rows as no longer current, for one newer row or for none."""
    table = rows_of[kind]
    connection.execute(
        sa.update(table)
        .where(table.c.row_id.in_(row_ids))
        .values(left=run, left_why=why, successor=successor)
    )


def close_findings(connection: sa.Connection, run: int, kind: str, row_ids: Sequence[int]) -> None:
    """Close what was asked about rows."""
    for start in range(0, len(row_ids), 500):
        about = findings.c.row_id.in_(row_ids[start : start + 500]) & (findings.c.kind == kind)
        connection.execute(sa.update(findings).where(about, findings.c.left.is_(None)).values(left=run))


def reopen_findings(
    connection: sa.Connection, run: int, kind: str, row_id: int, for_row: int, closed_in: int
) -> None:
    """Ask again about `for_row` what was asked about `row_id` until the run `closed_in`."""
    about = (findings.c.row_id == row_id) & (findings.c.kind == kind)
    closed = connection.execute(sa.select(findings).where(about, findings.c.left == closed_in)).all()
    first = bulk.next_id(connection, findings.c.finding_id)
    for number, finding in enumerate(closed, start=first):
        again = dict(finding._mapping) | {
            "finding_id": number,
            "row_id": for_row,
            "entered": run,
            "left": None,
        }
        connection.execute(sa.insert(findings).values(**again))
