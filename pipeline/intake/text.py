"""Text files: any of the usual encodings, delimiters, line ends and slips with quotes, in; cells out."""

import csv
import io
import re
import time
from collections.abc import Callable, Iterator, Sequence
from functools import lru_cache
from itertools import islice

from pipeline.intake.dates import read_date
from pipeline.intake.encoding import decode
from pipeline.intake.header import LOOK_AHEAD_ROWS, Header, find_header
from pipeline.intake.tables import (
    Limits,
    RawTable,
    Refusal,
    holds_something,
    too_large,
    took_too_long,
)

DELIMITERS = (",", ";", "\t", "|")

#: Lines looked at to find the delimiter.
_SAMPLE_LINES = 30
#: Records looked at to see whether a delimiter makes a header; titles and blank lines stand above it.
_HEAD_RECORDS = 3 * LOOK_AHEAD_ROWS
#: Letters looked at for both.
_HEAD_LETTERS = 100_000
#: Fewer cells on a line than this do not show that a quote swallowed a row.
_FEWEST_CELLS = 3

_LINE_END = re.compile(r"\r\n|\r|\n")


def read_text(content: bytes, limits: Limits, started: float | None = None) -> RawTable | Refusal:
    """Return the cells of a delimited text file; `started` is when its reading began, by `time.monotonic`."""
    started = time.monotonic() if started is None else started
    text = decode(content)
    if not text.strip("\ufeff\r\n\t ,;|"):
        return Refusal("file-empty")
    delimiter, skipped, body = _delimiter(text)
    try:
        return _table(records(body, delimiter), skipped, limits, started)
    except csv.Error:
        # The reader's own limit on a cell, far above ours.
        return too_large(csv.field_size_limit(), limits.longest_cell, "letters")


def _table(
    found: Iterator[tuple[int, list[str]]], skipped: int, limits: Limits, started: float
) -> RawTable | Refusal:
    rows: list[list[str]] = []
    lines: list[int] = []
    blanks: list[int] = []
    blank = 0
    for count, (line, cells) in enumerate(found):
        if count % 1000 == 0 and time.monotonic() - started > limits.most_seconds:
            return took_too_long(limits)
        if not holds_something(cells):
            blank += 1
            continue
        rows.append(cells)
        lines.append(line + skipped)
        blanks.append(blank)
        if (refusal := _over(cells, len(rows), limits)) is not None:
            return refusal
    return RawTable(None, rows, lines, [*blanks, blank])


def _over(cells: Sequence[str], filled: int, limits: Limits) -> Refusal | None:
    """Return the refusal where a record goes over a limit."""
    if filled > limits.most_rows + LOOK_AHEAD_ROWS:
        return too_large(filled, limits.most_rows, "rows")
    if len(cells) > limits.most_columns and any(cell.strip() for cell in cells[limits.most_columns :]):
        return too_large(len(cells), limits.most_columns, "columns")
    longest = max(map(len, cells), default=0)
    return too_large(longest, limits.longest_cell, "letters") if longest > limits.longest_cell else None


def _delimiter(text: str) -> tuple[str, int, str]:
    """Return the delimiter, the lines that a `sep=` line takes, and the text after it.

    Without a `sep=` line it is the one that makes a header, else the candidate that splits the most lines
    of the beginning into the same number of cells, the more cells the better.
    """
    first = _LINE_END.split(text, maxsplit=1)
    mark = first[0].strip(' "')
    if mark[:4].lower() == "sep=" and len(mark) == 5 and len(first) == 2:
        return mark[4], 1, first[1]
    head = text[:_HEAD_LETTERS]
    lines = [line for line in head.splitlines()[: 2 * _SAMPLE_LINES] if line.strip()][:_SAMPLE_LINES]
    candidates = sorted(DELIMITERS, key=lambda candidate: _fit(lines, candidate), reverse=True)
    for candidate in candidates:
        if any(candidate in line for line in lines) and _has_header(head, candidate):
            return candidate, 0, text
    return candidates[0], 0, text


def _has_header(head: str, delimiter: str) -> bool:
    first = islice(records(head, delimiter), _HEAD_RECORDS)
    filled = [cells for _, cells in first if any(cell.strip() for cell in cells)]
    return isinstance(find_header(filled), Header)


def _fit(sample: Sequence[str], delimiter: str) -> tuple[int, int]:
    """Return how well a delimiter fits: lines with the commonest number of cells above one, then cells."""
    several = [count for count in (line.count(delimiter) + 1 for line in sample) if count > 1]
    if not several:
        return (0, 0)
    commonest = max(set(several), key=lambda count: (several.count(count), count))
    return (several.count(commonest) * (commonest - 1), commonest)


