"""What a garden said is right of a sheet that its night has not read yet.

An answer is about a row, and a row is there only after the night. Until then the answer lies in a file of the
workspace; the night that reads the sheet records it as the garden's answer, as if given the morning after.
"""

import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path

import sqlalchemy as sa

from pipeline.store.decisions import Asked, record
from pipeline.store.tables import findings, sent_sheets, uploads
from sites.errors import InputError
from sites.whole_files import put_whole

#: Folder of the workspace in which answers wait.
FOLDER = "said-right"


@dataclass(frozen=True)
class SaidRight:
    """One cell that is right as it stands: what asked about it, and where and how it was sent."""

    check: str
    column: str
    line: int
    sent: str


def keep_said(root: Path, site: str, digest: str, said: Sequence[SaidRight]) -> None:
    """Keep what a garden says of one sheet in place of what it said of it before; nothing said is no file."""
    place = root / FOLDER / f"{site}-{digest}.json"
    if not said:
        place.unlink(missing_ok=True)
        return
    place.parent.mkdir(exist_ok=True)
    told = {"site": site, "digest": digest, "said": [asdict(one) for one in said]}
    put_whole(place, json.dumps(told, ensure_ascii=False).encode())


def record_said(root: Path, engine: sa.Engine, run: int, when: datetime) -> int:
    """Record what was said of sheets that are in the store now, and return how many answers that made.

    The garden's other sheets of the same run count as well: one that was corrected takes the place of the
    one that the answer was given about. What no longer is asked is passed over.
    """
    made = 0
    for place in sorted((root / FOLDER).glob("*.json")):
        told = json.loads(place.read_text(encoding="utf-8"))
        with engine.connect() as connection:
            if not _is_read(connection, told["digest"]):
                continue
            asked = [
                one
                for said in told["said"]
                for one in _asked(connection, run, told["site"], SaidRight(**said))
            ]
        made += sum(_recorded(engine, one, when) for one in asked)
        place.unlink()
    return made


def _is_read(connection: sa.Connection, digest: str) -> bool:
    known = sa.select(uploads.c.upload_id).where(uploads.c.sha256 == digest)
    return connection.execute(known).first() is not None


def _asked(connection: sa.Connection, run: int, site: str, said: SaidRight) -> list[Asked]:
    sender = f"garden {site}"
    found = connection.execute(
        sa.select(findings)
        .join(sent_sheets, sent_sheets.c.sheet_id == findings.c.sheet_id)
        .join(uploads, uploads.c.upload_id == sent_sheets.c.upload_id)
        .where(
            uploads.c.sender == sender,
            findings.c.entered == run,
            findings.c.left.is_(None),
            findings.c.site == site,
            findings.c.check == said.check,
            findings.c.line == said.line,
            sa.func.coalesce(findings.c.column, "") == said.column,
            sa.func.coalesce(findings.c.sent, "") == said.sent,
        )
        .order_by(findings.c.finding_id)
    )
    return [
        Asked(
            "use it",
            sender,
            kind=one.kind or "harvest",
            row_id=one.row_id,
            finding_id=one.finding_id,
            check=one.check,
            site=site,
        )
        for one in found
    ]


def _recorded(engine: sa.Engine, asked: Asked, when: datetime) -> bool:
    """Return whether the answer could be recorded; a row that is not there any more takes none."""
    try:
        record(engine, asked, when)
    except InputError:
        return False
    return True
