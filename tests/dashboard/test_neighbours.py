"""The rows shown beside the one in question."""

from datetime import date

import pandas as pd

from dashboard.pages.neighbours import BEFORE_AND_AFTER, MOST_ROWS, near
from dashboard.records import records


def picking(row_id: int, plot: str, day: str | None, line: int | None = None) -> dict:
    on = None if day is None else date(2025, 7, int(day))
    return {"row_id": row_id, "plot": plot, "date": on, "line": row_id if line is None else line}


def asked(row_id: int, day: str | None = "20", plot: str = "3") -> dict:
    return {"row": row_id, "plot": plot, "date": pd.NaT if day is None else pd.Timestamp(f"2025-07-{day}")}


def test_a_row_stands_between_the_pickings_of_its_plot_before_and_after_it():
    rows = [picking(day, "3", str(day)) for day in range(10, 30)]
    shown = [row["row_id"] for row in near(rows, asked(20))]
    assert shown == list(range(20 - BEFORE_AND_AFTER, 20 + BEFORE_AND_AFTER + 1))


def test_other_plots_are_shown_on_its_day_alone_and_in_their_order():
    rows = [picking(1, "3", "20"), picking(2, "5", "20"), picking(3, "1", "20"), picking(4, "1", "19")]
    assert [row["row_id"] for row in near(rows, asked(1))] == [3, 1, 2]


def test_without_a_day_the_rows_around_it_in_the_file_are_shown():
    rows = [picking(number, "3", None) for number in range(1, 12)]
    shown = [row["row_id"] for row in near(rows, asked(6, None))]
    assert shown == list(range(6 - BEFORE_AND_AFTER, 6 + BEFORE_AND_AFTER + 1))


def test_a_row_whose_own_day_is_missing_stands_last_beside_those_of_the_likely_day():
    rows = [picking(1, "3", None), picking(2, "3", "19"), picking(3, "3", "21")]
    assert [row["row_id"] for row in near(rows, asked(1))] == [2, 3, 1]


def test_no_more_rows_are_shown_than_can_be_looked_over():
    rows = [picking(1, "3", "20"), *(picking(number, str(number), "20") for number in range(100, 140))]
    assert len(near(rows, asked(1))) == MOST_ROWS


def test_records_are_those_of_pandas_for_every_kind_of_column():
    rows = pd.DataFrame(
        {
            "text": pd.Series(["a", None], dtype="str"),
            "whole": pd.array([1, None], dtype="Int64"),
            "number": [1.5, float("nan")],
            "day": pd.to_datetime(["2025-07-01", None]),
            "flag": [True, False],
            "known": pd.array([True, None], dtype="boolean"),
        }
    )
    told, expected = records(rows), rows.to_dict("records")
    assert repr(told) == repr(expected)
    assert [type(value) for row in told for value in row.values()] == [
        type(value) for row in expected for value in row.values()
    ]
