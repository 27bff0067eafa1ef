"""Paper typed in: what a picture shows becomes a sheet in the inbox, and the picture is put away."""

import csv
import io
from collections.abc import Mapping, Sequence
from datetime import datetime

import sqlalchemy as sa

from pipeline.store.pictures import put_away, waiting_pictures
from pipeline.store.standing import last_run
from pipeline.workspace import Workspace
from sites.errors import InputError
from sites.whole_files import put_whole

#: Columns that can be typed from paper, as on the blank harvest sheet.
COLUMNS = ("plot", "date", "marketable_count", "marketable_weight", "recorded_by", "note")


def type_in(
    workspace: Workspace,
    engine: sa.Engine,
    upload_id: int,
    site: str,
    rows: Sequence[Mapping[str, str]],
    by: str,
    now: datetime,
) -> str:
    """Put what a picture shows into the garden's inbox as a harvest sheet, and return the file's name.

    `rows` have the cells of `COLUMNS` as they stand on the paper; rows without plot, date or anything picked
    are refused, blank ones passed over. The picture waits no longer once the sheet is safe; the next night
    judges the rows like any other. Raises InputError where nothing was typed or the picture does not wait.
    """
    with engine.connect() as connection:
        waiting = waiting_pictures(connection)
        newest = last_run(connection)
    if upload_id not in set(waiting["upload_id"].dropna().astype("int64")):
        raise InputError("This picture does not wait to be typed any more.")
    filled = [row for row in rows if any(row.get(name, "").strip() for name in COLUMNS)]
    if not site or not filled:
        raise InputError("Type at least one row, and say which garden it is from.")
    for number, row in enumerate(filled, start=1):
        if not row.get("plot", "").strip() or not row.get("date", "").strip():
            raise InputError(f"Row {number} needs its plot and its date.")
    name = f"paper-{upload_id}.csv"
    _put(workspace, site, name, _sheet(site, filled))
    put_away(engine, upload_id, by, now, newest.run_id if newest else 0)
    return name


def _sheet(site: str, rows: Sequence[Mapping[str, str]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["site", *COLUMNS])
    writer.writerows([site, *(row.get(name, "").strip() for name in COLUMNS)] for row in rows)
    return out.getvalue()


def _put(workspace: Workspace, site: str, name: str, text: str) -> None:
    """Put a file into the garden's folder of the inbox, whole or not at all."""
    folder = (workspace.inbox / site).resolve()
    if folder.parent != workspace.inbox.resolve():
        raise InputError(f"There is no garden {site[:20]}. Choose one of the list.")
    folder.mkdir(exist_ok=True)
    put_whole(folder / name, text.encode())
