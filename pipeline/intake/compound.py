"""Compound files ([MS-CFB]), the container of .xls: one stream out of a file, and a plain file around one.

A file of this kind is a small file system. Its chains are followed only as far as the file has sectors, so
that a chain that bites its own tail ends, and nothing beyond the wanted stream is believed.
"""

import struct
from collections.abc import Iterator

_HEADER = struct.Struct("<30xH12xII8xI4xI4x436s")
_MARK = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_END, _FREE, _FAT = 0xFFFFFFFE, 0xFFFFFFFF, 0xFFFFFFFD
_ENTRY = 128
#: Streams below this many bytes lie in small sectors of 64 bytes.
_SMALL_STREAM, _SMALL_SECTOR = 4096, 64
#: The sector of a file that we write; large, so that the table of sectors stays short.
_SECTOR = 4096


class BrokenCompoundError(Exception):
    """The file system of a compound file does not hold together."""


class CompoundFile:
    """The streams of a compound file by name. Raises BrokenCompoundError where it does not hold together."""

    def __init__(self, content: bytes) -> None:
        if len(content) < 512:
            raise BrokenCompoundError
        shift, fat_count, directory, small_start, difat, inline = _HEADER.unpack(content[:512])
        if shift not in (9, 12):
            raise BrokenCompoundError
        self._content, self._size = content, 1 << shift
        self._most = len(content) // self._size + 1
        self._fat = self._table(self._fat_sectors(inline, difat, fat_count))
        self._entries = dict(self._read_entries(self._chain(directory)))
        self._small_fat = self._table(self._sectors(small_start)) if small_start not in (_END, _FREE) else ()
        root = next(((start, size) for kind, start, size in self._entries.values() if kind == 5), (_END, 0))
        self._small = self._chain(root[0])[: root[1]] if root[0] not in (_END, _FREE) else b""

    @property
    def names(self) -> frozenset[str]:
        """The names of all streams and storages."""
        return frozenset(self._entries)

    def stream(self, name: str) -> bytes:
        """Return the bytes of a stream."""
        kind, start, size = self._entries[name]
        if kind != 2:
            raise BrokenCompoundError
        if size >= _SMALL_STREAM:
            found = self._chain(start)[:size]
        else:
            sectors = self._follow(start, self._small_fat)
            found = b"".join(self._small[at * _SMALL_SECTOR : (at + 1) * _SMALL_SECTOR] for at in sectors)[
                :size
            ]
        if len(found) < size:
            raise BrokenCompoundError
        return found

    def _sector(self, at: int) -> bytes:
        return self._content[(at + 1) * self._size : (at + 2) * self._size]

    def _fat_sectors(self, inline: bytes, difat: int, count: int) -> list[int]:
        """Return the sectors of the table of sectors: 109 named in the header, the rest in a chain."""
        found = list(struct.unpack("<109I", inline))
        for _ in range(self._most):
            if difat in (_END, _FREE):
                break
            more = self._numbers(self._sector(difat))
            if not more:
                raise BrokenCompoundError
            found += more[:-1]
            difat = more[-1]
        return [at for at in found if at not in (_END, _FREE)][: min(count, self._most)]

    def _table(self, sectors: list[int]) -> tuple[int, ...]:
        return self._numbers(b"".join(self._sector(at) for at in sectors))

    @staticmethod
    def _numbers(content: bytes) -> tuple[int, ...]:
        count = len(content) // 4
        return struct.unpack(f"<{count}I", content[: 4 * count])

    def _sectors(self, start: int) -> list[int]:
        return list(self._follow(start, self._fat))

    def _follow(self, start: int, table: tuple[int, ...]) -> Iterator[int]:
        at = start
        for _ in range(len(table) + 1):
            if at == _END:
                return
            if at >= len(table):
                raise BrokenCompoundError
            yield at
            at = table[at]
        raise BrokenCompoundError

    def _chain(self, start: int) -> bytes:
        return b"".join(self._sector(at) for at in self._sectors(start))

    def _read_entries(self, directory: bytes) -> Iterator[tuple[str, tuple[int, int, int]]]:
        for at in range(0, len(directory) - _ENTRY + 1, _ENTRY):
            entry = directory[at : at + _ENTRY]
            length, kind = struct.unpack("<HB", entry[64:67])
            if kind in (1, 2, 5):
                name = entry[: max(0, min(length, 64) - 2)].decode("utf-16-le", errors="replace")
                start, size = struct.unpack("<II", entry[116:124])
                yield name, (kind, start, size)


def around(name: str, stream: bytes) -> bytes:
    """Return a plain compound file (version 4) that holds one stream."""
    padded = stream.ljust(_SMALL_STREAM, b"\0")
    count = -(-len(padded) // _SECTOR)
    fat_count = -(-(count + 2) // (_SECTOR // 4 - 1))
    first = fat_count + 1
    # The root owns the small sectors of a file. There are none, but readers look for a chain.
    chain = [*range(first + 1, first + count), _END, _END]
    fat = [*[_FAT] * fat_count, _END, *chain]
    fat += [_FREE] * (fat_count * _SECTOR // 4 - len(fat))
    header = struct.pack(
        "<8s16x5H6x9I",
        *(_MARK, 0x3E, 4, 0xFFFE, 12, 6),
        *(1, fat_count, fat_count, 0, _SMALL_STREAM, _END, 0, _END, 0),
    )
    inline = struct.pack("<109I", *range(fat_count), *[_FREE] * (109 - fat_count))
    entries = _entry("Root Entry", 5, first + count, 0, child=1) + _entry(name, 2, first, len(padded))
    return b"".join(
        [
            (header + inline).ljust(_SECTOR, b"\0"),
            struct.pack(f"<{len(fat)}I", *fat),
            entries.ljust(_SECTOR, b"\0"),
            padded.ljust((count + 1) * _SECTOR, b"\0"),
        ]
    )


def _entry(name: str, kind: int, start: int, size: int, child: int = _FREE) -> bytes:
    letters = name.encode("utf-16-le")
    return struct.pack(
        "<64sHBBIII16x4x8x8xIQ", letters, len(letters) + 2, kind, 1, _FREE, _FREE, child, start, size
    )
