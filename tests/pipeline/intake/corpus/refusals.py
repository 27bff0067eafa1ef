"""Files of which nothing can be read, each with its clear reason."""

import struct
from collections.abc import Iterator

from tests.pipeline.intake.corpus.case import HARVEST, ROWS, Case, text
from tests.pipeline.intake.corpus.workbooks import HEAD
from tests.pipeline.intake.corpus.workbooks import ROWS as CELLS
from tests.pipeline.intake.corpus.writing import changed, compound, ods, xls, xlsx, zipped

BOOK = xlsx({"Sheet1": [HEAD, *CELLS]})
#: A picture of a paper sheet, as a telephone sends it: it waits to be typed.
PHOTO = b"\xff\xd8\xff\xe1" + struct.pack(">H", 34) + b"Exif\0\0II*\0\x08\0\0\0" + bytes(18) + b"\xff\xd9"
#: Larger than these are refused; the test sets them.
MOST_ROWS, MOST_COLUMNS, LARGEST_BYTES, LARGEST_UNPACKED = 2_000, 60, 300_000, 3_000_000


def cases() -> Iterator[Case]:
    """Yield the cases."""
    for check, files in (
        ("file-empty", _empty()),
        ("file-header-only", _header_only()),
        ("file-damaged", _damaged()),
        ("file-locked", _locked()),
        ("file-kind-not-read", _other_kinds()),
        ("file-too-large", _too_large()),
        ("sheet-unknown", _unknown()),
    ):
        for name, content in files.items():
            yield Case("refused", f"{check}: {name}", content, refused=check)
    yield Case("paper", "photo of a sheet", PHOTO, {0: "file: paper-to-type"}, file="sheet.jpg")


def _empty() -> dict[str, bytes]:
    return {
        "no bytes": b"",
        "blank lines": b"\n \n,,\n",
        "mark only": b"\xef\xbb\xbf",
        "zeros": bytes(100),
        "workbook": xlsx({"Sheet1": []}),
    }


def _header_only() -> dict[str, bytes]:
    return {
        "text": text(HARVEST).encode(),
        "printed": text(HARVEST, "G01,1,,,", "G01,2,,,").encode(),
        "workbook": xlsx({"Sheet1": [HEAD]}),
    }


def _damaged() -> dict[str, bytes]:
    return {
        "cut off": BOOK[:-300],
        "first half": BOOK[: len(BOOK) // 2],
        "broken part": changed(BOOK, "xl/worksheets/sheet1.xml", lambda part: part[:200]),
        "ods cut off": ods({"Sheet1": [HEAD, *CELLS]})[:-40],
        "xls cut off": xls([HEAD, *CELLS])[:3000],
        "row without end": changed(
            BOOK, "xl/worksheets/sheet1.xml", lambda part: part.replace(b'r="2"', b'r="99999999"')
        ),
    }


def _locked() -> dict[str, bytes]:
    key = (
        '<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0">'
        "<manifest:file-entry><manifest:encryption-data/></manifest:file-entry></manifest:manifest>"
    )
    return {
        "xlsx with a password": compound({"EncryptionInfo": b"\4\0\4\0", "EncryptedPackage": bytes(64)}),
        "xls with a password": xls([HEAD, *CELLS], locked=True),
        "ods with a password": ods({"Sheet1": [HEAD]}, manifest=key),
    }


def _other_kinds() -> dict[str, bytes]:
    return {
        "PDF that is called csv": b"%PDF-1.7\n1 0 obj\n",
        "web page": b"<!DOCTYPE html><html><table><tr><td>site</td></tr></table></html>",
        "text document": zipped({"word/document.xml": "<w/>", "[Content_Types].xml": "<Types/>"}),
        "archive of sheets": zipped({"harvest.csv": text(HARVEST, *ROWS)}),
        "program": b"MZ" + bytes(range(256)) * 4,
        "old text document": compound({"WordDocument": bytes(600)}),
    }


def _too_large() -> dict[str, bytes]:
    row = "G01,1,2024-07-01,4,3.2\n"
    bomb = changed(BOOK, "xl/worksheets/sheet1.xml", lambda part: part + b" " * (LARGEST_UNPACKED + 1))
    return {
        "rows": (HARVEST + "\n" + row * (MOST_ROWS + 1)).encode(),
        "columns": text(HARVEST + ",x" * MOST_COLUMNS, *ROWS).encode(),
        "bytes": (HARVEST + "\n" + row * 20_000).encode(),
        "unpacked": bomb,
        "cell": text(HARVEST + ",note", ROWS[0] + "," + "x" * 40_000).encode(),
        "repeats": _repeated(ods({"Sheet1": [HEAD]})),
    }


def _repeated(content: bytes) -> bytes:
    """Return a small .ods file that claims thousands of millions of filled cells."""
    many = (
        b'<table:table-row table:number-rows-repeated="1000000"><table:table-cell office:value="1" '
        b'table:number-columns-repeated="16000" office:value-type="float"><text:p>1</text:p>'
        b"</table:table-cell></table:table-row>"
    )
    return changed(
        content, "content.xml", lambda part: part.replace(b"</table:table>", many + b"</table:table>")
    )


def _unknown() -> dict[str, bytes]:
    return {
        "another table": text("name,colour", "a,red", "b,blue").encode(),
        "a letter": b"Dear all, we picked a lot this week. Thank you!\n",
        "numbers": text("1,2,3", "4,5,6").encode(),
        "workbook": xlsx({"Sheet1": [["name", "colour"], ["a", "red"]]}),
        "header in line forty": text(*[f"line {at}" for at in range(40)], HARVEST, ROWS[0]).encode(),
    }
