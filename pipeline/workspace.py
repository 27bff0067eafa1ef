"""The folders of one network, and who may work in them: one run at a time."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from filelock import FileLock, Timeout

from pipeline import settings as network
from pipeline.settings import Settings, commented_file, read_settings
from sites.errors import WorkspaceBusyError, WorkspaceError

#: Folders that a workspace has from the start.
FOLDERS = ("registry", "climate/daily", "soil", "inbox", "archive", "outbox", "releases")


@dataclass(frozen=True)
class Workspace:
    """One network on disk."""

    root: Path
    settings: Settings

    @property
    def registry(self) -> Path:
        """Where gardens, trials, treatments, plots and absences are kept."""
        return self.root / "registry"

    @property
    def climate(self) -> Path:
        """Where station records are kept."""
        return self.root / "climate"

    @property
    def daily(self) -> Path:
        """Where the daily records of stations are kept, one file or more for each station."""
        return self.climate / "daily"

    @property
    def soil(self) -> Path:
        """Where soil map units are kept."""
        return self.root / "soil"

    @property
    def inbox(self) -> Path:
        """Where files arrive."""
        return self.root / "inbox"

    @property
    def archive(self) -> Path:
        """Where the bytes of every file ever taken are kept under their SHA-256."""
        return self.root / "archive"

    @property
    def database_url(self) -> str:
        """The address of the database."""
        return self.settings.database or f"sqlite:///{self.root / 'longrow.db'}"

    def keep_private(self) -> None:
        """Let nobody but their owner read the archive and the outbox; the store sees to its own file.

        What belongs to another user of the machine is left as it is.
        """
        for path in (self.archive, self.root / "outbox"):
            if path.stat().st_uid == os.getuid():
                path.chmod(0o700)

    def today(self) -> date:
        """Return the day that this network lives in: the replayed one, else the clock's in its time zone."""
        return self.settings.today or datetime.now(ZoneInfo(self.settings.time_zone)).date()

    def now(self) -> datetime:
        """Return this moment in UTC, moved to the replayed day where there is one."""
        moment = datetime.now(UTC).replace(tzinfo=None)
        return datetime.combine(self.settings.today, moment.time()) if self.settings.today else moment

    @contextmanager
    def held(self) -> Iterator[None]:
        """Hold the workspace for one run.

        Raises WorkspaceBusyError at once where another run holds it. The lock goes with the process, so
        that a run that was killed leaves nothing to clean up.
        """
        lock = FileLock(self.root / ".longrow.lock")
        try:
            lock.acquire(timeout=0)
        except Timeout:
            raise WorkspaceBusyError(
                f"Another run is working in {self.root}. Wait until it is done, then try again. "
                "Nothing is lost."
            ) from None
        try:
            yield
        finally:
            lock.release()


def open_workspace(root: Path | None) -> Workspace:
    """Return the workspace in `root`, else the one that LONGROW_WORKSPACE names, else this folder.

    Raises WorkspaceError where there is none and SettingsError where its settings need mending.
    """
    named = root or (Path(value) if (value := os.environ.get("LONGROW_WORKSPACE")) else Path())
    folder = named.resolve()
    if not folder.is_dir():
        raise WorkspaceError(f"There is no folder {folder}. Make a workspace with: longrow init {folder}")
    if not (folder / network.FILE).exists():
        raise WorkspaceError(
            f"{folder} is not a workspace: it has no {network.FILE}. "
            f"Name one with --workspace or LONGROW_WORKSPACE, or make one with: longrow init {folder}"
        )
    workspace = Workspace(folder, read_settings(folder / network.FILE))
    for name in FOLDERS:
        (folder / name).mkdir(parents=True, exist_ok=True)
    workspace.keep_private()
    return workspace


def make_workspace(root: Path, settings: Settings, registry: dict[str, str]) -> Workspace:
    """Make the folders, the settings and the registry files of a new workspace, and return it.

    Raises WorkspaceError where the folder already holds files: nothing is ever written over.
    """
    folder = root.resolve()
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise WorkspaceError(f"{folder} is not empty. Choose a folder that does not exist yet.")
    for name in FOLDERS:
        (folder / name).mkdir(parents=True, exist_ok=True)
    (folder / network.FILE).write_text(commented_file(settings), encoding="utf-8")
    for file, text in registry.items():
        (folder / "registry" / file).write_text(text, encoding="utf-8")
    return Workspace(folder, settings)
