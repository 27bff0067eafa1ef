"""Whatever a volunteer sends is read, or refused with a reason; lines are counted as a person counts them."""

import io

import pytest
import xlsxwriter
from hypothesis import given
from hypothesis import strategies as st

from pipeline.intake.batch import read_batch
from pipeline.intake.reading import read_file
from pipeline.intake.tables import Limits, SentFile

LIMITS = Limits(largest_bytes=1_000_000, largest_unpacked_bytes=5_000_000, most_rows=1000, most_columns=50)
SHEET = "site,plot,date,weight\nG01,1,2025-07-01,2\nG01,2,2025-07-01,3\n"


def read(content, limits=LIMITS):
    return read_batch([SentFile("sheet", content)], limits)


def lines_of(content):
    reading = read(content)
    assert reading.refusals == []
    (rows,) = reading.rows.values()
    return rows["line"].to_list()


def refusal_of(content, limits=LIMITS):
    reading = read(content, limits)
    assert reading.rows == {}
    ((_, refusal),) = reading.refusals
    return refusal.check


@pytest.mark.parametrize(
    "content",
    [
        SHEET.encode(),
        SHEET.encode("utf-8-sig"),
        SHEET.encode("utf-16"),
        SHEET.encode("utf-16-le"),
        SHEET.replace(",", ";").encode(),
        SHEET.replace(",", "\t").encode(),
        SHEET.replace(",", "|").encode(),
        SHEET.replace("\n", "\r\n").encode(),
        SHEET.replace("\n", "\r").encode(),
        SHEET.replace("G01", "Peña").encode("cp1252"),
    ],
    ids=["utf-8", "mark", "utf-16", "utf-16 bare", "semicolon", "tab", "pipe", "crlf", "cr", "windows-1252"],
)
def test_text_is_read_in_any_usual_form(content):
    assert lines_of(content) == [2, 3]


def test_a_sep_line_names_the_delimiter_and_counts():
    assert lines_of(b"sep=;\n" + SHEET.replace(",", ";").encode()) == [3, 4]


def test_titles_and_blank_lines_count():
    assert lines_of(b"Our harvest\n\n" + SHEET.replace("\nG01,2", "\n\n\nG01,2").encode()) == [4, 7]


def test_a_cell_with_line_breaks_counts_its_own_lines():
    text = 'site,plot,date,weight,note\nG01,1,2025-07-01,2,"hot\nand dry"\nG01,2,2025-07-01,3,\n'
    assert lines_of(text.encode()) == [2, 4]


def test_printed_rows_with_nothing_entered_are_no_rows():
    text = "site,plot,date,weight\nG01,1,,\nG01,2,2025-07-01,\nG01,3,2025-07-01,0\n"
    assert lines_of(text.encode()) == [4]


def test_a_repeated_header_is_no_row():
    assert lines_of((SHEET + SHEET).encode()) == [2, 3, 5, 6]


def workbook(tabs):
    out = io.BytesIO()
    with xlsxwriter.Workbook(out) as book:
        for name, rows in tabs.items():
            sheet = book.add_worksheet(name)
            for down, row in enumerate(rows):
                sheet.write_row(down, 0, row)
    return out.getvalue()


ROWS = [["site", "plot", "date", "weight"], ["G01", 1, "2025-07-01", 2.5]]


def test_every_tab_whose_header_is_known_is_read():
    content = workbook(
        {
            "read me": [["hello"]],
            "harvest": ROWS,
            "planting": [["site", "plot", "date", "plants"], ["G01", 1, "2025-05-20", 2]],
        }
    )
    reading = read_file(SentFile("book.xlsx", content), LIMITS)
    assert [(table.tab, table.header.sheet) for table in reading.tables] == [
        ("harvest", "harvest"),
        ("planting", "planting"),
    ]
    assert reading.refusals == []


def test_rows_of_a_spreadsheet_are_counted_with_those_above():
    assert lines_of(workbook({"h": [["title"], [], *ROWS]})) == [4]


def test_the_name_of_a_file_does_not_decide_what_it_is():
    assert read_file(SentFile("book.csv", workbook({"h": ROWS})), LIMITS).tables[0].header.sheet == "harvest"


@pytest.mark.parametrize(
    ("content", "check"),
    [
        (b"", "file-empty"),
        (b"\n \n,,\n", "file-empty"),
        (b"site,plot,date,weight\n", "file-header-only"),
        (b"hello,there\n1,2\n", "sheet-unknown"),
        (b"%PDF-1.7 ...", "file-kind-not-read"),
        (b"\xff\xd8\xff\xe0 JFIF", "file-damaged"),
        (b"<!DOCTYPE html><html>", "file-kind-not-read"),
        (b"PK\x03\x04 cut off", "file-damaged"),
        (workbook({"h": ROWS})[:-400], "file-damaged"),
        (b"x" * 1_000_001, "file-too-large"),
        (("site,plot,date,weight\n" + "G01,1,2025-07-01,2\n" * 1001).encode(), "file-too-large"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_a_file_without_rows_is_refused_with_the_reason(content, check):
    assert refusal_of(content) == check


def test_a_spreadsheet_that_would_unpack_too_large_is_refused_before_unpacking():
    tight = Limits(largest_bytes=1_000_000, largest_unpacked_bytes=1_000, most_rows=1000, most_columns=50)
    assert refusal_of(workbook({"h": ROWS}), tight) == "file-too-large"


@given(st.binary(max_size=400))
def test_no_bytes_break_the_reading(content):
    reading = read(content)
    assert reading.rows or reading.refusals
