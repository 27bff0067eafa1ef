"""Spreadsheets as programs write them: .xlsx by XlsxWriter, .ods and .xls by hand from their standards."""

import io
import struct
import zipfile
from collections.abc import Callable, Mapping, Sequence
from datetime import date

import xlsxwriter

Grid = Sequence[Sequence[object]]


def xlsx(tabs: Mapping[str, Grid], more: Callable | None = None, **options) -> bytes:
    """Return an .xlsx file; `more` writes into its workbook and first sheet what a plain grid cannot say."""
    out = io.BytesIO()
    with xlsxwriter.Workbook(out, options) as book:
        day = book.add_format({"num_format": "m/d/yyyy"})
        for name, grid in tabs.items():
            sheet = book.add_worksheet(name)
            for down, row in enumerate(grid):
                for across, cell in enumerate(row):
                    if isinstance(cell, date):
                        sheet.write_datetime(down, across, cell, day)
                    elif cell is not None:
                        sheet.write(down, across, cell)
        if more:
            more(book, book.worksheets()[0])
    return out.getvalue()


_ODS_HEAD = (
    '<?xml version="1.0" encoding="UTF-8"?><office:document-content '
    'xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" '
    'xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" '
    'xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0" office:version="1.3">'
    "<office:body><office:spreadsheet>"
)
_ODS_FOOT = "</office:spreadsheet></office:body></office:document-content>"


def ods(tabs: Mapping[str, Grid], manifest: str = "") -> bytes:
    """Return an .ods file (OpenDocument 1.3, ISO/IEC 26300)."""
    body = "".join(
        f'<table:table table:name="{name}">{"".join(_ods_row(row) for row in grid)}</table:table>'
        for name, grid in tabs.items()
    )
    return zipped(
        {
            "mimetype": "application/vnd.oasis.opendocument.spreadsheet",
            "content.xml": _ODS_HEAD + body + _ODS_FOOT,
            "META-INF/manifest.xml": manifest or "<manifest/>",
        }
    )


def _ods_row(row: Sequence[object]) -> str:
    return f"<table:table-row>{''.join(_ods_cell(cell) for cell in row)}</table:table-row>"


def _ods_cell(cell: object) -> str:
    if cell is None:
        return "<table:table-cell/>"
    if isinstance(cell, date):
        return (
            f'<table:table-cell office:value-type="date" office:date-value="{cell.isoformat()}">'
            f"<text:p>{cell.month}/{cell.day}/{cell.year}</text:p></table:table-cell>"
        )
    if isinstance(cell, int | float):
        return (
            f'<table:table-cell office:value-type="float" office:value="{cell}"><text:p>{cell}</text:p>'
            "</table:table-cell>"
        )
    return f'<table:table-cell office:value-type="string"><text:p>{cell}</text:p></table:table-cell>'


def zipped(parts: Mapping[str, str | bytes]) -> bytes:
    """Return an archive of these parts."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return out.getvalue()


def changed(content: bytes, part: str, change: Callable[[bytes], bytes]) -> bytes:
    """Return an archive with one part changed."""
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    return zipped(parts | {part: change(parts[part])})


def xls(grid: Grid, *, is_1904: bool = False, locked: bool = False) -> bytes:
    """Return an .xls file of one sheet ([MS-XLS], BIFF 8); a date is a day number with a date format."""
    first = date(1904, 1, 1) if is_1904 else date(1899, 12, 30)
    sheet = _record(0x0809, struct.pack("<HHHHII", 0x0600, 0x0010, 0, 0, 0, 0x0600))
    sheet += _record(0x0200, struct.pack("<IIHHH", 0, len(grid), 0, max(map(len, grid)), 0))
    for down, row in enumerate(grid):
        for across, cell in enumerate(row):
            if isinstance(cell, date):
                sheet += _record(0x0203, struct.pack("<HHHd", down, across, 1, (cell - first).days))
            elif isinstance(cell, int | float):
                sheet += _record(0x0203, struct.pack("<HHHd", down, across, 0, cell))
            elif cell is not None:
                letters = str(cell).encode("utf-16-le")
                head = struct.pack("<HHHHB", down, across, 0, len(letters) // 2, 1)
                sheet += _record(0x0204, head + letters)
    sheet += _record(0x000A, b"")
    book = _record(0x0809, struct.pack("<HHHHII", 0x0600, 0x0005, 0, 0, 0, 0x0600))
    if locked:
        book += _record(0x002F, bytes(6))
    book += _record(0x0042, struct.pack("<H", 1200)) + _record(0x0022, struct.pack("<H", is_1904))
    # Two styles: general, and the built-in format 14, a date.
    book += b"".join(_record(0x00E0, struct.pack("<HH16x", 0, style)) for style in (0, 14))
    start = len(book) + 4 + 8 + 5 + 4
    book += _record(0x0085, struct.pack("<IBBBB", start, 0, 0, 5, 0) + b"Sheet")
    book += _record(0x000A, b"")
    return compound({"Workbook": book + sheet})


def _record(kind: int, data: bytes) -> bytes:
    return struct.pack("<HH", kind, len(data)) + data


def compound(streams: Mapping[str, bytes]) -> bytes:
    """Return a compound file ([MS-CFB], version 3, sectors of 512 bytes) with these streams."""
    end, free = 0xFFFFFFFE, 0xFFFFFFFF
    fat = [0xFFFFFFFD, end]
    body, entries = b"", [_entry("Root Entry", 5, end, 0, child=1)]
    for at, (name, stream) in enumerate(streams.items()):
        padded = stream.ljust(4096, b"\0")
        count = -(-len(padded) // 512)
        start = len(fat)
        fat += [*range(start + 1, start + count), end]
        body += padded.ljust(count * 512, b"\0")
        right = at + 2 if at + 1 < len(streams) else free
        entries.append(_entry(name, 2, start, len(padded), right=right))
    head = struct.pack(
        "<8s16x5H6x9I",
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1",
        0x3E,
        3,
        0xFFFE,
        9,
        6,
        0,
        1,
        1,
        0,
        4096,
        end,
        0,
        end,
        0,
    )
    inline = struct.pack("<109I", 0, *[free] * 108)
    return (
        head
        + inline
        + struct.pack("<128I", *fat, *[free] * (128 - len(fat)))
        + b"".join(entries).ljust(512, b"\0")
        + body
    )


def _entry(
    name: str, kind: int, start: int, size: int, child: int = 0xFFFFFFFF, right: int = 0xFFFFFFFF
) -> bytes:
    letters = name.encode("utf-16-le")
    return struct.pack(
        "<64sHBBIII16x4x8x8xIQ", letters, len(letters) + 2, kind, 1, 0xFFFFFFFF, right, child, start, size
    )
