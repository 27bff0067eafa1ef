"""Reading the decisions that stand, and how the last night went."""

from dataclasses import dataclass
from datetime import date, datetime

import pandas as pd
import sqlalchemy as sa

from pipeline.store.read import read_frame
from pipeline.store.tables import decisions, pictures, runs


@dataclass(frozen=True)
class LastRun:
    """The newest run: its number, when it began and ended (UTC), how, and the night that it was for."""

    run_id: int
    started: datetime
    ended: datetime | None
    status: str
    night: date


def standing_decisions(connection: sa.Connection) -> pd.DataFrame:
    """Return the decisions that nobody took back, the newest first, with what they are about.

    A decision made since the last night has no `applied` yet: the next one makes it part of the rows.
    """
    query = (
        sa.select(*decisions.columns)
        .where(decisions.c.withdrawn.is_(None))
        .order_by(decisions.c.decision_id.desc())
    )
    return read_frame(connection, query)


def store_mark(connection: sa.Connection) -> tuple[object, ...]:
    """Return what changes when somebody decides, takes back or types in, and when a night begins or ends."""
    newest = sa.select(
        sa.select(sa.func.max(decisions.c.decision_id)).scalar_subquery(),
        sa.select(sa.func.count(decisions.c.withdrawn)).scalar_subquery(),
        sa.select(sa.func.count(pictures.c.put_away)).scalar_subquery(),
        sa.select(sa.func.max(runs.c.run_id)).scalar_subquery(),
        sa.select(sa.func.count(runs.c.ended)).scalar_subquery(),
    )
    return tuple(connection.execute(newest).one())


def last_run(connection: sa.Connection) -> LastRun | None:
    """Return the newest run, None before the first."""
    row = connection.execute(sa.select(runs).order_by(runs.c.run_id.desc()).limit(1)).one_or_none()
    return None if row is None else LastRun(row.run_id, row.started, row.ended, row.status, row.night)
