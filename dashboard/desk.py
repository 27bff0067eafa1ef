"""The lead's desk: the rows behind a page, and decisions about them, read from the store and written there.

Pages of estimates read the published snapshot alone. A page that leads from a number back to its rows, or
takes a decision, needs the store: rows are read as they stood when the snapshot was made, decisions as they
stand now. Whoever asks for anything here must be allowed to: see `dashboard.access`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import pandas as pd
import sqlalchemy as sa

from pipeline.as_sent import line_as_sent
from pipeline.intake.pictures import without_position
from pipeline.intake.sheets import sheets
from pipeline.intake.units import BARE_WEIGHT
from pipeline.paper import type_in
from pipeline.publish.snapshot import published_before
from pipeline.settings import Settings
from pipeline.store.applying import read_value
from pipeline.store.decisions import Asked, record, withdraw
from pipeline.store.pictures import waiting_pictures
from pipeline.store.rows_behind import garden_rows, row_as_kept, rows_around, weighed_pickings
from pipeline.store.standing import LastRun, last_run, standing_decisions, store_mark
from pipeline.store.timeline import row_timeline
from pipeline.workspace import Workspace
from sites.errors import InputError


@dataclass(frozen=True)
class Desk:
    """The store of one network, as pages of the lead use it."""

    workspace: Workspace
    engine: sa.Engine

    @property
    def settings(self) -> Settings:
        """The network's settings."""
        return self.workspace.settings

    def now(self) -> datetime:
        """Return this moment in UTC, on the day that the network lives in."""
        return self.workspace.now()

    def mark(self) -> tuple[object, ...]:
        """Return what changes with every decision, picture typed in and night: pages made before are old."""
        with self.engine.connect() as connection:
            return store_mark(connection)

    def last_run(self) -> LastRun | None:
        """Return how the newest run went, None before the first."""
        with self.engine.connect() as connection:
            return last_run(connection)

    def published_before(self, snapshot: int) -> datetime | None:
        """Return when the snapshot before this one came out, UTC; None where there was none."""
        return published_before(self.engine, snapshot)

    def garden_rows(self, kind: str, site: str, season: str | None, run: int) -> pd.DataFrame:
        """Return a garden's rows of one kind of sheet as a run left them, with file and line."""
        with self.engine.connect() as connection:
            return garden_rows(connection, kind, site, season, run)

    def weighed_pickings(self, site: str, season: str, run: int) -> list[tuple[str, datetime, float]]:
        """Return plot, day and kg of a garden's pickings that counted, as a run left them."""
        with self.engine.connect() as connection:
            return weighed_pickings(connection, site, season, run)

    def rows_around(self, kind: str, row_id: int, site: str | None, run: int) -> list[dict[str, Any]]:
        """Return one row and the rows of its garden as a run left them, with file and line."""
        with self.engine.connect() as connection:
            return rows_around(connection, kind, row_id, site, run)

    def row(self, kind: str, row_id: int) -> pd.Series | None:
        """Return one row with the file that it came in, None where there is none."""
        with self.engine.connect() as connection:
            rows = row_as_kept(connection, kind, row_id)
        return rows.iloc[0] if len(rows) else None

    def timeline(self, kind: str, row_id: int) -> pd.DataFrame:
        """Return every version of a row, oldest first."""
        with self.engine.connect() as connection:
            return row_timeline(connection, kind, row_id)

    def line_as_sent(self, sha256: str, line: int) -> str | None:
        """Return the line of a text file as it came; None for a spreadsheet."""
        return line_as_sent(self.workspace.archive, sha256, line)

    def decisions(self) -> pd.DataFrame:
        """Return the decisions that stand, the newest first."""
        with self.engine.connect() as connection:
            return standing_decisions(connection)

    def decide(self, asked: Asked) -> int:
        """Record a decision and return its number; the next night makes it part of the rows.

        Raises InputError where the row has changed or the answer lacks something.
        """
        return record(self.engine, asked, self.now())

    def check_value(self, kind: str, column: str, value: str) -> None:
        """Raise InputError where a value cannot be read as a cell of that column in exactly one way."""
        if column not in sheets()[kind].column_names:
            raise InputError(f"A {kind} sheet has no column {column}. Choose one of those on the page.")
        read_value(kind, column, value, BARE_WEIGHT[self.settings.units])

    def pictures(self) -> pd.DataFrame:
        """Return the pictures of paper that wait to be typed, oldest first."""
        with self.engine.connect() as connection:
            return waiting_pictures(connection)

    def picture(self, upload: int) -> tuple[str, bytes] | None:
        """Return kind and bytes of a picture that waits, without the place where it was taken."""
        waiting = self.pictures()
        found = waiting[waiting["upload_id"] == upload]
        if found.empty or found["kind"].iloc[0] == "HEIC":
            return None
        content = (self.workspace.archive / found["sha256"].iloc[0]).read_bytes()
        return str(found["kind"].iloc[0]), without_position(content)

    def type_in(self, upload: int, site: str, rows: Sequence[Mapping[str, str]], by: str) -> str:
        """Put what a picture shows into the inbox and the picture away; see `pipeline.paper.type_in`."""
        return type_in(self.workspace, self.engine, upload, site, rows, by, self.now())

    def undo(self, decision: int, by: str) -> None:
        """Take a decision back. Raises InputError where it is not there or was taken back."""
        withdraw(self.engine, decision, by, self.now())
