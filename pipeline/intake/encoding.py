"""Bytes as text, in the encodings that spreadsheets and editors save."""

#: How far into a file we look for the zero bytes of UTF-16.
_LOOK = 4096
#: Share of zero bytes at every other place from which a text without mark is UTF-16. Latin letters give
#: nearly one half to one side and none to the other.
_ZEROS = 0.3
#: What stands for a byte that could not be read.
UNREADABLE_LETTER = "\ufffd"


def decode(content: bytes) -> str:
    """Return the text in UTF-8, UTF-16 (by its mark or its zero bytes), else Windows-1252.

    Zero bytes at the end, left by a save that broke off, are taken away; elsewhere they stand as letters
    that could not be read, as do bytes that the encoding does not know.
    """
    if (encoding := _utf_16(content)) is not None:
        return (
            content.decode(encoding, errors="replace")
            .lstrip("\ufeff")
            .rstrip("\0")
            .replace("\0", UNREADABLE_LETTER)
        )
    bare = content.rstrip(b"\0")
    try:
        text = bare.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = _mostly_utf_8(bare) or bare.decode("cp1252", errors="replace")
    return text.replace("\0", UNREADABLE_LETTER)


def _utf_16(content: bytes) -> str | None:
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        return "utf-16-le" if content.startswith(b"\xff\xfe") else "utf-16-be"
    sample = content[:_LOOK]
    even, odd = sample[0::2].count(0), sample[1::2].count(0)
    half = len(sample) / 2
    if odd >= _ZEROS * half > 4 * even:
        return "utf-16-le"
    return "utf-16-be" if even >= _ZEROS * half > 4 * odd else None


def _mostly_utf_8(content: bytes) -> str | None:
    """Return the text where the bytes are UTF-8 but for a few, as after a cut in the middle of a letter."""
    text = content.decode("utf-8-sig", errors="replace")
    broken = text.count(UNREADABLE_LETTER)
    whole = sum(1 for letter in text if letter > "\x7f") - broken
    return text if whole > broken else None
