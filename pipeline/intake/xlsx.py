"""The records of an .xlsx file (ECMA-376, SpreadsheetML): tabs, extents, formulas, percentages, days."""

import re
from functools import lru_cache

from pipeline.intake.grid import BadRecordsError, BookFacts, GridFacts, XmlScan, damaged, local
from pipeline.intake.tables import Limits, too_large

#: Parts that hold values; pictures, themes, printer settings and the like are left packed.
WORKBOOK = "xl/workbook.xml"
_RELATIONS = "xl/_rels/workbook.xml.rels"
_STYLES = "xl/styles.xml"
_STRINGS = "xl/sharedStrings.xml"
_OTHERS = ("[Content_Types].xml", "_rels/.rels", _STRINGS)
_NEEDED = frozenset([WORKBOOK, _RELATIONS, _STYLES, *_OTHERS])

#: Built-in number formats that show a percentage (ECMA-376 part 1, 18.8.30).
_PERCENT_FORMATS = frozenset(["9", "10"])
#: Last row and column of a sheet (Excel specifications and limits, Microsoft).
_LAST_ROW, _LAST_COLUMN = 1_048_576, 16_384

_ADDRESS = re.compile(r"([A-Za-z]{1,3})([0-9]{1,7})")
_STRINGS_TAG = re.compile(rb"""<(?:\w+:)?sst\b(?:[^>"']|"[^"]*"|'[^']*')*>""")
_COUNT = re.compile(rb"""\s(?:uniqueCount|count)\s*=\s*(?:"[^"]*"|'[^']*')""")
#: Letters of a formula that are kept to show it.
_FORMULA_LETTERS = 200


def is_wanted(name: str) -> bool:
    """Return whether a part of the archive is needed to read values."""
    return name in _NEEDED or (name.startswith("xl/worksheets/") and name.endswith(".xml"))


def book_facts(parts: dict[str, bytes], limits: Limits) -> BookFacts:
    """Return what the records say of every tab. Raises BadRecordsError.

    Takes from the shared strings how many they claim to be: a reader would make room for them.
    """
    for name in _OTHERS:
        XmlScan().over(parts.get(name, b"<none/>"))
    if _STRINGS in parts:
        parts[_STRINGS] = _STRINGS_TAG.sub(lambda tag: _COUNT.sub(b"", tag[0]), parts[_STRINGS])
    book = _Book()
    book.over(parts[WORKBOOK])
    if len(book.sheets) > limits.most_tabs:
        raise BadRecordsError(too_large(len(book.sheets), limits.most_tabs, "tabs"))
    relations = _Relations()
    relations.over(parts.get(_RELATIONS, b"<Relationships/>"))
    styles = _Styles()
    styles.over(parts.get(_STYLES, b"<styleSheet/>"))
    scanned: dict[str, GridFacts] = {}
    for name, part in parts.items():
        if name.startswith("xl/worksheets/"):
            scan = _Sheet(frozenset(styles.percents), recomputes=book.recomputes)
            scan.over(part)
            scan.facts.check(limits, before=sum(facts.cells for facts in scanned.values()))
            scanned[name] = scan.facts
    tabs = [
        (name, scanned.get(_part_name(relations.targets.get(relation, "")), GridFacts()))
        for name, relation in book.sheets
    ]
    return BookFacts(tabs, book.is_1904)


def _part_name(target: str) -> str:
    return target.removeprefix("/") if target.startswith("/xl/") else f"xl/{target.removeprefix('./')}"


class _Book(XmlScan):
    """The workbook part: its sheets, its date system, and whether its program left the sums to others."""

    def __init__(self) -> None:
        super().__init__()
        self.sheets: list[tuple[str, str]] = []
        self.is_1904 = self.recomputes = False

    def start(self, name: str, attributes: dict[str, str]) -> None:
        element = local(name)
        if element == "sheet":
            relation = next((value for key, value in attributes.items() if key.endswith(":id")), "")
            self.sheets.append((attributes.get("name", ""), relation))
        elif element == "workbookPr":
            self.is_1904 = attributes.get("date1904", "0").lower() in ("1", "true", "on")
        elif element == "calcPr":
            self.recomputes = attributes.get("fullCalcOnLoad", "0").lower() in ("1", "true", "on")


