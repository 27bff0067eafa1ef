"""Checks of what only a reader of files can tell: they ask where it gives the flag, else they are silent."""

from dataclasses import replace
from datetime import date

import polars as pl
import pytest

from pipeline.checks import judge as judging
from pipeline.checks.catalogue import CATALOGUE
from pipeline.checks.judge import judge
from pipeline.intake.tables import SentFile
from pipeline.settings import Settings

TEXT = "site,plot,date,good fruits,weight (lb)\nG01,1,2024-07-01,4,3.2\nG01,2,2024-08-07,5,4.0\n"


@pytest.fixture
def flagged(context, monkeypatch):
    """Judge two sound rows to which a reader has added flags."""

    def flagged(**columns):
        unflagged = judging.judge_rows

        def with_flags(typed, *others):
            return unflagged({"harvest": typed["harvest"].with_columns(**columns)}, *others)

        monkeypatch.setattr(judging, "judge_rows", with_flags)
        found = judge([SentFile("a.csv", TEXT.encode())], context, Settings(), CATALOGUE).findings
        return [(row["line"], row["check"], row["level"]) for row in found.to_dicts()]

    return flagged


def test_without_flags_nothing_is_asked(flagged):
    assert flagged() == []


@pytest.mark.parametrize(
    ("columns", "expected"),
    [
        ({"is_too_wide": pl.Series([True, False])}, [(2, "row-too-wide", "held")]),
        ({"twice_marketable_weight": pl.Series([None, "7"])}, [(3, "column-twice", "held")]),
        ({"has_no_result_marketable_count": pl.Series([False, True])}, [(3, "formula-no-result", "held")]),
        (
            {"file_order": pl.lit("dmy"), "usual_order": pl.lit("mdy")},
            [(2, "dates-other-order", "question")],
        ),
        ({"file_order": pl.lit("mdy"), "usual_order": pl.lit("mdy")}, []),
        (
            {
                "is_order_mixed": pl.lit(value=True),
                "other_date": pl.Series([None, date(2024, 7, 8)], dtype=pl.Date),
            },
            [(3, "date-two-ways", "question")],
        ),
        (
            {
                "settled_date": pl.Series([None, "season"]),
                "other_date": pl.Series([None, date(2024, 1, 8)], dtype=pl.Date),
            },
            [(3, "date-other-way", "note")],
        ),
    ],
)
def test_a_flag_of_the_reader_is_asked_about(flagged, columns, expected):
    assert flagged(**columns) == expected


def test_rows_of_another_garden_than_the_sender_s_are_held(context):
    sent = replace(SentFile("a.csv", TEXT.encode()), gardens=("G02",))
    found = judge([sent], context, Settings(), CATALOGUE).findings
    assert found["check"].unique().to_list() == ["rows-of-other-garden"]
    mine = replace(sent, gardens=("G01", "G02"))
    assert judge([mine], context, Settings(), CATALOGUE).findings.is_empty()
