"""Releases: a closed season's answer given to everybody by the lead, and taken back the same way.

A release keeps the public frames as they were on its night. What a later night finds changes nothing for
readers until somebody releases again.
"""

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime

import pandas as pd
import sqlalchemy as sa

from pipeline.publish.shared_frames import PUBLIC_FRAMES
from pipeline.publish.snapshot import from_bytes
from pipeline.store import bulk
from pipeline.store.engine import writing
from pipeline.store.tables import frames as frame_table
from pipeline.store.tables import release_frames, releases, snapshot_frames, snapshots
from sites.errors import InputError

_BY_NAME = {frame.name: frame for frame in PUBLIC_FRAMES}


@dataclass(frozen=True)
class Release:
    """One release: what, of which night, by whom and when, and whether readers see it."""

    number: int
    trial: str
    season: str
    night: date
    digest: str
    released: datetime
    released_by: str
    taken_back: datetime | None
    taken_back_by: str | None
    successor: int | None

    @property
    def stands(self) -> bool:
        """Whether readers see it."""
        return self.taken_back is None


@dataclass(frozen=True)
class Releases:
    """The releases of one network; `now` gives the moment in UTC that a change is signed with."""

    engine: sa.Engine
    now: Callable[[], datetime]

    def history(self) -> list[Release]:
        """Return every release, the newest first."""
        query = sa.select(releases).order_by(releases.c.release_id.desc())
        with self.engine.connect() as connection:
            return [_release(row) for row in connection.execute(query)]

    def standing(self) -> list[Release]:
        """Return the releases that readers see, the newest first."""
        return [one for one in self.history() if one.stands]

    def frame(self, release: Release, name: str) -> pd.DataFrame:
        """Return one public frame as it was released."""
        query = (
            sa.select(frame_table.c.content)
            .join(release_frames, release_frames.c.sha256 == frame_table.c.sha256)
            .where(release_frames.c.release_id == release.number, release_frames.c.name == name)
        )
        with self.engine.connect() as connection:
            content = connection.execute(query).scalar_one_or_none()
        return _BY_NAME[name].empty() if content is None else from_bytes(content)

    def digest(self, trial: str, season: str) -> str | None:
        """Return what tells the newest night's public answer from any other; None where it has none."""
        with self.engine.connect() as connection:
            newest = connection.execute(sa.select(sa.func.max(snapshots.c.snapshot_id))).scalar_one()
            return _digest(_public(connection, newest, trial, season))

    def release(self, trial: str, season: str, by: str) -> int:
        """Release the newest night's answer in the name of `by` and return the release's number.

        It takes the place of an earlier one. Raises InputError where the season has no answer for the public
        or this very answer is released already.
        """
        with writing(self.engine) as connection:
            newest = connection.execute(
                sa.select(snapshots).order_by(snapshots.c.snapshot_id.desc()).limit(1)
            ).one_or_none()
            public = _public(connection, newest.snapshot_id if newest else None, trial, season)
            digest = _digest(public)
            if newest is None or digest is None:
                raise InputError(
                    f"{trial} {season} has no answer yet. It can be released once it has closed."
                )
            before = _standing(connection, trial, season)
            if any(row.digest == digest for row in before):
                raise InputError(f"This answer of {trial} {season} is released already.")
            number, moment = bulk.next_id(connection, releases.c.release_id), self.now()
            connection.execute(
                sa.insert(releases).values(
                    release_id=number,
                    trial=trial,
                    season=season,
                    snapshot=newest.snapshot_id,
                    night=newest.night,
                    digest=digest,
                    released=moment,
                    released_by=by,
                )
            )
            connection.execute(
                sa.insert(release_frames),
                [{"release_id": number, "name": name, "sha256": sha256} for name, sha256 in public.items()],
            )
            older = sa.update(releases).where(releases.c.release_id.in_([row.release_id for row in before]))
            connection.execute(older.values(taken_back=moment, taken_back_by=by, successor=number))
        return number

    def take_back(self, number: int, by: str) -> None:
        """Take a release back in the name of `by`; readers see nothing of its season any more.

        Raises InputError where no such release stands.
        """
        standing = (releases.c.release_id == number) & releases.c.taken_back.is_(None)
        with writing(self.engine) as connection:
            done = connection.execute(
                sa.update(releases).where(standing).values(taken_back=self.now(), taken_back_by=by)
            )
            if done.rowcount == 0:
                raise InputError("This release does not stand any more. It may be taken back already.")


def _release(row: sa.Row) -> Release:
    return Release(
        row.release_id,
        row.trial,
        row.season,
        row.night,
        row.digest,
        row.released,
        row.released_by,
        row.taken_back,
        row.taken_back_by,
        row.successor,
    )


def _standing(connection: sa.Connection, trial: str, season: str) -> list[sa.Row]:
    query = sa.select(releases.c.release_id, releases.c.digest).where(
        releases.c.trial == trial, releases.c.season == season, releases.c.taken_back.is_(None)
    )
    return list(connection.execute(query).all())


def _public(connection: sa.Connection, snapshot: int | None, trial: str, season: str) -> dict[str, str]:
    """Return the SHA-256 of each public frame of a season in a snapshot."""
    query = sa.select(snapshot_frames.c.name, snapshot_frames.c.sha256).where(
        snapshot_frames.c.snapshot_id == snapshot,
        snapshot_frames.c.trial == trial,
        snapshot_frames.c.season == season,
        snapshot_frames.c.name.in_(list(_BY_NAME)),
    )
    return {row.name: row.sha256 for row in connection.execute(query)}


def _digest(public: dict[str, str]) -> str | None:
    if not public:
        return None
    return hashlib.sha256("".join(public[name] for name in sorted(public)).encode()).hexdigest()
