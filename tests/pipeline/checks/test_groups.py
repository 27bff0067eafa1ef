"""Findings with one cause are one thing to mend; a few questions come first and the rest are counted."""

import pytest

from pipeline.checks.groups import FIRST_QUESTIONS, group, heading

HEADER = "site,plot,date,good fruits,weight (lb)\n"


def groups_of(judged, context, rows, header=HEADER):
    return group(judged(context, header + "".join(f"{row}\n" for row in rows)).findings)


def test_rows_with_one_cause_are_taken_together(context, judged):
    rows = [f"G01,{at % 4 + 1},2024-07-{at // 4 + 1:02},4,many" for at in range(12)]
    (only,) = groups_of(judged, context, rows)
    assert (only.check, only.column, only.level, only.n) == (
        "number-unreadable",
        "marketable_weight",
        "held",
        12,
    )
    assert [finding["line"] for finding in only.findings] == [2, 3, 4, 5, 6]


def test_one_unknown_word_in_many_rows_is_one_cause_and_another_word_is_another(context, judged):
    rows = ["Qx,1,2024-07-01,4,3", "QX,2,2024-07-01,4,3", "Zzz,1,2024-07-01,4,3"]
    found = groups_of(judged, context, rows)
    assert [(one.cause, one.n) for one in found] == [("Qx", 2), ("Zzz", 1)]


def test_rows_that_wait_come_before_questions_and_questions_before_notes(context, judged):
    rows = [
        "G01,1,2024-07-01,4,2 lb 3 oz",
        "G01,2,2024-07-01,4,",
        "G01,3,2024-07-01,4,",
        "G01,4,2024-07-01,4,-3",
    ]
    assert [one.level for one in groups_of(judged, context, rows)] == ["held", "question", "note"]


def test_a_question_about_the_whole_file_comes_before_those_about_rows(context, judged):
    header = "site,plot,date,good fruits,weight\n"
    rows = ["G01,1,2024-07-01,4,3", "G01,2,2024-07-01,4,", "G01,3,2024-07-01,4,"]
    found = groups_of(judged, context, rows, header)
    assert [one.check for one in found] == ["weight-no-unit", "weight-blank"]


def test_at_most_five_questions_are_first_and_notes_never(context, judged):
    rows = [f"Q{letter},1,2024-07-01,4,3" for letter in "abcdefgh"] + ["G01,1,2024-07-01,4,2 lb 3 oz"]
    found = groups_of(judged, context, rows)
    assert [one.is_first for one in found] == [True] * FIRST_QUESTIONS + [False] * 4


def test_two_rows_about_one_picking_are_one_question_that_names_both_lines(context, judged):
    rows = ["G01,1,2024-07-01,4,3", "G01,2,2024-07-01,4,3", "G01,1,2024-07-01,5,3.6"]
    (only,) = groups_of(judged, context, rows)
    assert (only.check, only.n, [finding["line"] for finding in only.findings]) == (
        "picking-twice-in-file",
        1,
        [2],
    )
    assert '"other":4' in only.findings[0]["details"]


def test_no_findings_make_no_groups(context, judged):
    assert groups_of(judged, context, ["G01,1,2024-07-01,4,3"]) == []


@pytest.mark.parametrize(
    ("language", "count", "text"),
    [
        ("en", 7, "marketable weight: 7 rows, the first 5 are below."),
        ("en", 3, "marketable weight: 3 rows, shown below."),
        ("es", 7, "peso de buenos: 7 filas; abajo están las primeras 5."),
    ],
)
def test_a_group_says_what_its_findings_share(context, judged, language, count, text):
    rows = [f"G01,{at % 4 + 1},2024-07-{at // 4 + 1:02},4,many" for at in range(count)]
    (only,) = groups_of(judged, context, rows)
    assert heading(only, language) == text
