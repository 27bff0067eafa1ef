import struct
import zlib

import pytest

from pipeline.nightly import run_night
from pipeline.paper import type_in
from pipeline.store.engine import open_store
from pipeline.store.pictures import waiting_pictures
from pipeline.store.read import counting_rows
from sites.errors import InputError

ROW = {"plot": "1", "date": "2024-08-01", "marketable_count": "3", "marketable_weight": "1 kg"}


def png() -> bytes:
    """Return a white picture of one point (PNG specification, third edition, 2025)."""

    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    head = chunk(b"IHDR", struct.pack(">IIBBBBB", 1, 1, 8, 0, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", zlib.compress(b"\0\xff")) + chunk(b"IEND", b"")


@pytest.fixture
def store(workspace):
    folder = workspace.inbox / "G01"
    folder.mkdir()
    (folder / "paper.png").write_bytes(png())
    run_night(workspace)
    engine = open_store(workspace.database_url)
    yield engine
    engine.dispose()


def waiting(store) -> list[int]:
    with store.connect() as connection:
        return waiting_pictures(connection)["upload_id"].tolist()


def test_what_is_typed_from_a_picture_counts_after_the_next_night(workspace, store):
    (upload,) = waiting(store)
    name = type_in(workspace, store, upload, "G01", [ROW, {}], "Ines", workspace.now())
    assert (workspace.inbox / "G01" / name).exists()
    assert waiting(store) == []

    run_night(workspace)

    with store.connect() as connection:
        rows = counting_rows(connection, "harvest")
    assert rows[["site", "plot", "marketable_weight", "file"]].to_numpy().tolist() == [
        ["G01", "1", 1.0, name]
    ]


@pytest.mark.parametrize(
    ("site", "rows", "said"),
    [
        ("G01", [{}], "at least one row"),
        ("", [ROW], "which garden"),
        ("G01", [ROW | {"date": " "}], "Row 1 needs its plot and its date"),
        ("../G01", [ROW], "no garden"),
    ],
)
def test_what_cannot_be_taken_leaves_the_picture_waiting(workspace, store, site, rows, said):
    (upload,) = waiting(store)
    with pytest.raises(InputError, match=said):
        type_in(workspace, store, upload, site, rows, "Ines", workspace.now())
    assert waiting(store) == [upload]
    assert not list(workspace.inbox.rglob("paper-*"))


def test_a_picture_is_typed_once(workspace, store):
    (upload,) = waiting(store)
    type_in(workspace, store, upload, "G01", [ROW], "Ines", workspace.now())
    with pytest.raises(InputError, match="does not wait"):
        type_in(workspace, store, upload, "G01", [ROW], "Ines", workspace.now())
