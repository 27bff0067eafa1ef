"""What a file holds before anybody knows what it means: tables of text cells with their lines."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from typing import Literal

Refused = Literal[
    "file-empty",
    "file-header-only",
    "file-damaged",
    "file-locked",
    "file-kind-not-read",
    "file-too-large",
    "sheet-unknown",
    "column-missing",
]


@dataclass(frozen=True)
class SentFile:
    """A file as it arrived.

    `gardens` are those that its sender writes for, None where nobody knows. `taken_on` is the day of a
    picture that no longer says so itself.
    """

    name: str
    content: bytes
    gardens: tuple[str, ...] | None = None
    taken_on: date | None = None


@dataclass(frozen=True)
class RawTable:
    """The cells of one tab, or of a text file, without its blank rows.

    `lines` holds, for each row, the line where it starts as a person counts it in the file, and `blanks` how
    many blank rows stand above it; its last item counts them all. `is_1904` says that the spreadsheet counts
    its days from 1904; it is None for a text file, which does not say.
    """

    tab: str | None
    rows: list[list[str]]
    lines: list[int]
    blanks: list[int]
    is_1904: bool | None = None


def holds_something(row: Iterable[str]) -> bool:
    """Return whether some cell of a row holds a visible character."""
    return any(cell and not cell.isspace() for cell in row)


@dataclass(frozen=True)
class Refusal:
    """Why no row of a file or tab could be read: the check that says so, and what its words need."""

    check: Refused
    tab: str | None = None
    sheet: str | None = None
    column: str | None = None
    details: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Limits:
    """What is taken at once; anything larger is refused before it is unpacked or read further."""

    largest_bytes: int
    largest_unpacked_bytes: int
    most_rows: int
    most_columns: int
    #: Letters of one cell: what a spreadsheet cell can hold (Excel specifications and limits, Microsoft).
    longest_cell: int = 32_767
    #: Files inside one spreadsheet; one with pictures on every tab has some hundreds. Common practice.
    most_members: int = 2_000
    #: Cells of one spreadsheet, from its first to its last row and column. Common practice.
    most_cells: int = 2_000_000
    #: Tabs of one spreadsheet. Common practice.
    most_tabs: int = 200
    #: Seconds for one file. Common practice.
    most_seconds: float = 60.0


def too_large(has: int, limit: int, noun: str) -> Refusal:
    """Return the refusal of something with more rows, columns or bytes than the limit."""
    return Refusal("file-too-large", details={"sent": f"{has:,} {noun}", "limit": f"{limit:,} {noun}"})


def too_many_bytes(has: int, limit: int) -> Refusal:
    """Return the refusal of too many bytes, in megabytes that never look like the limit itself."""
    sent, allowed = has / 1e6, limit / 1e6
    shown = f"{sent:,.0f} MB" if sent >= allowed + 1 else f"{sent:,.3f} MB"
    return Refusal("file-too-large", details={"sent": shown, "limit": f"{allowed:,.3g} MB"})


def not_read(kind: str) -> Refusal:
    """Return the refusal of a file that is no spreadsheet; `kind` names what it is."""
    return Refusal("file-kind-not-read", details={"sent": kind})


def took_too_long(limits: Limits) -> Refusal:
    """Return the refusal of a file that takes longer to read than a file may."""
    seconds = f"{limits.most_seconds:,.0f} seconds of reading"
    return Refusal("file-too-large", details={"sent": f"more than {seconds}", "limit": seconds})
