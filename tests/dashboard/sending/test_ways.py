"""Each way to mend a sheet settles what it is offered for, by the same checks that asked."""

import pytest

from dashboard.sending.chosen import read, with_answer, without, written
from dashboard.sending.told import Answer, Told, answer_to, corrected_file
from dashboard.sending.ways import RIGHT, TYPED, Reader, ways
from pipeline.intake.tables import SentFile

READER = Reader("en", "us", "K01", ("1", "2", "9", "10"))
HEADER = "site,plot,date,count,weight,unit\n"
GOOD = HEADER + "".join(
    f"K01,{plot},2025-{month:02}-{day:02},8,{weight},lb\n"
    for month, day in ((7, 20), (7, 27), (8, 3), (8, 10))
    for plot, weight in ((1, 3.2), (2, 3.6), (9, 3.4), (10, 3.0))
)


def told(gate, text: str) -> Told:
    return gate.told_of(SentFile("sheet.csv", text.encode(), ("K01",)))


def settled(gate, text: str, check: str, way: str, typed: str = "") -> Told:
    """Return what is found in the sheet after a finding was answered."""
    before = told(gate, text)
    one = next(group for group in before.groups if group.check == check)
    answers = [answer_to(one, one.findings[0], way, typed)]
    return gate.told_of(corrected_file(before, answers, READER))


#: A row that some check holds or asks about, the way that mends it, and what stands in the cell then.
CASES = [
    ("plot-unknown", "K01,3x,2025-08-12,8,3.2,lb", "9", "", "plot", "9"),
    ("plot-unknown", "K01,3x,2025-08-12,8,3.2,lb", TYPED, "10", "plot", "10"),
    ("site-unknown", "Hilltop,2,2025-08-12,8,3.2,lb", "1", "", "site", "K01"),
    ("weight-unit-slip", "K01,2,2025-08-12,8,1360,lb", "1", "", "marketable_weight", 1.36),
    ("date-unreadable", "K01,2,31/6/2025,8,3.2,lb", TYPED, "2025-06-30", "date", None),
    ("unit-unknown", "K01,2,2025-08-12,8,3.2,stone", "lb", "", "unit", "lb"),
    ("fruit-without-weight", "K01,2,2025-08-12,8,0,lb", "blank", "", "marketable_weight", None),
    ("number-unreadable", "K01,2,2025-08-12,8,lots,lb", TYPED, "3.5", "marketable_weight", 3.5 * 0.45359237),
    ("date-year-slip", "K01,2,2024-08-12,8,3.2,lb", "1", "", "date", None),
]


@pytest.mark.parametrize(("check", "row", "way", "typed", "column", "value"), CASES)
def test_the_way_that_is_offered_brings_the_row_in(gate, check, row, way, typed, column, value):
    text = HEADER + row + "\n"
    assert told(gate, text).held == 1
    after = settled(gate, text, check, way, typed)
    assert (after.rows, after.held) == (1, 0)
    cell = after.judged.rows["harvest"][column][0]
    if column != "date":
        assert cell == (pytest.approx(value) if isinstance(value, float) else value)


def test_a_unit_that_is_told_for_the_sheet_is_written_in_every_row(gate):
    text = GOOD.replace(",lb\n", ",\n")
    after = settled(gate, text, "weight-no-unit", "kg")
    weights = after.judged.rows["harvest"]["marketable_weight"]
    assert weights[0] == pytest.approx(3.2)
    assert "weight-no-unit" not in after.judged.findings["check"].to_list()


def test_columns_that_are_switched_back_are_read_as_usual(gate):
    text = GOOD.replace("count,weight", "weight,count")
    assert "columns-swapped" in told(gate, text).judged.findings["check"].to_list()
    after = settled(gate, text, "columns-swapped", "switch")
    assert after.judged.rows["harvest"]["marketable_count"].to_list() == [8.0] * 16


def test_it_is_right_changes_nothing(gate):
    text = HEADER + "K01,2,2025-08-12,8,1360,lb\n"
    before = told(gate, text)
    one = next(group for group in before.groups if group.check == "weight-unit-slip")
    again = corrected_file(before, [answer_to(one, one.findings[0], RIGHT)], READER)
    assert again.content.decode("utf-8-sig").splitlines() == text.splitlines()


def test_one_answer_settles_all_rows_with_its_cause(gate):
    text = HEADER + "".join(f"Hilltop,{plot},2025-08-12,8,3.2,lb\n" for plot in (1, 2, 9))
    before = told(gate, text)
    one = next(group for group in before.groups if group.check == "site-unknown")
    after = gate.told_of(corrected_file(before, [answer_to(one, None, "1")], READER))
    assert (one.n, after.held) == (3, 0)


def test_a_finding_that_no_button_can_help_with_has_none():
    finding = {"check": "file-damaged", "level": "held", "line": None, "column": None, "details": "{}"}
    assert ways(finding, READER) == []


@pytest.mark.parametrize("language", ["en", "es"])
def test_buttons_are_in_the_readers_language(gate, language):
    one = told(gate, HEADER + "K01,2,2025-08-12,8,3.2,stone\n").groups[0]
    labels = [way.label for way in ways(one.findings[0], Reader(language, "us", "K01", ()))]
    assert ("Libras (lb)" in labels) == (language == "es")


ANSWERS = [
    Answer("plot-unknown", "plot", 17, "9", cause="3x, ! tag"),
    Answer("date-unreadable", "date", 4, TYPED, "30/6, 2025!", tab="Hoja 1"),
]


def test_answers_in_an_address_are_read_as_they_were_written():
    assert read(written(ANSWERS)) == ANSWERS


def test_a_later_answer_takes_the_place_of_the_one_before():
    changed = Answer("plot-unknown", "plot", 17, "10", cause="3x, ! tag")
    assert with_answer(ANSWERS, changed) == [ANSWERS[1], changed]
    assert without(ANSWERS, changed) == [ANSWERS[1]]


@pytest.mark.parametrize("text", ["", ",,,", "a!b", "a!b!x!c!d!e!f", "!!!!!!"])
def test_what_is_no_answer_is_passed_over(text):
    assert read(text) == []
