"""Pictures of paper records: kept with their garden and day, waiting until somebody typed what they show."""

from collections.abc import Mapping
from datetime import datetime

import pandas as pd
import sqlalchemy as sa

from pipeline.intake.reading import Picture
from pipeline.store.engine import writing
from pipeline.store.read import read_frame
from pipeline.store.tables import findings, pictures, sent_sheets, uploads
from sites.errors import InputError

#: How the sender of an upload begins that is known by its garden.
_GARDEN = "garden "


def keep_pictures(connection: sa.Connection, found: Mapping[int, Picture]) -> None:
    """Enter pictures by the number of their upload, with the garden that sent them and their day."""
    if not found:
        return
    of_uploads = sa.select(uploads.c.upload_id, uploads.c.sender, uploads.c.received)
    rows = connection.execute(of_uploads.where(uploads.c.upload_id.in_(found))).all()
    connection.execute(
        sa.insert(pictures),
        [
            {
                "upload_id": row.upload_id,
                "kind": found[row.upload_id].kind,
                "site": row.sender.removeprefix(_GARDEN) if row.sender.startswith(_GARDEN) else None,
                "day": found[row.upload_id].taken_on or row.received.date(),
            }
            for row in rows
        ],
    )


def waiting_pictures(connection: sa.Connection) -> pd.DataFrame:
    """Return the pictures that wait to be typed, oldest first.

    Columns: upload_id, file (its name as sent), sha256 (its name in the archive), kind, site, day, received.
    """
    query = (
        sa.select(
            pictures.c.upload_id,
            uploads.c.name.label("file"),
            uploads.c.sha256,
            pictures.c.kind,
            pictures.c.site,
            pictures.c.day,
            uploads.c.received,
        )
        .join(uploads, uploads.c.upload_id == pictures.c.upload_id)
        .where(pictures.c.put_away.is_(None))
        .order_by(pictures.c.day, pictures.c.upload_id)
    )
    return read_frame(connection, query)


def put_away(
    engine: sa.Engine, upload_id: int, by: str, when: datetime, run: int, why: str = "typed"
) -> None:
    """Say that a picture needs no typing any more and close its question; `run` is the newest run.

    Raises InputError where no such picture waits.
    """
    of_upload = sa.select(sent_sheets.c.sheet_id).where(sent_sheets.c.upload_id == upload_id)
    with writing(engine) as connection:
        waiting = (pictures.c.upload_id == upload_id) & pictures.c.put_away.is_(None)
        done = connection.execute(
            sa.update(pictures).where(waiting).values(put_away=when, put_away_by=by, why=why)
        )
        if done.rowcount == 0:
            raise InputError("This picture does not wait to be typed any more.")
        asked = findings.c.sheet_id.in_(of_upload) & findings.c.left.is_(None)
        connection.execute(sa.update(findings).where(asked).values(left=run))