@lru_cache(maxsize=32)
def _regular(delimiter: str) -> re.Pattern[str]:
    """Return the pattern of a text whose quotes open right after a delimiter and close right before one."""
    cell = rf'(?:"[^"]*+(?:""[^"]*+)*+"|[^"{re.escape(delimiter)}\r\n]*+)'
    return re.compile(rf"{cell}(?:(?:{re.escape(delimiter)}|\r\n|\r|\n){cell})*+")


_QUOTED = re.compile(r'"([^"]*+(?:""[^"]*+)*+)"')


def records(text: str, delimiter: str) -> Iterator[tuple[int, list[str]]]:
    """Yield each record with the line where it starts; a cell with line breaks counts its own lines.

    Where quotes stand as they should, this is what any reader of such files finds. Where they do not
    (`12" pot`, or a quote that is never closed), a quote is a letter like any other, and no row is swallowed
    by it.
    """
    if '"' not in text:
        return _plain_records(text, delimiter)
    swallows = _swallows(text, delimiter)
    has_lines = any(swallows(found[1]) for found in _QUOTED.finditer(text) if _LINE_END.search(found[1]))
    if has_lines or not _regular(delimiter).fullmatch(text):
        return _tolerant_records(text, delimiter, swallows)
    return _plain_records(text, delimiter)


def _plain_records(text: str, delimiter: str) -> Iterator[tuple[int, list[str]]]:
    reader = csv.reader(
        io.StringIO(text, newline=""),
        delimiter=delimiter,
        quoting=csv.QUOTE_MINIMAL if '"' in text else csv.QUOTE_NONE,
    )
    start = 1
    for cells in reader:
        yield start, cells
        start = reader.line_num + 1


def _swallows(text: str, delimiter: str) -> Callable[[str], bool]:
    """Return a test of a quoted cell with line breaks: whether it holds whole rows that nobody quoted.

    A line in it that splits into as many cells as most lines do, one of them a day, is a row.
    """
    lines = [line for line in text[:_HEAD_LETTERS].splitlines()[: 2 * _SAMPLE_LINES] if line.strip()]
    usual = max(_fit(lines, delimiter)[1], _FEWEST_CELLS)

    def swallows(content: str) -> bool:
        _first, *further = _LINE_END.split(content)
        *whole, last = further or [""]
        # The last line is cut where the next quote stands, so it shows only some of its cells.
        return any(_is_row(line, usual) for line in whole) or _is_row(last, max(_FEWEST_CELLS, usual // 2))

    def _is_row(line: str, cells: int) -> bool:
        parts = line.split(delimiter)
        return len(parts) >= cells and any(_is_day(part) for part in parts)

    return swallows


def _is_day(cell: str) -> bool:
    found = read_date(cell.strip(' "'))
    return found.value is not None and found.form != "serial"


def _tolerant_records(
    text: str, delimiter: str, swallows: Callable[[str], bool]
) -> Iterator[tuple[int, list[str]]]:
    cell_at = _cell_reader(text, delimiter, swallows)
    at, line = 0, 1
    while at < len(text):
        cells: list[str] = []
        start, is_in_record = line, True
        while is_in_record:
            cell, breaks, at = cell_at(at)
            cells.append(cell)
            line += breaks
            is_in_record = text.startswith(delimiter, at)
            at += is_in_record
        yield start, cells
        if at < len(text):
            at += 2 if text.startswith("\r\n", at) else 1
            line += 1


def _cell_reader(
    text: str, delimiter: str, swallows: Callable[[str], bool]
) -> Callable[[int], tuple[str, int, int]]:
    """Return a function from a place in the text to the cell there, its line breaks and its end."""
    mark = re.escape(delimiter)
    quoted = re.compile(rf'[ ]*"([^"]*+(?:""[^"]*+)*+)"[ ]*(?={mark}|\r|\n|\Z)')
    bare_end = re.compile(rf"{mark}|\r|\n|\Z")

    def cell_at(at: int) -> tuple[str, int, int]:
        found = quoted.match(text, at)
        if found is not None:
            breaks = len(_LINE_END.findall(found[1]))
            if not (breaks and swallows(found[1])):
                return found[1].replace('""', '"'), breaks, found.end()
        end = next(bare_end.finditer(text, at)).start()
        return text[at:end], 0, end

    return cell_at