class _Relations(XmlScan):
    def __init__(self) -> None:
        super().__init__()
        self.targets: dict[str, str] = {}

    def start(self, name: str, attributes: dict[str, str]) -> None:
        if local(name) == "Relationship":
            self.targets[attributes.get("Id", "")] = attributes.get("Target", "")


class _Styles(XmlScan):
    """The styles part: which cell styles show a percentage."""

    def __init__(self) -> None:
        super().__init__()
        self.percents: list[str] = []
        self._formats = set(_PERCENT_FORMATS)
        self._is_in_cells, self._at = False, 0

    def start(self, name: str, attributes: dict[str, str]) -> None:
        element = local(name)
        if element == "numFmt" and "%" in attributes.get("formatCode", ""):
            self._formats.add(attributes.get("numFmtId", ""))
        elif element in ("cellXfs", "cellStyleXfs", "cellStyles", "dxfs"):
            self._is_in_cells = element == "cellXfs"
        elif element == "xf" and self._is_in_cells:
            if attributes.get("numFmtId") in self._formats:
                self.percents.append(str(self._at))
            self._at += 1


class _Sheet(XmlScan):
    """One worksheet part.

    Where the program that wrote the file left all sums to the one that opens it, a formula's zero is not a
    result either: such programs write a zero beside every formula.
    """

    def __init__(self, percents: frozenset[str], *, recomputes: bool) -> None:
        super().__init__()
        self.facts = GridFacts()
        self._percents, self._recomputes = percents, recomputes
        self._row, self._column = -1, -1
        self._kind: str | None = None
        self._formula: list[str] | None = None
        self._value: list[str] | None = None

    def start(self, name: str, attributes: dict[str, str]) -> None:
        element = name if name in ("c", "v", "f", "row") else local(name)
        if element == "c":
            self.finish()
            self._to_cell(attributes)
        elif element in ("v", "is"):
            self.facts.reach(self._row, self._column)
            if self._formula is not None or self._kind == "e":
                self._value = self.listen()
        elif element == "f":
            self.facts.reach(self._row, self._column)
            self._formula = self.listen()
        elif element == "row":
            # The last cell of the row above ends here.
            self.finish()
            self._to_row(attributes)

    def _to_row(self, attributes: dict[str, str]) -> None:
        number = attributes.get("r")
        if number is None:
            self._row += 1
        elif number.isascii() and number.isdigit() and 0 < len(number) <= 7 and int(number) <= _LAST_ROW:
            self._row = int(number) - 1
        else:
            raise damaged()
        self._column = -1

    def _to_cell(self, attributes: dict[str, str]) -> None:
        self._kind = attributes.get("t")
        address = attributes.get("r")
        if address is None:
            self._column += 1
        else:
            found = _ADDRESS.fullmatch(address)
            if found is None or int(found[2]) > _LAST_ROW or int(found[2]) < 1:
                raise damaged()
            self._row, self._column = int(found[2]) - 1, _column_number(found[1])
        if attributes.get("s") in self._percents and self._kind in (None, "n"):
            self.facts.percents.add((self._row, self._column))

    def finish(self) -> None:
        """Take note of the cell that ends: a failed formula, or one without a result."""
        if self._formula is None and self._value is None:
            return
        value = "".join(self._value or ()).strip()
        at = (self._row, self._column)
        if self._kind == "e":
            self.facts.shown[at] = value or "#VALUE!"
        elif self._formula is not None and not self._is_result(value):
            self.facts.shown[at] = f"={''.join(self._formula).strip()[:_FORMULA_LETTERS]}"
        self._formula = self._value = None
        self.rest()

    def _is_result(self, value: str) -> bool:
        if self._kind == "str":
            return self._value is not None
        return value != "" and not (self._recomputes and value == "0")


@lru_cache(maxsize=20_000)
def _column_number(letters: str) -> int:
    number = 0
    for letter in letters.upper():
        number = 26 * number + ord(letter) - ord("A") + 1
    if number > _LAST_COLUMN:
        raise damaged()
    return number - 1
