"""The records of an .xls file ([MS-XLS], BIFF 5 and 8): tabs, extents, failed formulas, percentages.

`book_facts` also takes away the records that hold no values, in place: formulas, names, drawings and declared
dimensions are where a damaged or malicious file leads readers astray.
"""

import struct
from collections.abc import Iterator
from dataclasses import dataclass, field

from pipeline.intake.compound import BrokenCompoundError, CompoundFile
from pipeline.intake.grid import BadRecordsError, BookFacts, GridFacts, damaged
from pipeline.intake.tables import Limits, Refusal, not_read, too_large

_BOF, _EOF, _FORMULA, _BOUND_SHEET, _DATE_MODE, _LOCKED = 0x0809, 0x000A, 0x0006, 0x0085, 0x0022, 0x002F
_FORMAT, _XF, _STRINGS, _CONTINUE, _CODE_PAGE = 0x041E, 0x00E0, 0x00FC, 0x003C, 0x0042
_NUMBER, _LABEL, _BOOL_ERROR, _STRING, _RK, _LABEL_STRINGS, _MANY_RK = (
    0x0203,
    0x0204,
    0x0205,
    0x0207,
    0x027E,
    0x00FD,
    0x00BD,
)
_KEPT_OF_BOOK = {_BOF, _EOF, _BOUND_SHEET, _DATE_MODE, _FORMAT, _XF, _STRINGS, _CONTINUE, _CODE_PAGE}
_CELLS = {_FORMULA, _NUMBER, _LABEL, _BOOL_ERROR, _RK, _LABEL_STRINGS, _MANY_RK}
_KEPT_OF_SHEET = _CELLS | {_BOF, _EOF, _STRING, _CONTINUE}
#: Fewest bytes of each kind of cell; a shorter record is no cell.
_FEWEST = {_FORMULA: 22, _NUMBER: 14, _LABEL: 10, _BOOL_ERROR: 8, _RK: 10, _LABEL_STRINGS: 10, _MANY_RK: 12}
#: A type that no record has, so that every reader passes it over.
_NOTHING = 0x7F7F

#: What a failed formula shows, by its code ([MS-XLS] 2.5.10, BErr).
_COMPLAINTS = {
    0x00: "#NULL!",
    0x07: "#DIV/0!",
    0x0F: "#VALUE!",
    0x17: "#REF!",
    0x1D: "#NAME?",
    0x24: "#NUM!",
    0x2A: "#N/A",
}
_NOT_AVAILABLE = 0x2A
#: Built-in number formats that show a percentage.
_PERCENT_FORMATS = (9, 10)
#: Names of streams by which other files of this kind are known.
_OTHERS = {"WordDocument": "DOC", "PowerPoint Document": "PPT", "VisioDocument": "VSD"}


@dataclass
class OldWorkbook:
    """The stream of an .xls file without what holds no values, and what its records say."""

    name: str
    stream: bytes
    facts: BookFacts


@dataclass
class _Book:
    sheets: list[tuple[int, str]] = field(default_factory=list)
    is_1904: bool = False
    percents: set[int] = field(default_factory=set)


def open_old_workbook(content: bytes, limits: Limits) -> OldWorkbook:
    """Return the values and facts of an .xls file. Raises BadRecordsError."""
    try:
        file = CompoundFile(content)
        if {"EncryptedPackage", "EncryptionInfo"} & file.names:
            raise BadRecordsError(Refusal("file-locked"))
        name = next((name for name in ("Workbook", "Book") if name in file.names), None)
        if name is None:
            raise BadRecordsError(not_read(_other_kind(file.names)))
        stream = bytearray(file.stream(name))
    except BrokenCompoundError as error:
        raise damaged() from error
    book = _read_book(stream)
    if len(book.sheets) > limits.most_tabs:
        raise BadRecordsError(too_large(len(book.sheets), limits.most_tabs, "tabs"))
    tabs: list[tuple[str, GridFacts]] = []
    for position, sheet in book.sheets:
        facts = _read_sheet(stream, position, book.percents)
        facts.check(limits, before=sum(before.cells for _, before in tabs))
        tabs.append((sheet, facts))
    return OldWorkbook(name, bytes(stream), BookFacts(tabs, book.is_1904))


