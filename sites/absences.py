"""When nobody is in a garden: one more line of the registry's absences."""

import csv
import io
from datetime import date
from pathlib import Path

from sites.errors import InputError
from sites.whole_files import put_whole

_COLUMNS = ["site", "from", "to", "stand_in"]
#: The longest absence that is taken at once; a garden that pauses for longer says so to the lead.
LONGEST_DAYS = 120


def add_absence(folder: Path, site: str, first: date, last: date, stand_in: str = "") -> None:
    """Add an absence of a garden to `absences.csv` in the registry's folder; the same one is added once.

    The file is written beside itself and put in place whole. Raises InputError where the absence ends before
    it begins, or lasts longer than `LONGEST_DAYS`.
    """
    if last < first:
        raise InputError("The last day is before the first. Check both days.")
    if (last - first).days >= LONGEST_DAYS:
        raise InputError(f"That is more than {LONGEST_DAYS} days. Tell the trial lead, so that nobody waits.")
    file = folder / "absences.csv"
    columns, rows = _read(file)
    new = dict(zip(_COLUMNS, (site, first.isoformat(), last.isoformat(), stand_in.strip()), strict=True))
    if any(all(row.get(name, "") == new[name] for name in _COLUMNS[:3]) for row in rows):
        return
    _write(file, columns, [*rows, new])


def _read(file: Path) -> tuple[list[str], list[dict[str, str]]]:
    if not file.exists():
        return list(_COLUMNS), []
    with file.open(encoding="utf-8-sig", newline="") as lines:
        reader = csv.DictReader(lines)
        rows = [{name: value or "" for name, value in row.items() if name} for row in reader]
    columns = list(reader.fieldnames or ())
    return [*columns, *(name for name in _COLUMNS if name not in columns)], rows


def _write(file: Path, columns: list[str], rows: list[dict[str, str]]) -> None:
    lines = io.StringIO()
    writer = csv.DictWriter(lines, columns, restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    put_whole(file, lines.getvalue().encode())
