"""What a file is by its first bytes, whatever its name says."""

import re
from typing import Literal

Kind = Literal["text", "zip", "ole"]

#: First bytes of a ZIP archive (.xlsx, .ods) and of an OLE file (.xls, and .xlsx with a password).
ZIP_MARK = b"PK\x03\x04"
EMPTY_ZIP_MARK = b"PK\x05\x06"
OLE_MARK = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"

#: First bytes of files that people send and that hold no table, and how their kind is named.
_OTHER_KINDS: tuple[tuple[bytes, str], ...] = (
    (b"%PDF", "PDF"),
    (b"GIF8", "GIF"),
    (b"RIFF", "RIFF"),
    (b"{\\rtf", "RTF"),
    (b"II*\0", "TIFF"),
    (b"MM\0*", "TIFF"),
    (b"BM", "BMP"),
    (b"\x1f\x8b", "GZIP"),
    (b"7z\xbc\xaf\x27\x1c", "7Z"),
    (b"Rar!", "RAR"),
    (b"\x28\xb5\x2f\xfd", "ZSTD"),
    (b"BZh", "BZIP2"),
    (b"\xfd7zXZ", "XZ"),
    (b"SQLite format 3\0", "SQLITE"),
    (b"ID3", "MP3"),
    (b"OggS", "OGG"),
    (b"\x7fELF", "program"),
    (b"MZ\x90\0", "program"),
    (b"PAR1", "PARQUET"),
)
#: A mark of two letters may begin a sheet as well; then the bytes after it are letters too.
_SHORT_MARKS = {b"BM": re.compile(rb"BM.{4}\0\0\0\0", re.S)}
_MARKUP = re.compile(
    rb"\s*(?:<!--.*?-->\s*)*<(?:!doctype\s+html|html|head|body|meta|table|style|script|div|p|title)\b",
    re.I | re.S,
)
_XML = re.compile(rb"\s*<(?:\?xml|svg|office:document|workbook)\b", re.I)
_JSON = re.compile(rb'\s*(?:\{\s*"|\[\s*[\[{"])')

#: How far into a file we look; a web page may begin with blank lines.
_LOOK = 2048
#: A text file holds hardly any control characters; above this share of the beginning it is something else.
_MOST_CONTROL_SHARE = 0.05
_CONTROL = bytes(byte for byte in range(32) if byte not in b"\t\n\r\x0b\x0c\x1a\x1b\0")


def kind_of(content: bytes) -> Kind | str:
    """Return `text`, `zip`, `ole`, or the name of another kind in capitals.

    Text is what is left: nothing marks it. Zero bytes do not tell against it (UTF-16 holds many, and a save
    that broke off leaves a run of them), other control characters do.
    """
    if content.startswith((ZIP_MARK, EMPTY_ZIP_MARK)):
        return "zip"
    if content.startswith(OLE_MARK):
        return "ole"
    for mark, kind in _OTHER_KINDS:
        if content.startswith(mark):
            pattern = _SHORT_MARKS.get(mark)
            if pattern is None or pattern.match(content):
                return kind
    head = content[:_LOOK].removeprefix(b"\xef\xbb\xbf")
    if _MARKUP.match(head):
        return "HTML"
    if _XML.match(head):
        return "XML"
    if _JSON.match(head):
        return "JSON"
    if len(head.translate(None, _CONTROL)) < (1 - _MOST_CONTROL_SHARE) * len(head):
        return "binary"
    return "text"