def _other_kind(names: frozenset[str]) -> str:
    if any(name.startswith("__substg1.0") for name in names):
        return "MSG"
    return next((kind for name, kind in _OTHERS.items() if name in names), "OLE")


def _records(stream: bytearray, start: int) -> Iterator[tuple[int, int, int]]:
    """Yield type, start and end of the data of each record, up to the end of the part."""
    at = start
    while at + 4 <= len(stream):
        kind, length = struct.unpack_from("<HH", stream, at)
        if at + 4 + length > len(stream):
            raise damaged()
        yield kind, at + 4, at + 4 + length
        if kind == _EOF:
            return
        at += 4 + length
    raise damaged()


def _drop(stream: bytearray, data: int) -> None:
    struct.pack_into("<H", stream, data - 4, _NOTHING)


def _read_book(stream: bytearray) -> _Book:
    if len(stream) < 8 or struct.unpack_from("<H", stream)[0] != _BOF:
        raise damaged()
    book = _Book()
    formats = set(_PERCENT_FORMATS)
    styles: list[int] = []
    for kind, start, end in _records(stream, 0):
        if kind == _LOCKED:
            raise BadRecordsError(Refusal("file-locked"))
        if kind == _BOUND_SHEET and _is_sheet(stream, start, end):
            book.sheets.append((struct.unpack_from("<I", stream, start)[0], ""))
        elif kind == _DATE_MODE and end - start >= 2:
            book.is_1904 = stream[start] == 1
        elif kind == _FORMAT and end - start >= 5:
            if b"%" in stream[start + 2 : end]:
                formats.add(struct.unpack_from("<H", stream, start)[0])
        elif kind == _XF and end - start >= 4:
            styles.append(struct.unpack_from("<H", stream, start + 2)[0])
        elif kind == _STRINGS and end - start >= 8:
            _check_strings(stream, start)
        elif kind not in (_BOF, _EOF, _CONTINUE) and not (kind == _CODE_PAGE and end - start >= 2):
            _drop(stream, start)
    book.percents = {at for at, style in enumerate(styles) if style in formats}
    return book


def _is_sheet(stream: bytearray, start: int, end: int) -> bool:
    """Return whether the record names a sheet of cells that is there."""
    if end - start < 8 or stream[start + 5] != 0 or stream[start + 4] & 0x3F > 2:
        return False
    (position,) = struct.unpack_from("<I", stream, start)
    return position + 8 <= len(stream) and struct.unpack_from("<H", stream, position)[0] == _BOF


def _check_strings(stream: bytearray, start: int) -> None:
    """Make the number of shared strings one that the file has room for; each takes three bytes or more."""
    (count,) = struct.unpack_from("<I", stream, start + 4)
    struct.pack_into("<I", stream, start + 4, min(count, (len(stream) - start) // 3))


def _read_sheet(stream: bytearray, position: int, percents: set[int]) -> GridFacts:
    facts = GridFacts()
    for kind, start, end in _records(stream, position):
        if kind not in _KEPT_OF_SHEET or end - start < _FEWEST.get(kind, 0):
            _drop(stream, start)
        elif kind in _CELLS:
            _take_cell(stream, kind, start, end, percents, facts)
    return facts


def _take_cell(
    stream: bytearray, kind: int, start: int, end: int, percents: set[int], facts: GridFacts
) -> None:
    row, column, style = struct.unpack_from("<HHH", stream, start)
    facts.reach(row, column)
    if kind == _MANY_RK:
        count = (end - start - 6) // 6
        facts.reach(row, column + count - 1)
        for at in range(count):
            (style,) = struct.unpack_from("<H", stream, start + 4 + 6 * at)
            if style in percents:
                facts.percents.add((row, column + at))
        return
    if kind == _BOOL_ERROR and stream[start + 7] == 1:
        facts.shown[row, column] = _COMPLAINTS.get(stream[start + 6], "#N/A")
        stream[start + 6] = _NOT_AVAILABLE
    elif kind == _FORMULA:
        struct.pack_into("<H", stream, start + 20, 0)
        if stream[start + 12 : start + 14] == b"\xff\xff" and stream[start + 6] == 2:
            facts.shown[row, column] = _COMPLAINTS.get(stream[start + 8], "#N/A")
            stream[start + 8] = _NOT_AVAILABLE
    if style in percents and kind in (_NUMBER, _RK, _FORMULA):
        facts.percents.add((row, column))
