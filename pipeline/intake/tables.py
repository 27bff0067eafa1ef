"""What a file holds before anybody knows what it means: tables of text cells with their lines."""

from dataclasses import dataclass, field
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
    """A file as it arrived. `gardens` are those that its sender writes for, None where nobody knows."""

    name: str
    content: bytes
    gardens: tuple[str, ...] | None = None


@dataclass(frozen=True)
class RawTable:
    """The cells of one tab, or of a text file, without its blank rows.

    `lines` holds, for each row, the line where it starts as a person counts it in the file.
    """

    tab: str | None
    rows: list[list[str]]
    lines: list[int]


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
    """What is taken at once."""

    largest_bytes: int
    largest_unpacked_bytes: int
    most_rows: int
    most_columns: int


def without_blank_rows(tab: str | None, rows: list[list[str]], lines: list[int]) -> RawTable:
    """Return a table of the rows that hold something."""
    kept = [(row, line) for row, line in zip(rows, lines, strict=True) if any(cell.strip() for cell in row)]
    return RawTable(tab, [row for row, _ in kept], [line for _, line in kept])


def too_large(has: int, limit: int, noun: str) -> Refusal:
    """Return the refusal of something with more rows, columns or bytes than the limit."""
    return Refusal("file-too-large", details={"sent": f"{has:,} {noun}", "limit": f"{limit:,} {noun}"})
