"""Applying decisions: what the lead or a garden decided since the last night becomes part of the rows."""

from collections.abc import Callable
from datetime import date
from typing import Any

import sqlalchemy as sa

from pipeline.intake.dates import read_date
from pipeline.intake.measures import read_amount, read_hours, read_length, read_weight
from pipeline.intake.numbers import Reading, read_number, read_percent
from pipeline.intake.sheets import sheets
from pipeline.store.season_findings import SETTLES
from pipeline.store.tables import decisions, findings, rows_of
from pipeline.store.versions import (
    close_findings,
    current_row,
    enter_version,
    leave,
    new_version,
    reopen_findings,
)
from sites.errors import InputError

#: Gives the season of a plot on a day, None where there is none.
SeasonOf = Callable[[str, str, date], str | None]


def apply_decisions(connection: sa.Connection, run: int, season_of: SeasonOf, bare_weight: str) -> int:
    """Apply every decision made since the last night and undo those taken back; return how many.

    A decision about a row that a newer one has taken the place of since is spent: the newer row is asked
    about anew where that is needed.
    """
    waiting = sa.select(decisions).where(decisions.c.applied.is_(None), decisions.c.withdrawn.is_(None))
    made = connection.execute(waiting.order_by(decisions.c.decision_id)).all()
    for decision in made:
        _apply(connection, run, decision, season_of, bare_weight)
        connection.execute(
            sa.update(decisions).where(decisions.c.decision_id == decision.decision_id).values(applied=run)
        )
    taken_back = sa.select(decisions).where(
        decisions.c.withdrawn.is_not(None), decisions.c.applied.is_not(None), decisions.c.undone.is_(None)
    )
    undone = connection.execute(taken_back.order_by(decisions.c.decision_id.desc())).all()
    for decision in undone:
        _undo(connection, run, decision)
        connection.execute(
            sa.update(decisions).where(decisions.c.decision_id == decision.decision_id).values(undone=run)
        )
    return len(made) + len(undone)


def _apply(
    connection: sa.Connection, run: int, decision: sa.Row[Any], season_of: SeasonOf, bare_weight: str
) -> None:
    if decision.answer == "swapped":
        _swap(connection, run, decision)
        return
    row = current_row(connection, decision.kind, decision.row_id) if decision.row_id is not None else None
    if row is None and decision.finding_id is not None and decision.answer == SETTLES:
        settled = (findings.c.finding_id == decision.finding_id) & findings.c.left.is_(None)
        connection.execute(sa.update(findings).where(settled).values(left=run))
    if row is None or decision.answer in ("ask the garden", "not sure", "planted this way"):
        return
    changes = _changes(connection, row, decision, season_of, bare_weight)
    close_findings(connection, run, decision.kind, [row.row_id])
    if row.state == "waits" and _takes_the_place(decision):
        for older in _same_key(connection, decision.kind, row):
            close_findings(connection, run, decision.kind, [older.row_id])
            leave(connection, run, decision.kind, [older.row_id], "decided", row.row_id)
    new_version(connection, run, decision.kind, row, "decided", decision.decision_id, changes)


def _takes_the_place(decision: sa.Row[Any]) -> bool:
    """Return whether a row that waits beside another one of the same picking now counts in its place.

    The two are never added, unless somebody says that there were two pickings.
    """
    of_key = {column.name for column in sheets()[decision.kind].columns if column.in_key}
    return decision.answer in ("use it", "keep the newer") or (
        decision.answer == "change it" and decision.column not in of_key
    )


def _changes(
    connection: sa.Connection, row: sa.Row[Any], decision: sa.Row[Any], season_of: SeasonOf, bare_weight: str
) -> dict[str, Any]:
    """Return the cells that a decision changes."""
    if decision.answer in ("use it", "keep the newer"):
        return {"state": "counts"}
    if decision.answer in ("set aside", "keep the older"):
        return {"state": "aside"}
    if decision.answer == "two pickings":
        others = _same_key(connection, decision.kind, row)
        return {"state": "counts", "picking": 1 + max((other.picking or 1 for other in others), default=1)}
    changed: dict[str, Any] = {
        decision.column: read_value(decision.kind, decision.column, decision.value, bare_weight)
    }
    placed = dict(row._mapping) | changed
    if (
        "season" in placed
        and {"site", "plot", "date"} & changed.keys()
        and all(placed[name] for name in ("site", "plot", "date"))
    ):
        changed["season"] = season_of(placed["site"], placed["plot"], placed["date"])
    return {"state": "counts", **changed}


