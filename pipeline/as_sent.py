"""A line of a file as it came, read from the archive."""

import re
from pathlib import Path

from pipeline.intake.encoding import decode
from pipeline.intake.signatures import kind_of

#: Lines that a quoted cell may run over before it is taken for a quote that was left open.
_MOST_LINES = 20

_LINE_END = re.compile(r"\r\n|\r|\n")


def line_as_sent(archive: Path, sha256: str, line: int) -> str | None:
    """Return the line of a text file with that SHA-256, whole where a quoted cell runs over several.

    None for a spreadsheet, whose rows are no text, and for a file that is not in the archive any more.
    """
    place = archive / sha256
    if not place.is_file():
        return None
    content = place.read_bytes()
    if kind_of(content) != "text":
        return None
    lines = _LINE_END.split(decode(content))
    if not 1 <= line <= len(lines):
        return None
    for last in range(line, min(line + _MOST_LINES, len(lines)) + 1):
        text = "\n".join(lines[line - 1 : last])
        if text.count('"') % 2 == 0:
            return text
    return lines[line - 1]
