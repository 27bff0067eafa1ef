"""The runs of the night: begun, ended, and which files they already know."""

from collections.abc import Sequence
from datetime import date, datetime

import sqlalchemy as sa

from pipeline.store import bulk
from pipeline.store.tables import runs, uploads


def start_run(connection: sa.Connection, night: date, started: datetime) -> int:
    """Enter a new run and return its number."""
    run = bulk.next_id(connection, runs.c.run_id)
    connection.execute(sa.insert(runs).values(run_id=run, started=started, status="running", night=night))
    return run


def end_run(connection: sa.Connection, run: int, status: str, ended: datetime) -> None:
    """Enter how a run ended."""
    connection.execute(sa.update(runs).where(runs.c.run_id == run).values(status=status, ended=ended))


def known_digests(connection: sa.Connection, digests: Sequence[str]) -> set[str]:
    """Return which of the files were taken before."""
    return {
        sha256
        for start in range(0, len(digests), 500)
        for (sha256,) in connection.execute(
            sa.select(uploads.c.sha256).where(uploads.c.sha256.in_(digests[start : start + 500]))
        )
    }


def runs_of_day(connection: sa.Connection, day: date) -> set[int]:
    """Return the runs of a night's day."""
    return set(connection.execute(sa.select(runs.c.run_id).where(runs.c.night == day)).scalars())


def runs_unpublished(connection: sa.Connection, run: int) -> set[int]:
    """Return a run and those right before it that did not come to publish: nobody has heard of these yet."""
    published = sa.select(sa.func.coalesce(sa.func.max(runs.c.run_id), 0)).where(
        runs.c.status == "published", runs.c.run_id < run
    )
    since = sa.select(runs.c.run_id).where(runs.c.run_id > published.scalar_subquery(), runs.c.run_id < run)
    return set(connection.execute(since).scalars()) | {run}
