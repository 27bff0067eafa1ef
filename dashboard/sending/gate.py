"""The gate where sheets are handed in: kept at once, judged at once, and read again by the next night."""

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import lru_cache
from typing import Literal

import pandas as pd
import sqlalchemy as sa

from dashboard.by_garden import ByGarden, by_garden
from dashboard.records import records
from dashboard.sending.blank_sheet import Garden
from dashboard.sending.told import Told
from pipeline.apart import judge_apart
from pipeline.inbox import fit_name, folder_of, hand_in
from pipeline.intake.sheets import sheets
from pipeline.intake.tables import SentFile
from pipeline.intake.units import BARE_WEIGHT
from pipeline.store.applying import read_value
from pipeline.store.decisions import Asked, record, withdraw
from pipeline.store.of_garden import Record, answers_of_garden, open_of_garden
from pipeline.store.tables import uploads
from pipeline.workspace import Workspace
from sites.errors import InputError
from sites.registry import Registry, read_registry

#: Sheets of the registry that say something of each garden, and what pages need to know of it.
RegistrySheet = Literal["gardens", "plots", "absences"]
_NEEDED = {
    "gardens": ("site", "language"),
    "plots": ("site", "season", "trial", "plot"),
    "absences": ("site", "from", "to"),
}
_DIGEST = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True)
class Waiting:
    """A file that waits for the night: its name, when it came (UTC), and its folder."""

    name: str
    received: datetime
    folder: str


def answering(site: str) -> str:
    """Return in whose name a garden's answers are recorded."""
    return f"garden {site}"


@dataclass(frozen=True)
class Gate:
    """The gate of one network."""

    workspace: Workspace
    engine: sa.Engine | None = None

    def take(self, name: str, content: bytes, site: str) -> str:
        """Keep a file and lay it into the inbox for the night; return its SHA-256.

        The bytes are on disk in the archive before this returns. A picture is kept without the place where it
        was taken.
        """
        return hand_in(self.workspace, name, content, site)[1]

    def told(self, digest: str, name: str, site: str) -> Told:
        """Return what is found in a file that was handed in.

        Raises InputError where the garden handed in no file that is kept under `digest`, and
        TakesTooMuchError where it takes more to read than there is for one file.
        """
        place = self.workspace.archive / digest
        if not _DIGEST.fullmatch(digest) or not place.is_file() or not self._is_of(site, digest):
            raise InputError("There is no such sheet.")
        file = SentFile(fit_name(name), place.read_bytes(), (site,) if site else None)
        return _told(self.workspace, self._mark(), file)

    def told_of(self, file: SentFile) -> Told:
        """Return what is found in a file that nobody has handed in yet."""
        return _told(self.workspace, self._mark(), file)

    @property
    def registry(self) -> Registry:
        """The registry as it stands now."""
        return _registry(self.workspace, self._mark())

    def registered(self, sheet: RegistrySheet, site: str) -> list[Record]:
        """Return what pages need of what a sheet of the registry says of one garden now."""
        own = _by_garden(self.workspace, self._mark(), sheet).of(site)
        return records(own)

    def garden(self, site: str, season: str | None = None) -> Garden:
        """Return a garden's plots and treatments in a season, the newest where none is named."""
        own = self.registered("plots", site)
        newest = season or max((row["season"] for row in own), default="")
        plots = [row["plot"] for row in own if row["season"] == newest]
        trials = {row["trial"] for row in own if row["season"] == newest}
        treatments = self.registry.treatments
        codes = [
            str(code)
            for trial, code in zip(treatments["trial"], treatments["code"], strict=True)
            if trial in trials
        ]
        return Garden(site, _in_order(plots), tuple(dict.fromkeys(codes)))

    def open_questions(self, site: str) -> list[Record]:
        """Return what waits for a garden or is asked of it now; see `open_of_garden`."""
        return self._read(lambda connection: open_of_garden(connection, site))

    def answers(self, site: str) -> list[Record]:
        """Return the answers that a garden gave and that wait for the night; see `answers_of_garden`."""
        return self._read(lambda connection: answers_of_garden(connection, answering(site)))

    def decide(self, asked: Asked) -> int:
        """Record a garden's answer and return its number; the next night makes it part of the rows.

        Raises InputError where the row has changed, or what was typed cannot be read in one way.
        """
        if asked.column in sheets()[asked.kind].column_names and asked.value is not None:
            read_value(asked.kind, asked.column, asked.value, BARE_WEIGHT[self.workspace.settings.units])
        return record(self._store(), asked, self.workspace.now())

    def take_back(self, decision: int, site: str) -> None:
        """Take back an answer of this garden. Raises InputError where it gave none of that number."""
        if all(given["decision_id"] != decision for given in self.answers(site)):
            raise InputError("This answer is not there any more.")
        withdraw(self._store(), decision, answering(site), self.workspace.now())

    def waiting(self, site: str) -> list[Waiting]:
        """Return the files of a garden that lie in the inbox for the night, the newest first."""
        folder = self.workspace.inbox / site
        found = [
            Waiting(path.name, datetime.fromtimestamp(path.stat().st_mtime, UTC), path.parent.name)
            for path in folder.rglob("*")
            if path.is_file() and not path.name.startswith((".", "~$"))
        ]
        return sorted(found, key=lambda file: file.received, reverse=True)

    def _is_of(self, site: str, digest: str) -> bool:
        """Return whether a garden sent a file: it waits in its folder, or a night took it from there."""
        if folder_of(self.workspace, site, digest).is_dir():
            return True
        if self.engine is None:
            return False
        sent = sa.select(uploads.c.upload_id).where(
            uploads.c.sha256 == digest, uploads.c.sender == answering(site)
        )
        with self.engine.connect() as connection:
            return connection.execute(sent).first() is not None

    def _read(self, query: Callable[[sa.Connection], list[Record]]) -> list[Record]:
        with self._store().connect() as connection:
            return query(connection)

    def _store(self) -> sa.Engine:
        if self.engine is None:
            raise InputError("This network has no store yet. Its first night makes one.")
        return self.engine

    def _mark(self) -> tuple[object, ...]:
        """Return what changes when the registry or the day does."""
        files = sorted(self.workspace.registry.glob("*.csv"))
        return (self.workspace.today(), *((file.name, file.stat().st_mtime_ns) for file in files))


def _in_order(plots: Iterable[str]) -> tuple[str, ...]:
    """Return plots as people count them: 2 before 10."""
    names = dict.fromkeys(str(plot) for plot in plots)
    return tuple(sorted(names, key=lambda name: [_part(part) for part in re.split(r"(\d+)", name) if part]))


def _part(part: str) -> tuple[int, int, str]:
    return (0, int(part), "") if part.isdigit() else (1, 0, part)


@lru_cache(maxsize=4)
def _registry(workspace: Workspace, mark: tuple[object, ...]) -> Registry:
    return read_registry(workspace.registry)


@lru_cache(maxsize=12)
def _by_garden(workspace: Workspace, mark: tuple[object, ...], sheet: RegistrySheet) -> ByGarden:
    rows: pd.DataFrame = getattr(_registry(workspace, mark), sheet)
    return by_garden(rows[[name for name in _NEEDED[sheet] if name in rows]])


@lru_cache(maxsize=64)
def _told(workspace: Workspace, mark: tuple[object, ...], file: SentFile) -> Told:
    """Return what is found in a file, held against the rows that its garden has already."""
    return Told(file, workspace.settings, judge_apart(workspace, [file]))
