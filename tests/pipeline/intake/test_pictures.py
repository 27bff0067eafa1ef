"""Pictures of paper records are kept without the place where they were taken.

EXIF data are laid out by CIPA DC-008 (4.6), JPEG segments by ITU-T T.81, PNG chunks by the PNG specification.
"""

import struct
import zlib
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.intake.pictures import is_whole, kind_of_picture, taken_on, without_position

#: 38° 53' 12.34" as three fractions: what must not be found in a cleaned picture.
PLACE = struct.pack("<6I", 38, 1, 53, 1, 1234, 100)
DAY = b"2024:08:20 07:15:00\0"


def exif(turn=6):
    """Return EXIF data with a turn, a day and a position, in little-endian order."""
    entries = [(0x0112, 3, 1, turn), (0x0132, 2, 20, 50), (0x8825, 4, 1, 70)]
    directory = struct.pack("<H", 3) + b"".join(struct.pack("<HHII", *entry) for entry in entries)
    head = b"II*\0" + struct.pack("<I", 8) + directory + bytes(4)
    position = struct.pack("<HHHII", 1, 0x0002, 5, 3, 88) + bytes(4)
    return head + DAY + position + PLACE


def jpeg(*segments, data=b"\x12\xff\x00\x34"):
    parts = [b"\xff" + bytes([marker]) + struct.pack(">H", len(body) + 2) + body for marker, body in segments]
    return b"\xff\xd8" + b"".join(parts) + b"\xff\xda\0\x02" + data + b"\xff\xd9"


def png(*chunks):
    body = b"".join(
        struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        for kind, data in (*chunks, (b"IEND", b""))
    )
    return b"\x89PNG\r\n\x1a\n" + body


def heic():
    return struct.pack(">I4s4s", 16, b"ftyp", b"heic") + bytes(20) + b"Exif\0\0" + exif() + b"pixels"


PICTURES = {
    "JPEG": jpeg((0xE0, b"JFIF\0\x01\x02"), (0xE1, b"Exif\0\0" + exif()), (0xFE, b"taken by someone")),
    "PNG": png((b"IHDR", bytes(13)), (b"eXIf", exif()), (b"tEXt", b"Author\0someone"), (b"IDAT", b"x")),
    "HEIC": heic(),
}


@pytest.mark.parametrize("kind", PICTURES)
def test_a_picture_is_known_by_its_first_bytes(kind):
    assert kind_of_picture(PICTURES[kind]) == kind


@pytest.mark.parametrize("kind", PICTURES)
def test_the_day_is_read_before_it_is_taken_away(kind):
    assert taken_on(PICTURES[kind]) == date(2024, 8, 20)


@pytest.mark.parametrize("kind", PICTURES)
def test_no_picture_keeps_the_place_where_it_was_taken(kind):
    assert PLACE in PICTURES[kind]
    assert PLACE not in without_position(PICTURES[kind])


@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_names_and_remarks_go_and_the_turn_stays(kind):
    cleaned = without_position(PICTURES[kind])
    assert b"someone" not in cleaned
    assert struct.pack(">HHI", 0x0112, 3, 1) + b"\0\x06" in cleaned


def test_the_picture_itself_is_kept_bit_for_bit():
    assert b"\xff\xda\0\x02\x12\xff\x00\x34\xff\xd9" in without_position(PICTURES["JPEG"])


def test_a_heic_picture_keeps_its_length_since_its_parts_point_at_each_other():
    cleaned = without_position(PICTURES["HEIC"])
    assert len(cleaned) == len(PICTURES["HEIC"])
    assert cleaned.endswith(b"pixels")


def test_a_position_in_words_is_blanked():
    picture = heic() + b'<x exif:GPSLatitude="38,53.2N"/><exif:GPSLongitude>97,36.1W</exif:GPSLongitude>'
    cleaned = without_position(picture)
    assert (b"38,53" in cleaned, b"97,36" in cleaned) == (False, False)


def test_a_picture_that_is_cut_off_loses_its_place_all_the_same():
    cut = PICTURES["JPEG"][:-8]
    assert not is_whole(cut)
    assert PLACE not in without_position(cut)


def test_cleaning_twice_changes_nothing_more():
    for picture in PICTURES.values():
        cleaned = without_position(picture)
        assert without_position(cleaned) == cleaned


@given(st.binary(max_size=300), st.sampled_from(sorted(PICTURES)), st.integers(0, 400))
def test_no_bytes_make_the_cleaning_fail(noise, kind, at):
    picture = PICTURES[kind][:at] + noise + PICTURES[kind][at:]
    assert isinstance(without_position(picture), bytes)
    taken_on(picture)
    is_whole(picture)
