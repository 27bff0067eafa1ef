"""A file is there whole or not at all."""

import os
import stat

import pytest

from sites.whole_files import put_whole


def test_a_file_takes_the_place_of_an_older_one(tmp_path):
    place = tmp_path / "gardens.csv"
    place.write_bytes(b"old and longer")
    put_whole(place, b"new")
    assert place.read_bytes() == b"new"
    assert os.listdir(tmp_path) == ["gardens.csv"]


def test_a_file_that_cannot_be_put_leaves_nothing_behind(tmp_path):
    taken = tmp_path / "folder"
    taken.mkdir()
    with pytest.raises(IsADirectoryError):
        put_whole(taken, b"new")
    assert os.listdir(tmp_path) == ["folder"]


def test_an_older_file_stays_when_writing_breaks_off(tmp_path, monkeypatch):
    place = tmp_path / "gardens.csv"
    place.write_bytes(b"old")

    def full(_: int) -> None:
        raise OSError("no space left")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(OSError, match="no space left"):
        put_whole(place, b"new")
    assert place.read_bytes() == b"old"
    assert os.listdir(tmp_path) == ["gardens.csv"]


def test_a_file_can_be_for_its_owner_alone(tmp_path):
    put_whole(tmp_path / "sheet", b"x", mode=0o600)
    assert stat.S_IMODE((tmp_path / "sheet").stat().st_mode) == 0o600
