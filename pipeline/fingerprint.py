"""Whether anything is new: one mark over everything that a snapshot rests on."""

import hashlib
from pathlib import Path

import sqlalchemy as sa

from pipeline import settings as network
from pipeline.store.tables import decisions, uploads
from pipeline.workspace import Workspace

#: Raised where the program comes to other frames from the same data, so that the next night publishes.
VERSION = "3"


def fingerprint(workspace: Workspace, engine: sa.Engine) -> str:
    """Return a mark that changes where the program, the day, settings, registry, place or rows changed."""
    digest = hashlib.sha256(f"{VERSION} {workspace.today()}".encode())
    digest.update((workspace.root / network.FILE).read_bytes())
    for folder in (workspace.registry, workspace.climate, workspace.soil):
        for path in sorted(path for path in folder.rglob("*") if path.is_file()):
            digest.update(_mark(path, workspace.root))
    with engine.connect() as connection:
        for newest in (uploads.c.upload_id, decisions.c.decision_id, decisions.c.withdrawn):
            digest.update(str(connection.execute(sa.select(sa.func.max(newest))).scalar()).encode())
    return digest.hexdigest()


def _mark(path: Path, root: Path) -> bytes:
    return path.relative_to(root).as_posix().encode() + hashlib.sha256(path.read_bytes()).digest()
