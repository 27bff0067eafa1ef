"""From the inbox to the archive: nothing counts as taken before its bytes are safe on disk."""

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path, PurePosixPath

from pipeline.intake.pictures import taken_on, without_position
from pipeline.intake.tables import SentFile
from pipeline.workspace import Workspace
from sites.whole_files import put_whole

#: Files that a file share or an editor leaves behind; nobody sent them.
_NOT_SENT = (".", "~$")
#: Letters of a file's name that are kept, and of its SHA-256 that name its folder in the inbox.
_LONGEST_NAME, _SHORT = 120, 12
_UNFIT = frozenset('<>:"/\\|?*')


@dataclass(frozen=True)
class ArchivedFile:
    """A file that is safe: its bytes lie in the archive under their SHA-256.

    `sender` is the inbox sub-folder it came from, blank at the top; `waiting` is where it still lies until
    the store knows it, and `arrived` the SHA-256 of the bytes there. The two differ in a picture, which is
    kept without the place where it was taken; `taken_on` is its day.
    """

    sha256: str
    name: str
    sender: str
    content: bytes
    waiting: Path
    arrived: str
    taken_on: date | None = None

    def sent(self, gardens: tuple[str, ...] | None) -> SentFile:
        """Return the file as a reader sees it, with the gardens that its sender writes for."""
        return SentFile(self.name, self.content, gardens, self.taken_on)


def waiting_files(workspace: Workspace) -> list[Path]:
    """Return the files in the inbox, oldest first."""
    found = [
        path
        for path in workspace.inbox.rglob("*")
        if path.is_file()
        and not any(part.startswith(_NOT_SENT) for part in path.relative_to(workspace.inbox).parts)
    ]
    return sorted(found, key=lambda path: (path.stat().st_mtime_ns, str(path)))


def in_batches(paths: Sequence[Path], most_files: int, most_bytes: int) -> Iterator[list[Path]]:
    """Yield the files in their order, so many together and of so many bytes; a larger one goes alone."""
    batch: list[Path] = []
    size = 0
    for path in paths:
        own = path.stat().st_size
        if batch and (len(batch) == most_files or size + own > most_bytes):
            yield batch
            batch, size = [], 0
        batch.append(path)
        size += own
    if batch:
        yield batch


def archive_files(workspace: Workspace, paths: list[Path]) -> Iterator[ArchivedFile]:
    """Yield each file once its bytes are on disk in the archive."""
    for path in paths:
        arrived = path.read_bytes()
        content = without_position(arrived)
        digest = hashlib.sha256(content).hexdigest()
        keep_bytes(workspace.archive / digest, content)
        folder = path.parent.relative_to(workspace.inbox)
        yield ArchivedFile(
            digest,
            path.name,
            "" if folder == Path() else folder.as_posix(),
            content,
            path,
            hashlib.sha256(arrived).hexdigest(),
            taken_on(arrived),
        )


def hand_in(workspace: Workspace, name: str, content: bytes, site: str) -> tuple[bytes, str]:
    """Keep a file of a garden in the archive, lay it into the inbox, and return its bytes and their SHA-256.

    A picture is kept without the place where it was taken. The archive has the bytes before the inbox does.
    """
    kept = without_position(content)
    digest = hashlib.sha256(kept).hexdigest()
    keep_bytes(workspace.archive / digest, kept)
    folder = folder_of(workspace, site, digest)
    folder.mkdir(parents=True, exist_ok=True)
    keep_bytes(folder / fit_name(name), kept)
    return kept, digest


def folder_of(workspace: Workspace, site: str, digest: str) -> Path:
    """Return the folder of the inbox in which a file that was handed in waits for the night."""
    return workspace.inbox / site / digest[:_SHORT]


def fit_name(name: str) -> str:
    """Return a file's name without folders and without marks that a disk, a page or a shell may trip over."""
    bare = PurePosixPath(name.replace("\\", "/")).name
    kept = "".join(" " if mark in _UNFIT or not mark.isprintable() else mark for mark in bare)
    return kept.strip(" .~$")[-_LONGEST_NAME:] or "sheet"


def keep_bytes(place: Path, content: bytes) -> None:
    """Write the bytes under their name for their owner alone, whole or not at all.

    A file of that name and length stays as it is: names in the archive are made from what they hold.
    """
    if place.exists() and place.stat().st_size == len(content):
        return
    put_whole(place, content, mode=0o600)


def clear(files: list[ArchivedFile]) -> None:
    """Take files out of the inbox that the store knows; one that changed meanwhile stays there."""
    for file in files:
        if file.waiting.exists() and hashlib.sha256(file.waiting.read_bytes()).hexdigest() == file.arrived:
            file.waiting.unlink()
