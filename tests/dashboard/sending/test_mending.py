"""A corrected sheet differs from the sent one in what was mended and in nothing else."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboard.sending.mending import Edit, mended
from dashboard.sending.writing import csv_bytes, workbook_bytes
from pipeline.intake.reading import read_file
from pipeline.intake.tables import Limits, SentFile

LIMITS = Limits(1_000_000, 10_000_000, 5_000, 50)
SHEET = """Our pickings 2025

site,plot,date,count,weight,unit
K01,1,2025-08-12,8,3.2,lb

K01,2,2025-08-12,7,1360,
"""


def tables(text: str):
    return read_file(SentFile("sheet.csv", text.encode()), LIMITS).tables


def rows(text: str, *edits: Edit) -> list[list[str]]:
    return mended(tables(text), edits)[0].rows


def test_a_written_cell_changes_alone_and_every_row_keeps_its_line():
    found = rows(SHEET, Edit("write", "marketable_weight", "1360 g", line=6))
    assert found[2] == ["site", "plot", "date", "count", "weight", "unit"]
    assert found[3] == ["K01", "1", "2025-08-12", "8", "3.2", "lb"]
    assert found[5] == ["K01", "2", "2025-08-12", "7", "1360 g", ""]
    assert [bool(any(row)) for row in found] == [False, False, True, True, False, True]


def test_a_unit_for_all_is_written_only_where_the_row_names_none():
    found = rows(SHEET, Edit("write", "unit", "kg", only_blank=True))
    assert [found[3][5], found[5][5]] == ["lb", "kg"]


def test_a_column_that_the_sheet_lacks_is_added():
    text = "site,plot,date,weight\nK01,1,2025-08-12,3.2\n"
    found = rows(text, Edit("write", "unit", "lb", only_blank=True))
    assert found == [["site", "plot", "date", "weight", "unit"], ["K01", "1", "2025-08-12", "3.2", "lb"]]


def test_columns_are_switched_in_all_rows():
    text = "site,plot,date,count,weight\nK01,1,2025-08-12,3.2,8\nK01,2,2025-08-12,2.1,5\n"
    found = rows(text, Edit("switch", "marketable_weight", "marketable_count"))
    assert [row[3:] for row in found[1:]] == [["8", "3.2"], ["5", "2.1"]]


def test_a_row_that_is_taken_out_leaves_its_line_blank():
    found = rows(SHEET, Edit("take out", line=4))
    assert not any(found[3])
    assert found[5][1] == "2"


def test_parts_of_one_become_percents():
    text = "site,plot,date,severity\nK01,1,2025-08-12,0.25\nK01,2,2025-08-12,few\n"
    assert [row[3] for row in rows(text, Edit("times 100", "severity_pct"))[1:]] == ["25", "few"]


def test_a_unit_that_stood_on_its_own_line_moves_into_the_name():
    text = "site,plot,date,count,weight\n,,,,kg\nK01,1,2025-08-12,8,3.2\n"
    assert rows(text)[0][4] == "weight (kg)"


def test_an_edit_of_another_tab_changes_nothing():
    assert rows(SHEET, Edit("write", "plot", "9", line=4, tab="2024")) == rows(SHEET)


CELLS = st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cs")), max_size=12)


@given(st.lists(st.tuples(st.integers(1, 20), CELLS), min_size=1, max_size=12))
@pytest.mark.parametrize("write", [csv_bytes, lambda grid: workbook_bytes([grid])])
def test_a_sheet_without_edits_is_read_back_with_the_same_plots_and_weights(write, typed):
    lines = "\n".join(f"K01,{plot},2025-08-12,4,{plot}.5,lb" for plot, _ in typed)
    (grid,) = mended(tables(f"site,plot,date,count,weight,unit\n{lines}\n"), [])
    for row, (_, note) in zip(grid.rows[1:], typed, strict=True):
        row.append(note)
    again = read_file(SentFile("again", write(grid)), LIMITS).tables[0]
    assert [row[1] for row in again.rows] == [str(plot) for plot, _ in typed]
    assert [float(row[4]) for row in again.rows] == [plot + 0.5 for plot, _ in typed]


@pytest.mark.parametrize("cell", ["=1+1", "+1-800", "-x", "@sum(A1)", "\tx", "=HYPERLINK(1)"])
def test_no_cell_of_a_csv_is_run_as_a_formula(cell):
    """Cells that begin so are run by spreadsheets (OWASP, CSV injection)."""
    (grid,) = mended(tables(SHEET), [Edit("write", "note", cell, line=4)])
    written = csv_bytes(grid).decode("utf-8-sig").splitlines()[3]
    assert f"'{cell}" in written


def test_a_negative_number_stays_a_number():
    (grid,) = mended(tables(SHEET), [Edit("write", "marketable_weight", "-2.5", line=4)])
    assert ",-2.5," in csv_bytes(grid).decode("utf-8-sig")


def test_no_cell_of_a_workbook_is_a_formula():
    import io
    import zipfile

    (grid,) = mended(tables(SHEET), [Edit("write", "note", "=1+1", line=4)])
    with zipfile.ZipFile(io.BytesIO(workbook_bytes([grid]))) as book:
        assert b"<f>" not in book.read("xl/worksheets/sheet1.xml")
