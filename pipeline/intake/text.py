"""Text files: any of the usual encodings, delimiters and line ends, in; a table of cells out."""

import csv
import io
from collections.abc import Iterator

from pipeline.intake.tables import Limits, RawTable, Refusal, too_large, without_blank_rows

DELIMITERS = (",", ";", "\t", "|")

#: Lines looked at to find the delimiter.
_SAMPLE_LINES = 20


def read_text(content: bytes, limits: Limits) -> RawTable | Refusal:
    """Return the cells of a delimited text file."""
    text = decode(content)
    if not text.strip("\ufeff\r\n\t ,;|"):
        return Refusal("file-empty")
    delimiter, skipped, text = _delimiter(text)
    rows, lines = [], []
    for line, cells in _records(text, delimiter):
        rows.append(cells)
        lines.append(line + skipped)
        if len(rows) > limits.most_rows:
            return too_large(len(rows), limits.most_rows, "rows")
        if len(cells) > limits.most_columns and any(cell.strip() for cell in cells[limits.most_columns :]):
            return too_large(len(cells), limits.most_columns, "columns")
    return without_blank_rows(None, rows, lines)


def decode(content: bytes) -> str:
    """Return the text in UTF-8, UTF-16 (with its mark, or by its zero bytes), else Windows-1252."""
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        return content.decode("utf-16", errors="replace")
    if content[1:2] == b"\0" or content[:1] == b"\0":
        return content.decode("utf-16-le" if content[1:2] == b"\0" else "utf-16-be", errors="replace")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("cp1252", errors="replace")


def _delimiter(text: str) -> tuple[str, int, str]:
    """Return the delimiter, the lines that a `sep=` line takes, and the text after it.

    Without a `sep=` line it is the candidate that splits the most lines of the beginning into the same
    number of cells, the more cells the better.
    """
    first, _, rest = text.partition("\n")
    mark = first.strip().strip('"')
    if mark.lower().startswith("sep=") and len(mark) == 5:
        return mark[4], 1, rest
    sample = [line for line in text.splitlines()[: 2 * _SAMPLE_LINES] if line.strip()][:_SAMPLE_LINES]
    return max(DELIMITERS, key=lambda candidate: _fit(sample, candidate)), 0, text


def _fit(sample: list[str], delimiter: str) -> tuple[int, int]:
    """Return how well a delimiter fits: lines with the commonest number of cells above one, then cells."""
    counts = [len(cells) for cells in csv.reader(sample, delimiter=delimiter)]
    several = [count for count in counts if count > 1]
    if not several:
        return (0, 0)
    commonest = max(set(several), key=lambda count: (several.count(count), count))
    return (several.count(commonest) * (commonest - 1), commonest)


def _records(text: str, delimiter: str) -> Iterator[tuple[int, list[str]]]:
    """Yield each record with the line where it starts; a cell with line breaks counts its own lines."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    start = 1
    for cells in reader:
        yield start, cells
        start = reader.line_num + 1
