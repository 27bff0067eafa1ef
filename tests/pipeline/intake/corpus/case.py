"""What a case of the corpus is: a file as somebody sent it, and what is expected of each of its lines."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

HARVEST = "site,plot,date,good fruits,weight (lb)"
#: Three pickings of eggplants of 363, 372 and 355 g, as a careful garden writes them.
ROWS = ("G01,1,2024-07-01,4,3.2", "G01,2,2024-07-01,5,4.1", "G01,3,2024-07-01,6,4.7")


@dataclass(frozen=True)
class Case:
    """One awkward file.

    `lines` holds every line that is a row: "used" or "held", and the checks that ask about it ("used",
    "used: weight-blank", "held: plot-unknown"). Line 0 stands for the file as a whole. `notes` are all notes,
    by line. `values` are what the named cells of a line are read as: weights in kg, lengths in cm, days as
    ISO 8601. A file of which nothing can be read has its `refused` check and no lines; a workbook has `tabs`,
    each with its lines. `skipped` counts the lines that are no rows.
    """

    kind: str
    name: str
    content: bytes
    lines: Mapping[int, str] = field(default_factory=dict)
    tabs: Mapping[str, Mapping[int, str]] = field(default_factory=dict)
    notes: Sequence[tuple[int, str]] = ()
    values: Mapping[int, Mapping[str, object]] = field(default_factory=dict)
    skipped: int = 0
    refused: str = ""
    file: str = "sheet.csv"


def text(*lines: str, end: str = "\n") -> str:
    """Return lines as the text of a file."""
    return "".join(line + end for line in lines)


def used(*lines: int) -> dict[int, str]:
    """Return that all these lines are used and nobody asks anything."""
    return dict.fromkeys(lines, "used")
