import hashlib

import pytest

from pipeline.as_sent import line_as_sent


@pytest.fixture
def archive(tmp_path):
    def keep(content: bytes):
        digest = hashlib.sha256(content).hexdigest()
        (tmp_path / digest).write_bytes(content)
        return tmp_path, digest

    return keep


def test_a_line_is_shown_as_it_came_whatever_its_line_ends(archive):
    assert line_as_sent(*archive(b"site,plot\r\nG01, 7 \r\nG01,8\r\n"), 2) == "G01, 7 "


def test_a_quoted_cell_that_runs_over_lines_is_shown_whole(archive):
    folder, digest = archive(b'site,note\nG01,"hot.\npicked late"\nG01,\n')
    assert line_as_sent(folder, digest, 2) == 'G01,"hot.\npicked late"'


def test_a_quote_left_open_shows_its_own_line_only(archive):
    folder, digest = archive(b'site,note\nG01,3" rain\n' + b"G01,dry\n" * 40)
    assert line_as_sent(folder, digest, 2) == 'G01,3" rain'


def test_letters_of_an_old_encoding_are_read(archive):
    folder, digest = archive("site,note\nG01,mañana\n".encode("cp1252"))
    assert line_as_sent(folder, digest, 2) == "G01,mañana"


@pytest.mark.parametrize("line", [0, 9])
def test_a_line_that_the_file_does_not_have_is_nothing(archive, line):
    assert line_as_sent(*archive(b"site\nG01\n"), line) is None


def test_a_spreadsheet_has_no_lines_of_text(archive):
    assert line_as_sent(*archive(b"PK\x03\x04" + b"\0" * 40), 1) is None


def test_a_file_that_is_not_kept_has_no_lines(tmp_path):
    assert line_as_sent(tmp_path, "0" * 64, 1) is None
