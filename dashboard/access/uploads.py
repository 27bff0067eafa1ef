"""Files that people send over the web page.

`POST /upload?garden=G05`, a form (multipart/form-data) with one field `file`, and the header `X-CSRFToken`
with the value of the cookie `_csrf_token`. A lead who types for somebody adds `for=NAME` to the address, and
both names are kept. The body goes to disk while it comes, up to the network's limit; its bytes lie in the
archive before anybody looks into them; it is judged in a process of its own. Answers are JSON:

- 200 `{"garden", "file", "sha256", "verdict": "judged", "files": [...]}`: `files` as `longrow check --json`
  prints it, one entry per sheet with its findings.
- 202 the same with `"verdict": "later"` and `"message"`, without `files`: the file is kept, but it takes more
  time or memory to read than people wait for; the night reads it.
- 400 no file, 401 not signed in, 403 another garden (text), 404 no such garden; 413 too large, 429 more
  files than a garden sends in a day: `{"message"}`.
"""

import hashlib
import os
import secrets
import shutil
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import datetime
from pathlib import Path, PurePosixPath
from typing import IO, Any

import sqlalchemy as sa
from flask import Flask, Response, abort, g, jsonify, request
from werkzeug.exceptions import RequestEntityTooLarge

from dashboard.access import audit
from dashboard.access.account import reader
from dashboard.access.answers import words_of
from dashboard.access.door import Door
from pipeline.apart import TakesTooMuchError, judge_apart
from pipeline.commands.checking import entries
from pipeline.intake.pictures import without_position
from pipeline.intake.tables import SentFile
from pipeline.store.account_tables import web_uploads
from pipeline.store.engine import writing
from pipeline.workspace import Workspace
from sites.registry import read_registry

#: Routes that take files, by endpoint: the limit of size and the quota hold for all of them.
UPLOADS = frozenset({"upload", "send_file_in", "send_picking_in", "send_corrected"})
#: Letters of a file's name that are kept, and of its SHA-256 that name its folder in the inbox.
_LONGEST_NAME, _SHORT = 120, 12
#: What a form adds to a file's own bytes.
_FORM_BYTES = 100_000
_UNFIT = frozenset('<>:"/\\|?*')


def take_uploads(server: Flask, door: Door) -> None:
    """Add the route to `server`; without a store behind the door nothing is taken."""
    workspace = door.workspace
    if workspace is None:
        return

    def upload() -> tuple[Response, int]:
        site = request.args.get("garden", "")
        if site not in set(read_registry(workspace.registry).gardens["site"]):
            abort(404)
        handed = request.files.get("file")
        if handed is None or not handed.filename:
            abort(400)
        name = fit_name(handed.filename)
        with closing(handed):
            content, digest = _keep(workspace, handed.stream, name, site)
        note_upload(site, digest, name, len(content), on_behalf_of=request.args.get("for"))
        told: dict[str, Any] = {"garden": site, "file": name, "sha256": digest}
        file = SentFile(name, content, (site,))
        try:
            judged = judge_apart(workspace, [file])
        except TakesTooMuchError as problem:
            words = f"{problem} We have the file, and read it at night."
            return jsonify(told | {"verdict": "later", "message": words}), 202
        files = entries([file], judged, workspace.settings)
        return jsonify(told | {"verdict": "judged", "files": files}), 200

    def too_large(_problem: RequestEntityTooLarge) -> tuple[Response, int]:
        return jsonify(message="This is larger than we can take. Send it in two files."), 413

    server.add_url_rule("/upload", "upload", upload, methods=["POST"])
    server.register_error_handler(RequestEntityTooLarge, too_large)


def largest_upload(door: Door) -> int:
    """Return how many bytes a request that brings a file may have."""
    megabytes = door.workspace.settings.intake.largest_file_mb if door.workspace else 0
    return int(megabytes * 1e6) + _FORM_BYTES


def too_many(door: Door, gardens: list[str]) -> str:
    """Return what is said where one of the gardens has sent its files of today already, else nothing."""
    if door.engine is None or door.workspace is None:
        return ""
    most = door.workspace.settings.serving.uploads_per_day
    day = datetime.combine(door.clock().date(), datetime.min.time())
    sent = sa.select(sa.func.count()).where(web_uploads.c.site.in_(gardens) & (web_uploads.c.at >= day))
    with door.engine.connect() as connection:
        count = connection.execute(sent).scalar_one()
    return words_of(door)("sent_enough", count=count) if count >= most else ""


def note_upload(site: str, digest: str, name: str, size: int, on_behalf_of: str | None = None) -> None:
    """Write down who sent a file for which garden; a network without a store keeps no such record."""
    door: Door | None = g.get("door")
    if door is None or door.engine is None:
        return
    with writing(door.engine) as connection:
        connection.execute(
            sa.insert(web_uploads).values(
                at=door.clock(),
                account_id=reader().id,
                on_behalf_of=on_behalf_of[:80] if on_behalf_of else None,
                site=site,
                sha256=digest,
                name=name,
                bytes=size,
            )
        )
        audit.write(connection, reader(), "sent a file", door.clock(), site=site, what=digest)


def fit_name(name: str) -> str:
    """Return a file's name without folders and without marks that a disk, a page or a shell may trip over."""
    bare = PurePosixPath(name.replace("\\", "/")).name
    kept = "".join(" " if mark in _UNFIT or not mark.isprintable() else mark for mark in bare)
    return kept.strip(" .~$")[-_LONGEST_NAME:] or "sheet"


def _keep(workspace: Workspace, stream: IO[bytes], name: str, site: str) -> tuple[bytes, str]:
    """Keep the bytes in the archive and lay the file into the inbox; return them and their SHA-256."""
    partial = workspace.archive / f".{secrets.token_hex(8)}.partial"
    try:
        with _own(partial) as file:
            shutil.copyfileobj(stream, file)
        content = partial.read_bytes()
        # A picture is kept without the place where it was taken.
        if (kept := without_position(content)) != content:
            with _own(partial) as file:
                file.write(kept)
        digest = hashlib.sha256(kept).hexdigest()
        partial.replace(workspace.archive / digest)
        _settle(workspace.archive)
    finally:
        partial.unlink(missing_ok=True)
    folder = workspace.inbox / site / digest[:_SHORT]
    folder.mkdir(parents=True, exist_ok=True)
    waiting = folder / f".{name}"
    with _own(waiting) as file:
        file.write(kept)
    # Only now does the night see it: names that start with a point are nobody's.
    waiting.replace(folder / name)
    return kept, digest


@contextmanager
def _own(path: Path) -> Iterator[IO[bytes]]:
    """Give a file for its owner alone; when it is closed the disk has confirmed it."""
    with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as file:
        yield file
        file.flush()
        os.fsync(file.fileno())


def _settle(folder: Path) -> None:
    """Have the disk confirm the names in a folder."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
