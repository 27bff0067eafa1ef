"""The fast path: plain text files with one header are read together, as one buffer.

A file is plain where it is UTF-8, its header stands on the first line, every line has as many cells as the
header, quotes stand only around whole cells, and no cell holds a line break. Then lines are rows, and a
reader that knows nothing of files finds in the joined lines exactly what the careful path of `text` finds in
each file. Whatever is not plain goes the careful path.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
import polars as pl

from pipeline.intake.header import Header, find_header
from pipeline.intake.sent import Cells
from pipeline.intake.tables import Limits, SentFile
from pipeline.intake.text import DELIMITERS, records

#: A byte that text does not hold stands for a quoted cell while the lines are counted.
_QUOTED_CELL = b"\x01"
#: Bytes of a header line; a longer one is left to the careful path.
_LONGEST_HEADER = 20_000
_DIGIT = re.compile(rb"[0-9]")


@dataclass
class JoinedFiles:
    """Plain files with one header: their rows as bytes, and how many rows each file has."""

    header: Header
    delimiter: str
    files: list[int] = field(default_factory=list)
    bodies: list[bytes] = field(default_factory=list)
    rows: list[int] = field(default_factory=list)
    has_quotes: bool = False
    is_ascii: bool = True
    is_guarded: bool = False
    has_outer_spaces: bool = False

    def cells(self, numbers: Sequence[int]) -> Cells:
        """Return the rows of all files; `numbers` are those of the files' tables."""
        count = np.asarray(self.rows)
        starts = np.repeat(np.cumsum(count) - count - 2, count)
        frame = pl.read_csv(
            b"".join(self.bodies),
            has_header=False,
            separator=self.delimiter,
            quote_char='"' if self.has_quotes else None,
            schema={f"c{at}": pl.String for at in range(len(self.header.cells))},
        )
        placed = frame.with_columns(
            pl.Series("table", np.repeat(np.asarray(numbers, np.uint32), count)),
            pl.Series("file", np.repeat(np.asarray(self.files, np.uint32), count)),
            pl.lit(None, pl.String).alias("tab"),
            pl.Series("line", (np.arange(len(starts)) - starts).astype(np.uint32)),
        )
        return Cells(
            placed,
            may_hold_odd_spaces=not self.is_ascii,
            is_guarded=self.is_guarded,
            has_outer_spaces=self.has_quotes or self.has_outer_spaces,
        )


@dataclass(frozen=True)
class _PlainFile:
    first_line: bytes
    header: Header
    delimiter: str
    body: bytes
    rows: int
    has_quotes: bool
    is_ascii: bool
    has_outer_spaces: bool


def join(files: Iterable[tuple[int, SentFile]], limits: Limits) -> tuple[list[JoinedFiles], list[int]]:
    """Return the plain files by their header, and the places of the files that are not plain."""
    joined: dict[bytes, JoinedFiles] = {}
    careful: list[int] = []
    for at, file in files:
        plain = _plain(file.content, limits) if len(file.content) <= limits.largest_bytes else None
        if plain is None:
            careful.append(at)
            continue
        group = joined.setdefault(plain.first_line, JoinedFiles(plain.header, plain.delimiter))
        group.files.append(at)
        group.bodies.append(plain.body)
        group.rows.append(plain.rows)
        group.has_quotes |= plain.has_quotes
        group.is_ascii &= plain.is_ascii
        group.has_outer_spaces |= plain.has_outer_spaces
        group.is_guarded |= plain.has_quotes and b'="' in plain.body
    return list(joined.values()), careful


@lru_cache(maxsize=1024)
def _header_line(line: bytes) -> tuple[Header, str] | None:
    """Return the header on a first line and its delimiter, or None where it is none."""
    text = line.decode("utf-8")
    for delimiter in DELIMITERS:
        if delimiter in text:
            header = find_header([cells for _, cells in records(text, delimiter)])
            if isinstance(header, Header):
                return header, delimiter
    return None


@lru_cache(maxsize=1024)
def _shape(delimiter: bytes, cells: int, line_end: bytes) -> tuple[bytes, bytes]:
    """Return the marks of one line, and the bytes to take away so that only marks are left."""
    # A tab may be space around a cell; only the careful path looks for it.
    marks = b'\r\n\t\x0b\x0c"\0' + delimiter
    return delimiter * (cells - 1) + line_end, bytes(byte for byte in range(256) if byte not in marks)


def _plain(content: bytes, limits: Limits) -> _PlainFile | None:
    """Return a file that is plain, or None."""
    content = content.removeprefix(b"\xef\xbb\xbf")
    is_ascii = content.isascii()
    if not (is_ascii or _is_utf_8(content)):
        return None
    first_line, _, body = content.partition(b"\n")
    line_end = b"\r\n" if first_line.endswith(b"\r") else b"\n"
    first_line = first_line.removesuffix(b"\r")
    second_line = body[: body.find(b"\n") + 1] or body
    # A row of units below the header holds no digit; the careful path knows it.
    if len(first_line) > _LONGEST_HEADER or not _DIGIT.search(second_line):
        return None
    if (known := _header_line(first_line)) is None:
        return None
    header, delimiter = known
    if not content.endswith(b"\n"):
        content, body = content + line_end, body + line_end
    unquoted = _without_quoted_cells(content, delimiter.encode())
    if unquoted is None:
        return None
    one_line, rest = _shape(delimiter.encode(), len(header.cells), line_end)
    marks = unquoted.translate(None, rest)
    lines = len(marks) // len(one_line)
    if marks != one_line * lines or not 1 < lines <= limits.most_rows or _has_long_cell(content, limits):
        return None
    has_quotes = unquoted is not content
    has_outer_spaces = _has_outer_spaces(body, delimiter.encode())
    return _PlainFile(first_line, header, delimiter, body, lines - 1, has_quotes, is_ascii, has_outer_spaces)


def _is_utf_8(content: bytes) -> bool:
    try:
        content.decode("utf-8")
    except UnicodeDecodeError:
        return False
    return True


@lru_cache(maxsize=16)
def _quoted(delimiter: bytes) -> re.Pattern[bytes]:
    """Return the pattern of a quoted cell without line breaks, up to the mark after it."""
    inside = rb'[^"\r\n\x01]*+'
    return re.compile(rb'"%s(?:""%s)*+"(?=[\r\n%s])' % (inside, inside, re.escape(delimiter)))


def _without_quoted_cells(content: bytes, delimiter: bytes) -> bytes | None:
    """Return the bytes with quoted cells taken away, or None where a quote is part of a cell."""
    if b'"' not in content:
        return content
    if _QUOTED_CELL in content:
        return None
    marked, cells = _quoted(delimiter).subn(_QUOTED_CELL, content)
    before = sum(marked.count(mark + _QUOTED_CELL) for mark in (delimiter, b"\n"))
    is_whole = before + marked.startswith(_QUOTED_CELL) == cells and b'"' not in marked
    return marked if is_whole else None


def _has_outer_spaces(body: bytes, delimiter: bytes) -> bool:
    """Return whether a space begins or ends a cell that is not quoted."""
    if b" " not in body:
        return False
    edges = (b" " + delimiter, delimiter + b" ", b" \n", b"\n ", b" \r")
    return body.startswith(b" ") or any(edge in body for edge in edges)


def _has_long_cell(content: bytes, limits: Limits) -> bool:
    """Return whether a line is longer than a cell may be; only then a cell can be."""
    if len(content) <= limits.longest_cell:
        return False
    return max(map(len, content.split(b"\n"))) > limits.longest_cell
