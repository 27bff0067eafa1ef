"""Erasing beside the rows: contacts of the registry, pictures of paper, and what was published of both."""

import csv
import hashlib
import io
import re
from collections.abc import Iterable
from datetime import datetime
from pathlib import Path

import sqlalchemy as sa

from pipeline.publish.snapshot import from_bytes, to_bytes
from pipeline.store.account_tables import web_uploads
from pipeline.store.tables import frames, pictures, release_frames, snapshot_frames, uploads
from pipeline.workspace import Workspace
from sites.registry import read_registry
from sites.whole_files import put_whole

#: Cells of the registry that hold people: file and column. Such a cell is blanked whole, as what stands
#: beside a name there is the telephone or address of the same person.
_OF_PEOPLE = (("gardens.csv", "contact"), ("absences.csv", "stand_in"))


def blank_registry(workspace: Workspace, named: re.Pattern[str]) -> dict[str, int]:
    """Blank the cells of the registry that name a person, and return how many by file.

    Each file is put in place whole; lines, columns and every other cell stay as they are.
    """
    done = {}
    for file, column in _OF_PEOPLE:
        path = workspace.registry / file
        if path.exists() and (count := _blank_column(path, column, named)):
            done[f"registry/{file}"] = count
    return done


def gardens_of(workspace: Workspace, named: re.Pattern[str]) -> list[str]:
    """Return the gardens whose contact is that person."""
    gardens = read_registry(workspace.registry).gardens
    is_named = gardens["contact"].fillna("").map(lambda cell: bool(named.search(str(cell))))
    return sorted(gardens.loc[is_named.astype(bool), "site"].astype("str"))


def _blank_column(path: Path, column: str, named: re.Pattern[str]) -> int:
    with path.open(encoding="utf-8-sig", newline="") as lines:
        rows = list(csv.reader(lines))
    header = [name.strip().casefold() for name in rows[0]] if rows else []
    if column not in header:
        return 0
    at, count = header.index(column), 0
    for row in rows[1:]:
        if len(row) > at and named.search(row[at]):
            row[at], count = "", count + 1
    if count:
        out = io.StringIO()
        csv.writer(out, lineterminator="\n").writerows(rows)
        put_whole(path, out.getvalue().encode())
    return count


def pictures_sent_by(connection: sa.Connection, accounts: Iterable[int]) -> dict[int, str]:
    """Return the pictures of paper that accounts sent: their SHA-256 by the number of their upload."""
    sent = sa.select(web_uploads.c.sha256).where(web_uploads.c.account_id.in_(list(accounts)))
    return _pictures(connection, uploads.c.sha256.in_(sent))


def pictures_of_gardens(connection: sa.Connection, sites: Iterable[str]) -> dict[int, str]:
    """Return the pictures of paper that stand for gardens, by the number of their upload."""
    return _pictures(connection, pictures.c.site.in_(list(sites)))


def picture_of_upload(connection: sa.Connection, upload: int) -> dict[int, str]:
    """Return one picture by the number of its upload, nothing where it is no picture or was erased."""
    return _pictures(connection, pictures.c.upload_id == upload)


def _pictures(connection: sa.Connection, condition: sa.ColumnElement[bool]) -> dict[int, str]:
    chosen = (
        sa.select(pictures.c.upload_id, uploads.c.sha256)
        .join(uploads, uploads.c.upload_id == pictures.c.upload_id)
        .where(condition & sa.or_(pictures.c.why.is_(None), pictures.c.why != "erased"))
        .order_by(pictures.c.upload_id)
    )
    return {row.upload_id: row.sha256 for row in connection.execute(chosen)}


def forget_pictures(connection: sa.Connection, numbers: Iterable[int], now: datetime) -> None:
    """Say that pictures are erased, so that none waits to be typed; their garden, day and hash stay."""
    chosen = pictures.c.upload_id.in_(list(numbers))
    waiting = {"put_away": sa.func.coalesce(pictures.c.put_away, now), "put_away_by": None, "why": "erased"}
    connection.execute(sa.update(pictures).where(chosen).values(**waiting))


def blank_published(connection: sa.Connection, named: re.Pattern[str], blank: str) -> int:
    """Write published frames anew without the name, and return how many.

    Only snapshots are: what was released was generalised before it left, and names nobody.
    """
    changed = 0
    for sha256, content in connection.execute(sa.select(frames.c.sha256, frames.c.content)).all():
        frame = from_bytes(content)
        words = [name for name in frame.columns if frame[name].dtype == "str"]
        hit = [name for name in words if frame[name].str.contains(named, na=False).any()]
        if not hit:
            continue
        frame = frame.assign(**{name: frame[name].str.replace(named, blank, regex=True) for name in hit})
        _put_in_place(connection, sha256, to_bytes(frame))
        changed += 1
    return changed


def _put_in_place(connection: sa.Connection, old: str, content: bytes) -> None:
    new = hashlib.sha256(content).hexdigest()
    if connection.execute(sa.select(frames.c.sha256).where(frames.c.sha256 == new)).first() is None:
        connection.execute(sa.insert(frames).values(sha256=new, content=content))
    of_old = snapshot_frames.c.sha256 == old
    connection.execute(sa.update(snapshot_frames).where(of_old).values(sha256=new))
    if connection.execute(sa.select(release_frames).where(release_frames.c.sha256 == old)).first() is None:
        connection.execute(sa.delete(frames).where(frames.c.sha256 == old))
