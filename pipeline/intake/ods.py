"""The records of an .ods file (OpenDocument 1.3, ISO/IEC 26300): tabs, extents, formulas, percentages."""

from pipeline.intake.grid import BadRecordsError, BookFacts, GridFacts, XmlScan, damaged
from pipeline.intake.tables import Limits, Refusal, too_large

CONTENT = "content.xml"
MANIFEST = "META-INF/manifest.xml"
_NEEDED = frozenset(["mimetype", CONTENT, MANIFEST])

#: Letters of a formula that are kept to show it.
_FORMULA_LETTERS = 200


def is_wanted(name: str) -> bool:
    """Return whether a part of the archive is needed to read values."""
    return name in _NEEDED


def book_facts(parts: dict[str, bytes], limits: Limits) -> BookFacts:
    """Return what the records say of every tab. Raises BadRecordsError."""
    manifest = _Manifest()
    manifest.over(parts.get(MANIFEST, b"<manifest/>"))
    if manifest.is_locked:
        raise BadRecordsError(Refusal("file-locked"))
    content = _Content(limits)
    content.over(parts[CONTENT])
    return BookFacts(content.tabs, is_1904=False)


class _Manifest(XmlScan):
    def __init__(self) -> None:
        super().__init__()
        self.is_locked = False

    def start(self, name: str, attributes: dict[str, str]) -> None:
        self.is_locked |= name.endswith("encryption-data")


class _Content(XmlScan):
    """The content part: its tables, row by row.

    A row or a cell may stand for many alike; how far a table reaches is known only once they are counted.
    """

    def __init__(self, limits: Limits) -> None:
        super().__init__()
        self.tabs: list[tuple[str, GridFacts]] = []
        self._before = 0
        self._limits = limits
        self._facts = GridFacts()
        self._row, self._rows = 0, 0
        self._column, self._columns = 0, 0
        self._cell: dict[str, str] = {}
        self._text: list[str] | None = None
        self._waiting: list[tuple[int, str]] = []
        self._percents: list[int] = []
        self._last_filled = -1

    def start(self, name: str, attributes: dict[str, str]) -> None:
        if name in ("table:table-cell", "table:covered-table-cell"):
            self._end_cell()
            self._column += self._columns
            self._columns = _repeats(attributes, "table:number-columns-repeated")
            self._cell = attributes
            if "table:formula" in attributes:
                self._text = self.listen()
        elif name == "text:p":
            self._cell = {**self._cell, "has-text": "yes"}
        elif name == "table:table-row":
            self._end_row()
            self._row += self._rows
            self._rows = _repeats(attributes, "table:number-rows-repeated")
        elif name == "table:table":
            self.finish()
            self._before += self._facts.cells
            self._facts = GridFacts()
            self._row = self._rows = 0
            self.tabs.append((attributes.get("table:name", ""), self._facts))
            if len(self.tabs) > self._limits.most_tabs:
                raise BadRecordsError(too_large(len(self.tabs), self._limits.most_tabs, "tabs"))

    def _end_cell(self) -> None:
        cell, text = self._cell, "".join(self._text or ()).strip()
        self._cell, self._text = {}, None
        self.rest()
        if not cell.keys() & {"office:value-type", "table:formula", "has-text"}:
            return
        last = self._column + self._columns - 1
        self._last_filled = max(self._last_filled, last)
        if last >= self._limits.most_cells:
            raise BadRecordsError(too_large(last + 1, self._limits.most_columns, "columns"))
        shown = _shown(cell, text)
        columns = range(self._column, last + 1)
        if shown is not None:
            self._waiting += [(column, shown) for column in columns]
        if cell.get("office:value-type") == "percentage":
            self._percents += columns

    def _end_row(self) -> None:
        self._end_cell()
        if self._last_filled >= 0:
            self._facts.reach(self._row + self._rows - 1, self._last_filled)
            self._facts.check(self._limits, before=self._before)
            for row in range(self._row, self._row + self._rows):
                self._facts.shown.update({(row, column): shown for column, shown in self._waiting})
                self._facts.percents.update((row, column) for column in self._percents)
        self._column = self._columns = 0
        self._waiting, self._percents, self._last_filled = [], [], -1

    def finish(self) -> None:
        """Take note that a table ends."""
        self._end_row()


def _repeats(attributes: dict[str, str], name: str) -> int:
    text = attributes.get(name, "1")
    if not (text.isascii() and text.isdigit() and len(text) <= 9 and int(text) > 0):
        raise damaged()
    return int(text)


def _shown(cell: dict[str, str], text: str) -> str | None:
    """Return the complaint of a failed formula, a formula without a result, or None for any other cell."""
    formula = cell.get("table:formula")
    if formula is None:
        return None
    if cell.get("calcext:value-type") == "error" or text.startswith(("#", "Err:")):
        return text or "#VALUE!"
    if "office:value-type" in cell or text:
        return None
    return f"={formula.removeprefix('of:').removeprefix('=')[:_FORMULA_LETTERS]}"
