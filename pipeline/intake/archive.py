"""ZIP archives opened with care: what they say of themselves is checked while they are unpacked.

An archive may lie about the size of what it holds, name one file twice, or hold the same bytes a thousand
times. So its parts are unpacked here, each only as far as the limit allows, and written into a plain archive
of their own; a reader of spreadsheets sees nothing else.
"""

import io
import struct
import zipfile
import zlib
from collections.abc import Callable

from pipeline.intake.tables import Limits, Refusal, too_large, too_many_bytes

#: Length of a local file header before its two strings (APPNOTE.TXT 6.3.10, 4.3.7).
_LOCAL_HEADER = 30
_LOCAL_MARK = b"PK\x03\x04"


def names(content: bytes) -> frozenset[str]:
    """Return the names of all parts of an archive; none where it cannot be opened."""
    return frozenset(member.filename for member in _members(content) or ())


def _members(content: bytes) -> list[zipfile.ZipInfo] | None:
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            return archive.infolist()
    except (zipfile.BadZipFile, NotImplementedError, ValueError, struct.error):
        return None


def unpack(content: bytes, limits: Limits, is_wanted: Callable[[str], bool]) -> dict[str, bytes] | Refusal:
    """Return the wanted parts of an archive by name, or why they cannot be had."""
    members = _members(content)
    if members is None:
        return Refusal("file-damaged")
    if len(members) > limits.most_members:
        return too_large(len(members), limits.most_members, "files")
    if any(member.flag_bits & 1 for member in members):
        return Refusal("file-locked")
    wanted = [member for member in members if is_wanted(member.filename)]
    if len({member.filename for member in wanted}) < len(wanted):
        return Refusal("file-damaged")
    said = sum(member.file_size for member in wanted)
    if said > limits.largest_unpacked_bytes:
        return too_many_bytes(said, limits.largest_unpacked_bytes)
    return _unpack_all(content, wanted, limits)


def _unpack_all(content: bytes, members: list[zipfile.ZipInfo], limits: Limits) -> dict[str, bytes] | Refusal:
    parts: dict[str, bytes] = {}
    left = limits.largest_unpacked_bytes
    for member in members:
        packed = _packed(content, member)
        part = None if packed is None else _unpack_one(packed, member.compress_type, left)
        if part is None or (len(part) <= left and zlib.crc32(part) != member.CRC):
            return Refusal("file-damaged")
        if len(part) > left:
            return too_many_bytes(
                limits.largest_unpacked_bytes + len(part) - left, limits.largest_unpacked_bytes
            )
        left -= len(part)
        parts[member.filename] = part
    return parts


def _packed(content: bytes, member: zipfile.ZipInfo) -> bytes | None:
    """Return the packed bytes of a part, or None where they are not where the archive says."""
    header = content[member.header_offset : member.header_offset + _LOCAL_HEADER]
    if len(header) < _LOCAL_HEADER or not header.startswith(_LOCAL_MARK):
        return None
    name_length, extra_length = struct.unpack("<HH", header[26:30])
    start = member.header_offset + _LOCAL_HEADER + name_length + extra_length
    packed = content[start : start + member.compress_size]
    return packed if len(packed) == member.compress_size else None


def _unpack_one(packed: bytes, method: int, most: int) -> bytes | None:
    """Return the part, cut one byte above `most`; None where it is broken or packed in an unusual way."""
    if method == zipfile.ZIP_STORED:
        return packed[: most + 1]
    if method != zipfile.ZIP_DEFLATED:
        return None
    inflate = zlib.decompressobj(-zlib.MAX_WBITS)
    try:
        part = inflate.decompress(packed, most + 1)
    except zlib.error:
        return None
    return part if inflate.eof or len(part) > most else None


def pack(parts: dict[str, bytes]) -> bytes:
    """Return a plain archive of the parts, nothing compressed."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as archive:
        for name, part in parts.items():
            archive.writestr(zipfile.ZipInfo(name), part)
    return out.getvalue()
