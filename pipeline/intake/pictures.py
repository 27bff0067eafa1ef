"""Pictures of paper records: known by their first bytes, dated, and freed of where they were taken.

A telephone writes the place, the time and itself into every picture. `without_position` keeps the picture bit
for bit and takes everything else away, but for the turn that shows it upright.
"""

import re
import struct
import zlib
from collections.abc import Iterator
from datetime import date

from sites.errors import InputError

_JPEG_MARK = b"\xff\xd8\xff"
_PNG_MARK = b"\x89PNG\r\n\x1a\n"
#: Brands of pictures in ISO base media files (ISO/IEC 23008-12, annex B), as telephones write them.
_HEIC_BRANDS = frozenset(
    [b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1", b"heif", b"avif"]
)

#: JPEG markers without a length (ITU-T T.81, table B.1), and those that begin and end a picture.
_BARE_MARKERS = frozenset([0x01, *range(0xD0, 0xD8)])
_START_OF_SCAN, _END_OF_IMAGE = 0xDA, 0xD9
_EXIF = b"Exif\0\0"
#: Application segments that change how a picture looks: JFIF density, colour profile, Adobe colour transform.
_KEPT_SEGMENTS = ((0xE0, b"JFIF\0"), (0xE2, b"ICC_PROFILE\0"), (0xEE, b"Adobe"))
_APPLICATION_OR_COMMENT = frozenset([*range(0xE0, 0xF0), 0xFE])

#: PNG chunks that change how a picture looks, animation included (PNG specification, third edition, 2025).
_KEPT_CHUNKS = frozenset(
    b"IHDR PLTE IDAT IEND tRNS gAMA cHRM sRGB iCCP sBIT bKGD pHYs hIST sPLT cICP mDCV cLLI acTL fcTL "
    b"fdAT".split()
)

#: EXIF tags (CIPA DC-008, 4.6): the turn, the day of the file, the pointer to more, the days of the picture.
_ORIENTATION, _DATE_TIME, _EXIF_POINTER, _ORIGINAL, _DIGITIZED = 0x0112, 0x0132, 0x8769, 0x9003, 0x9004
#: The pointer to the position, and the bytes of one value of each kind that EXIF knows (CIPA DC-008, 4.6.2).
_GPS_POINTER = 0x8825
_VALUE_BYTES = {1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 7: 1, 9: 4, 10: 8}
#: Positions written as text (Adobe XMP, part 2, the EXIF schema), as attributes or as elements.
_XMP_POSITION = re.compile(rb"(GPS\w{4,40}\s*(?:=\s*[\"']|>))([^<\"'\0]{1,80})([<\"'])")
_UPRIGHT = 1
_DAY = re.compile(rb"(\d{4}):(\d{2}):(\d{2})")


def kind_of_picture(content: bytes) -> str | None:
    """Return JPEG, PNG or HEIC by the first bytes, or None for any other file."""
    if content.startswith(_JPEG_MARK):
        return "JPEG"
    if content.startswith(_PNG_MARK):
        return "PNG"
    if content[4:8] == b"ftyp" and content[8:12] in _HEIC_BRANDS:
        return "HEIC"
    return None


def without_position(content: bytes) -> bytes:
    """Return a picture without the place where it was taken.

    A JPEG or PNG picture is kept bit for bit, with its colour profile and the turn that shows it upright,
    and loses all else: place, time, names, thumbnails and remarks. A HEIC picture, and one that is cut off,
    cannot be taken apart so; their place is overwritten where it stands.
    """
    kind = kind_of_picture(content)
    try:
        if kind == "JPEG":
            return _clean_jpeg(content)
        if kind == "PNG":
            return _clean_png(content)
    except InputError:
        return _overwritten(content)
    return _overwritten(content) if kind == "HEIC" else content


def is_whole(content: bytes) -> bool:
    """Return whether a JPEG or PNG picture goes on to its end; of a HEIC picture nothing else is known."""
    kind = kind_of_picture(content)
    try:
        for _ in _segments(content) if kind == "JPEG" else _chunks(content) if kind == "PNG" else ():
            pass
    except InputError:
        return False
    return True


def _overwritten(content: bytes) -> bytes:
    """Return a file with zeros for the positions in its EXIF data and blanks for those in its XMP text."""
    cleaned = bytearray(content)
    for found in re.finditer(re.escape(_EXIF), content):
        start = found.end()
        for first, last in _position_bytes(content[start:]):
            cleaned[start + first : start + last] = bytes(last - first)
    return _XMP_POSITION.sub(lambda found: found[1] + b" " * len(found[2]) + found[3], bytes(cleaned))


def _position_bytes(exif: bytes) -> Iterator[tuple[int, int]]:
    """Yield from where to where the position stands in EXIF data: its directory and what that points to."""
    order = {b"II*\0": "<", b"MM\0*": ">"}.get(exif[:4])
    if order is None or len(exif) < 8:
        return
    (first,) = struct.unpack(order + "I", exif[4:8])
    at = _directory(exif, first, order).get(_GPS_POINTER)
    if not isinstance(at, int) or at + 2 > len(exif):
        return
    (count,) = struct.unpack(order + "H", exif[at : at + 2])
    for entry in range(at + 2, min(at + 2 + 12 * count, len(exif) - 11), 12):
        kind, size, offset = struct.unpack(order + "HII", exif[entry + 2 : entry + 12])
        length = size * _VALUE_BYTES.get(kind, 1)
        yield entry, entry + 12
        if length > 4 and offset + length <= len(exif):
            yield offset, offset + length


def taken_on(content: bytes) -> date | None:
    """Return the day on which a picture was taken, by its EXIF data; None where it does not say."""
    exif = _exif_of(content)
    if exif is None:
        return None
    tags = _tags(exif)
    for tag in (_ORIGINAL, _DIGITIZED, _DATE_TIME):
        if (day := _day(tags.get(tag))) is not None:
            return day
    return None


def _cut_off() -> InputError:
    return InputError("The picture is cut off or damaged. Take it again, or send it once more.")


def _segments(content: bytes) -> Iterator[tuple[int, bytes]]:
    """Yield each marker of a JPEG with its bytes; what follows a scan's header belongs to it."""
    at = 2
    while True:
        while content[at : at + 2] == b"\xff\xff":
            at += 1
        if content[at : at + 1] != b"\xff" or at + 2 > len(content):
            raise _cut_off()
        marker = content[at + 1]
        if marker == _END_OF_IMAGE:
            yield marker, content[at : at + 2]
            return
        end = at + 2 if marker in _BARE_MARKERS else at + 2 + _length(content, at + 2)
        if marker == _START_OF_SCAN:
            end = _end_of_scan(content, end)
        yield marker, content[at:end]
        at = end


def _length(content: bytes, at: int) -> int:
    if at + 2 > len(content):
        raise _cut_off()
    (length,) = struct.unpack(">H", content[at : at + 2])
    if length < 2 or at + length > len(content):
        raise _cut_off()
    return int(length)


def _end_of_scan(content: bytes, at: int) -> int:
    """Return where the next marker stands: an FF that is neither data (FF00) nor a restart (FFD0 to FFD7)."""
    found = re.compile(rb"\xff[^\x00\xd0-\xd7\xff]", re.S).search(content, at)
    if found is None:
        raise _cut_off()
    return found.start()


def _clean_jpeg(content: bytes) -> bytes:
    segments = list(_segments(content))
    kept = [
        segment
        for marker, segment in segments
        if marker not in _APPLICATION_OR_COMMENT
        or any(marker == kind and segment[4:].startswith(mark) for kind, mark in _KEPT_SEGMENTS)
    ]
    turn = _turn(content)
    if turn is not None:
        exif = _EXIF + turn
        # EXIF stands right after the JFIF header, where there is one.
        place = 1 if kept and kept[0][1] == 0xE0 else 0
        kept.insert(place, b"\xff\xe1" + struct.pack(">H", len(exif) + 2) + exif)
    return b"\xff\xd8" + b"".join(kept)


def _chunks(content: bytes) -> Iterator[tuple[bytes, bytes]]:
    """Yield the kind of each chunk of a PNG with its bytes, up to the end of the picture."""
    at = len(_PNG_MARK)
    kind = b""
    while kind != b"IEND":
        if at + 12 > len(content):
            raise _cut_off()
        length, kind = struct.unpack(">I4s", content[at : at + 8])
        end = at + 12 + length
        if end > len(content):
            raise _cut_off()
        yield kind, content[at:end]
        at = end


def _clean_png(content: bytes) -> bytes:
    kept = [chunk for kind, chunk in _chunks(content) if kind in _KEPT_CHUNKS]
    turn = _turn(content)
    if turn is not None:
        body = b"eXIf" + turn
        kept.insert(1, struct.pack(">I", len(turn)) + body + struct.pack(">I", zlib.crc32(body)))
    return _PNG_MARK + b"".join(kept)


def _turn(content: bytes) -> bytes | None:
    """Return EXIF data that hold nothing but the picture's turn, or None where it is upright."""
    exif = _exif_of(content)
    turn = _tags(exif).get(_ORIENTATION) if exif is not None else None
    if not isinstance(turn, int) or not _UPRIGHT < turn <= 8:
        return None
    return b"MM\0*" + struct.pack(">IHHHIHHI", 8, 1, _ORIENTATION, 3, 1, turn, 0, 0)


def _exif_of(content: bytes) -> bytes | None:
    """Return the EXIF data of a picture from their byte-order mark on, if it has any."""
    kind = kind_of_picture(content)
    try:
        if kind == "JPEG":
            for marker, segment in _segments(content):
                if marker == 0xE1 and segment[4:].startswith(_EXIF):
                    return segment[4 + len(_EXIF) :]
        elif kind == "PNG":
            return next((chunk[8:-4] for name, chunk in _chunks(content) if name == b"eXIf"), None)
        elif kind == "HEIC" and (at := content.find(_EXIF)) >= 0:
            return content[at + len(_EXIF) :]
    except InputError:
        return None
    return None


def _tags(exif: bytes) -> dict[int, int | bytes]:
    """Return the tags that we use, short numbers and texts, of the picture and of its camera part."""
    order = {b"II*\0": "<", b"MM\0*": ">"}.get(exif[:4])
    if order is None or len(exif) < 8:
        return {}
    (first,) = struct.unpack(order + "I", exif[4:8])
    tags = _directory(exif, first, order)
    pointer = tags.get(_EXIF_POINTER)
    return tags | (_directory(exif, pointer, order) if isinstance(pointer, int) else {})


def _directory(exif: bytes, at: int, order: str) -> dict[int, int | bytes]:
    """Return the tags of one directory; one that reaches beyond the data ends there."""
    tags: dict[int, int | bytes] = {}
    if at + 2 > len(exif):
        return tags
    (count,) = struct.unpack(order + "H", exif[at : at + 2])
    for start in range(at + 2, min(at + 2 + 12 * count, len(exif) - 11), 12):
        tag, kind, size = struct.unpack(order + "HHI", exif[start : start + 8])
        value = exif[start + 8 : start + 12]
        if kind == 3:
            tags[tag] = struct.unpack(order + "H", value[:2])[0]
        elif kind == 4:
            tags[tag] = struct.unpack(order + "I", value)[0]
        elif kind == 2:
            offset = struct.unpack(order + "I", value)[0]
            tags[tag] = value[:size] if size <= 4 else exif[offset : offset + size]
    return tags


def _day(text: int | bytes | None) -> date | None:
    found = _DAY.match(text) if isinstance(text, bytes) else None
    if found is None:
        return None
    try:
        return date(*(int(part) for part in found.groups()))
    except ValueError:
        return None
