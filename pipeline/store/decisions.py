"""Decisions of people about rows: recorded at once, applied by the next night, each can be undone.

A decision never changes what was sent. It makes a version of the row that takes the place of the sent one,
and holds until the garden sends another value for it.
"""

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

import sqlalchemy as sa

from pipeline.intake.sheets import sheets
from pipeline.store import bulk
from pipeline.store.engine import writing
from pipeline.store.tables import decisions, findings, rows_of
from sites.errors import InputError

Answer = Literal[
    "use it",
    "set aside",
    "ask the garden",
    "change it",
    "swapped",
    "planted this way",
    "not sure",
    "keep the newer",
    "keep the older",
    "two pickings",
]

#: Answers that make a version of one row.
OF_A_ROW = ("use it", "set aside", "change it", "keep the newer", "keep the older", "two pickings")


@dataclass(frozen=True)
class Asked:
    """A decision to be recorded.

    `row_id` names the row of the sheet `kind`, where the answer is about one. `change it` names `column` and
    the `value` as a person types it. `swapped` (in the record, from a day on) and `planted this way` (in the
    ground) name the garden and, in `value`, two plots and the first day: "2 5 2025-07-12". `check` is the
    question that is answered, `finding_id` the finding: a question about a whole season names no row, and
    `use it` says there that all is as it should be.
    """

    answer: Answer
    made_by: str
    why: str = ""
    kind: str = "harvest"
    row_id: int | None = None
    finding_id: int | None = None
    check: str | None = None
    site: str | None = None
    column: str | None = None
    value: str | None = None


def record(engine: sa.Engine, asked: Asked, made: datetime) -> int:
    """Record a decision and return its number; the next night applies it.

    Raises InputError where the row is not there any more or the answer lacks what it needs.
    """
    with writing(engine) as connection:
        _check(connection, asked)
        number = bulk.next_id(connection, decisions.c.decision_id)
        connection.execute(
            sa.insert(decisions).values(
                decision_id=number,
                made=made,
                made_by=asked.made_by,
                answer=asked.answer,
                why=asked.why,
                kind=asked.kind,
                row_id=asked.row_id,
                finding_id=asked.finding_id,
                check=asked.check,
                site=asked.site,
                column=asked.column,
                value=asked.value,
            )
        )
    return number


def withdraw(engine: sa.Engine, decision_id: int, by: str, when: datetime) -> None:
    """Take a decision back; what it did is undone by the next night.

    Raises InputError where there is no such decision or it was taken back before.
    """
    standing = (decisions.c.decision_id == decision_id) & decisions.c.withdrawn.is_(None)
    with writing(engine) as connection:
        done = connection.execute(
            sa.update(decisions).where(standing).values(withdrawn=when, withdrawn_by=by)
        )
        if done.rowcount == 0:
            raise InputError(f"There is no decision {decision_id} to undo. It may be undone already.")


def _check(connection: sa.Connection, asked: Asked) -> None:
    if asked.answer == "use it" and asked.row_id is None and asked.finding_id is not None:
        standing = (findings.c.finding_id == asked.finding_id) & findings.c.left.is_(None)
        if connection.execute(sa.select(findings.c.finding_id).where(standing)).first() is None:
            raise InputError("This question has changed since the page was opened. Open it again.")
    elif asked.answer in OF_A_ROW:
        table = rows_of[asked.kind]
        row = connection.execute(
            sa.select(table).where(table.c.row_id == asked.row_id, table.c.left.is_(None))
        ).one_or_none()
        if row is None:
            raise InputError("This row has changed since the page was opened. Open it again and decide anew.")
        if asked.answer == "use it" and row.state == "held" and row.key is None:
            raise InputError("We cannot tell yet which plot and day this row belongs to. Change that first.")
        if asked.answer in ("keep the newer", "keep the older", "two pickings") and row.state != "waits":
            raise InputError("This row does not wait for such an answer any more.")
    if asked.answer == "change it" and (
        asked.value is None or asked.column not in sheets()[asked.kind].column_names
    ):
        raise InputError("A change needs a column of the sheet and the new value.")
    if asked.answer in ("swapped", "planted this way"):
        parts = (asked.value or "").split()
        if asked.site is None or len(parts) != 3:
            raise InputError("A swap needs the garden, two plots and the first day, such as 2 5 2025-07-12.")