def read_value(kind: str, column: str, value: str, bare_weight: str) -> object:
    """Return a value as a person types it, in the store's units.

    Raises InputError where it cannot be read in exactly one way.
    """
    of = next(each.kind for each in sheets()[kind].columns if each.name == column)
    if of == "date":
        found: Any = read_date(value)
    elif of in _READ:
        found = _READ[of](value, bare_weight)
    else:
        return value.strip() or None
    if found.how not in ("plain", "read as", "blank"):
        raise InputError(
            f"“{value[:60]}” cannot be read as {column.replace('_', ' ')}. Write it in one clear way."
        )
    return found.value


_READ: dict[str, Callable[[str, str], Reading]] = {
    "weight": read_weight,
    "length": lambda value, _unit: read_length(value),
    "percent": lambda value, _unit: read_percent(value),
    "count": lambda value, _unit: read_number(value),
    "number": lambda value, _unit: read_number(value),
    "hours": lambda value, _unit: read_hours(value),
    "amount": lambda value, _unit: read_amount(value),
}


def _same_key(connection: sa.Connection, kind: str, row: sa.Row[Any]) -> list[sa.Row[Any]]:
    table = rows_of[kind]
    same = (
        (table.c.key == row.key)
        & table.c.left.is_(None)
        & (table.c.state == "counts")
        & (table.c.row_id != row.row_id)
    )
    return list(connection.execute(sa.select(table).where(same)))


def _swap(connection: sa.Connection, run: int, decision: sa.Row[Any]) -> None:
    """Give the rows of two plots of a garden, from a day on, each other's plot."""
    one, other, first = (decision.value or "").split()
    table = rows_of[decision.kind]
    among = (
        (table.c.site == decision.site)
        & table.c.plot.in_([one, other])
        & (table.c.date >= date.fromisoformat(first))
        & table.c.left.is_(None)
    )
    for row in connection.execute(sa.select(table).where(among)).all():
        plot = other if row.plot == one else one
        new_version(connection, run, decision.kind, row, "decided", decision.decision_id, {"plot": plot})


def _undo(connection: sa.Connection, run: int, decision: sa.Row[Any]) -> None:
    """Put back what a decision took the place of, where no newer row has come since."""
    table = rows_of[decision.kind]
    made = sa.select(table).where(table.c.decision_id == decision.decision_id, table.c.left.is_(None))
    for version in connection.execute(made).all():
        before = connection.execute(
            sa.select(table).where(table.c.successor == version.row_id).order_by(table.c.row_id.desc())
        ).first()
        if before is None:
            continue
        cells = {
            name: value
            for name, value in before._mapping.items()
            if name in sheets()[decision.kind].column_names
        }
        again = new_version(
            connection,
            run,
            decision.kind,
            version,
            "undone",
            decision.decision_id,
            {**cells, "season": before.season, "state": before.state},
        )
        reopen_findings(connection, run, decision.kind, before.row_id, again, decision.applied)
        for older in _left_for(connection, decision, before):
            counting = enter_version(connection, run, decision.kind, older, decision.decision_id, {})
            reopen_findings(connection, run, decision.kind, older.row_id, counting, decision.applied)


def _left_for(connection: sa.Connection, decision: sa.Row[Any], row: sa.Row[Any]) -> list[sa.Row[Any]]:
    """Return the rows whose place another one took by a decision."""
    table = rows_of[decision.kind]
    left = (table.c.successor == row.row_id) & (table.c.left == decision.applied)
    return list(connection.execute(sa.select(table).where(left, table.c.left_why == "decided")))
