"""The published snapshot: written in one transaction, read frame by frame.

A frame is kept as the bytes of a Parquet file under their SHA-256. A frame that is the same as in an
earlier snapshot is kept once, so that closed seasons cost nothing night after night.
"""

import hashlib
import io
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from threading import Lock
from typing import NamedTuple

import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq
import sqlalchemy as sa

from pipeline.publish.frames import FRAMES
from pipeline.store import bulk
from pipeline.store.engine import writing
from pipeline.store.tables import frames as frame_table
from pipeline.store.tables import release_frames, snapshot_frames, snapshots

#: Older snapshots than this many nights are cleared away; what they were made from is always kept.
NIGHTS_KEPT = 30

_BY_NAME = {frame.name: frame for frame in FRAMES}


class FrameKey(NamedTuple):
    """Which frame: its name and, where it stands once for each trial and season, which of them."""

    name: str
    trial: str = ""
    season: str = ""


def to_bytes(frame: pd.DataFrame) -> bytes:
    """Return a frame as Parquet; equal frames give equal bytes."""
    out = io.BytesIO()
    pq.write_table(pa.Table.from_pandas(frame, preserve_index=False), out, compression="zstd")
    return out.getvalue()


def from_bytes(content: bytes) -> pd.DataFrame:
    """Return the frame in Parquet bytes."""
    return pq.read_table(io.BytesIO(content)).to_pandas()


def publish(
    engine: sa.Engine,
    run: int,
    night: date,
    published: datetime,
    fingerprint: str,
    frames: Mapping[FrameKey, pd.DataFrame],
) -> int:
    """Make these frames the published snapshot, all at once, and return its number."""
    contents = {key: to_bytes(_BY_NAME[key.name].conform(frame)) for key, frame in frames.items()}
    digests = {key: hashlib.sha256(content).hexdigest() for key, content in contents.items()}
    with writing(engine) as connection:
        snapshot = bulk.next_id(connection, snapshots.c.snapshot_id)
        known = {sha256 for (sha256,) in connection.execute(sa.select(frame_table.c.sha256))}
        fresh = {digests[key]: content for key, content in contents.items() if digests[key] not in known}
        connection.execute(
            sa.insert(snapshots).values(
                snapshot_id=snapshot, run_id=run, night=night, published=published, fingerprint=fingerprint
            )
        )
        if fresh:
            rows = [{"sha256": sha256, "content": content} for sha256, content in fresh.items()]
            connection.execute(sa.insert(frame_table), rows)
        connection.execute(
            sa.insert(snapshot_frames),
            [
                {
                    "snapshot_id": snapshot,
                    "trial": key.trial,
                    "season": key.season,
                    "name": key.name,
                    "sha256": sha256,
                }
                for key, sha256 in digests.items()
            ],
        )
        _clear_old(connection, snapshot)
    return snapshot


def _clear_old(connection: sa.Connection, newest: int) -> None:
    old = snapshots.c.snapshot_id <= newest - NIGHTS_KEPT
    old_ids = sa.select(snapshots.c.snapshot_id).where(old)
    connection.execute(sa.delete(snapshot_frames).where(snapshot_frames.c.snapshot_id.in_(old_ids)))
    connection.execute(sa.delete(snapshots).where(old))
    used = sa.union(sa.select(snapshot_frames.c.sha256), sa.select(release_frames.c.sha256))
    connection.execute(sa.delete(frame_table).where(frame_table.c.sha256.not_in(used)))


@dataclass
class PublishedSnapshot:
    """A published snapshot as pages read it. Frames are read once and kept; nobody may change them."""

    id: int
    run: int
    night: date
    published: datetime
    fingerprint: str
    engine: sa.Engine = field(repr=False)
    _read: dict[FrameKey, pd.DataFrame] = field(default_factory=dict, repr=False)
    _lock: Lock = field(default_factory=Lock, repr=False)

    def frame(self, name: str, trial: str | None = None, season: str | None = None) -> pd.DataFrame:
        """Return a frame; one that the night had nothing for comes without rows."""
        key = FrameKey(name, trial or "", season or "")
        with self._lock:
            if key not in self._read:
                self._read[key] = self._load(key)
            return self._read[key]

    def _load(self, key: FrameKey) -> pd.DataFrame:
        query = (
            sa.select(frame_table.c.content)
            .join(snapshot_frames, snapshot_frames.c.sha256 == frame_table.c.sha256)
            .where(
                snapshot_frames.c.snapshot_id == self.id,
                snapshot_frames.c.name == key.name,
                snapshot_frames.c.trial == key.trial,
                snapshot_frames.c.season == key.season,
            )
        )
        with self.engine.connect() as connection:
            content = connection.execute(query).scalar_one_or_none()
        return _BY_NAME[key.name].empty() if content is None else from_bytes(content)


def published_before(engine: sa.Engine, snapshot: int) -> datetime | None:
    """Return when the snapshot before this one came out, UTC; None where there was none."""
    query = (
        sa.select(snapshots.c.published)
        .where(snapshots.c.snapshot_id < snapshot)
        .order_by(snapshots.c.snapshot_id.desc())
        .limit(1)
    )
    with engine.connect() as connection:
        found: datetime | None = connection.execute(query).scalar_one_or_none()
    return found


def newest_snapshot(engine: sa.Engine) -> PublishedSnapshot | None:
    """Return the snapshot that is published now, or None before the first night."""
    query = sa.select(snapshots).order_by(snapshots.c.snapshot_id.desc()).limit(1)
    with engine.connect() as connection:
        row = connection.execute(query).one_or_none()
    if row is None:
        return None
    return PublishedSnapshot(row.snapshot_id, row.run_id, row.night, row.published, row.fingerprint, engine)
