"""A blank sheet is read back as what it is, holds the garden's own plots, and counts as blank."""

import pytest

from dashboard.sending.blank_sheet import OF_PLOTS, Garden, blank_sheet
from dashboard.sending.writing import csv_bytes, workbook_bytes
from pipeline.intake.header import Header, read_header
from pipeline.intake.sheets import sheets
from pipeline.intake.tables import SentFile

GARDEN = Garden("K01", ("1", "2", "9", "10"), ("A", "B"))
EVERY = [(sheet, language) for sheet in sheets() for language in ("en", "es")]


@pytest.mark.parametrize(("sheet", "language"), EVERY)
def test_every_heading_is_read_as_its_own_column(sheet, language):
    header = read_header(blank_sheet(sheet, GARDEN, language, "lb").rows[0])
    assert isinstance(header, Header)
    assert (header.sheet, header.unknown, header.twice) == (sheet, {}, {})
    assert set(sheets()[sheet].required) <= set(header.columns.values())


@pytest.mark.parametrize(("sheet", "language"), EVERY)
def test_a_blank_sheet_that_comes_back_untouched_holds_no_row(gate, sheet, language):
    content = csv_bytes(blank_sheet(sheet, GARDEN, language, "lb"))
    told = gate.told_of(SentFile("blank.csv", content, ("K01",)))
    assert told.rows == 0
    assert told.judged.findings["check"].to_list() == ["file-header-only"]


@pytest.mark.parametrize("sheet", OF_PLOTS)
def test_the_gardens_own_plots_are_filled_in(sheet):
    rows = blank_sheet(sheet, GARDEN).rows
    at = read_header(rows[0]).columns
    plot = next(place for place, name in at.items() if name == "plot")
    assert [row[plot] for row in rows[1:]] == ["1", "2", "9", "10"]


def test_a_filled_in_harvest_sheet_is_taken_whole(gate):
    grid = blank_sheet("harvest", gate.garden("K02"), "es", "lb")
    at = {name: place for place, name in read_header(grid.rows[0]).columns.items()}
    for row in grid.rows[1:]:
        row[at["date"]], row[at["marketable_count"]], row[at["marketable_weight"]] = "2025-08-12", "8", "3.2"
    for content in (csv_bytes(grid), workbook_bytes([grid], frozen_rows=1)):
        told = gate.told_of(SentFile("cosecha", content, ("K02",)))
        assert (told.rows, told.held) == (4, 0)
        assert told.judged.rows["harvest"]["marketable_weight"][0] == pytest.approx(3.2 * 0.45359237)


def test_plots_stand_as_people_count_them(gate):
    assert gate.garden("K01").plots == ("1", "2", "9", "10")
