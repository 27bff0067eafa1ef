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

from contextlib import closing
from datetime import datetime
from typing import Any

import sqlalchemy as sa
from flask import Flask, Response, abort, g, jsonify, request
from werkzeug.exceptions import RequestEntityTooLarge

from dashboard.access import audit
from dashboard.access.account import reader
from dashboard.access.answers import words_of
from dashboard.access.door import Door
from pipeline.apart import TakesTooMuchError, judge_apart
from pipeline.commands.checking import entries
from pipeline.inbox import fit_name, hand_in
from pipeline.intake.tables import SentFile
from pipeline.store.account_tables import web_uploads
from pipeline.store.engine import writing
from sites.registry import read_registry

#: Routes that take files, by endpoint: the limit of size and the quota hold for all of them.
UPLOADS = frozenset({"upload", "send_file_in", "send_picking_in", "send_corrected"})
#: What a form adds to a file's own bytes.
_FORM_BYTES = 100_000


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
            content, digest = hand_in(workspace, name, handed.stream.read(), site)
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
