"""What a spreadsheet's own records say beyond its values: its extent, and cells that are not what they show.

The reader of spreadsheets gives a blank for a formula that was never worked out and for one that failed, and
the bare number for a percentage. It also lays a sheet out as a full grid, so that one cell in the last corner
would take more memory than the machine has. So the records are looked through first.
"""

from dataclasses import dataclass, field
from xml.parsers import expat

from pipeline.intake.tables import Limits, Refusal, too_large


@dataclass
class GridFacts:
    """What is known of one tab before it is read.

    `rows` and `columns` say how far it reaches. `shown` holds, by row and column from 0, the text of cells
    whose value alone would not tell: a failed formula's complaint, or a formula without a result, after an
    equals sign. `percents` are the cells that show their number as a percentage.
    """

    rows: int = 0
    columns: int = 0
    shown: dict[tuple[int, int], str] = field(default_factory=dict)
    percents: set[tuple[int, int]] = field(default_factory=set)

    def reach(self, row: int, column: int) -> None:
        """Take note of a cell that holds something."""
        self.rows = max(self.rows, row + 1)
        self.columns = max(self.columns, column + 1)

    @property
    def cells(self) -> int:
        """The cells of the full grid."""
        return self.rows * self.columns

    def check(self, limits: Limits, before: int = 0) -> None:
        """Raise BadRecordsError where the grid, with the cells of tabs `before`, cannot be laid out."""
        if self.columns > limits.most_columns:
            raise BadRecordsError(too_large(self.columns, limits.most_columns, "columns"))
        if self.cells + before > limits.most_cells:
            if self.rows > limits.most_rows:
                raise BadRecordsError(too_large(self.rows, limits.most_rows, "rows"))
            raise BadRecordsError(too_large(self.cells + before, limits.most_cells, "cells"))


@dataclass(frozen=True)
class BookFacts:
    """What is known of a spreadsheet before it is read: its tabs in order, and its date system."""

    tabs: list[tuple[str, GridFacts]]
    is_1904: bool


class BadRecordsError(Exception):
    """The records of a spreadsheet do not hold together; `refusal` says what to tell."""

    def __init__(self, refusal: Refusal) -> None:
        self.refusal = refusal
        super().__init__(refusal.check)


def damaged() -> BadRecordsError:
    """Return the signal that a spreadsheet is damaged."""
    return BadRecordsError(Refusal("file-damaged"))


class XmlScan:
    """One pass over an XML part that calls `start` for every element.

    A part that is not well formed, or that declares a document type (spreadsheets never do, and its entities
    can grow without end), is damaged.
    """

    def __init__(self) -> None:
        self.parser = expat.ParserCreate()
        self.parser.buffer_text = True
        if type(self).start is not XmlScan.start:
            self.parser.StartElementHandler = self.start
        self.parser.StartDoctypeDeclHandler = self._doctype

    def start(self, name: str, attributes: dict[str, str]) -> None:
        """Take note of an element; a scan that only wants a well-formed part has nothing to note."""

    def finish(self) -> None:
        """Take note that the part ends."""

    def over(self, part: bytes) -> None:
        """Read the part. Raises BadRecordsError."""
        try:
            self.parser.Parse(part, True)
        except (expat.ExpatError, ValueError, LookupError) as error:
            raise damaged() from error
        self.finish()

    @staticmethod
    def _doctype(*_declared: object) -> None:
        raise damaged()

    def listen(self) -> list[str]:
        """Return the list to which the text that follows is added."""
        heard: list[str] = []
        self.parser.CharacterDataHandler = heard.append
        return heard

    def rest(self) -> None:
        """Stop listening to text."""
        self.parser.CharacterDataHandler = None


def local(name: str) -> str:
    """Return the name of an element or attribute without its prefix."""
    return name.rpartition(":")[2]
