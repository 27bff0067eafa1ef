"""Curves of what was picked, put together from the night's rows."""

import pandas as pd

from dashboard.harvest_curves import Curve, curves_of

ROWS = pd.DataFrame(
    {
        "site": ["A", "B", "A", "A"],
        "treatment": ["own", "own", "own", "graft"],
        "date": pd.to_datetime(["2025-08-08", "2025-08-01", "2025-08-01", "2025-08-15"]),
        "marketable_kg_per_plant": [1.5, 0.25, 0.5, 2.0],
    }
)


def test_a_curve_rises_by_day_whatever_the_order_of_the_rows():
    curves = curves_of(ROWS, pd.Timestamp("2025-08-01"))
    assert curves["A", "own"] == Curve((0, 7), (0.5, 1.5))


def test_every_garden_has_a_curve_for_each_treatment_that_it_picked():
    assert set(curves_of(ROWS, pd.Timestamp("2025-08-01"))) == {("A", "own"), ("A", "graft"), ("B", "own")}


def test_of_no_rows_there_are_no_curves():
    assert curves_of(ROWS.iloc[:0], pd.Timestamp("2025-08-01")) == {}


def test_rows_without_a_date_or_a_weight_are_left_out():
    lacking = ROWS.copy()
    lacking.loc[0, "marketable_kg_per_plant"] = float("nan")
    lacking.loc[3, "date"] = pd.NaT
    curves = curves_of(lacking, pd.Timestamp("2025-08-01"))
    assert curves == {("A", "own"): Curve((0,), (0.5,)), ("B", "own"): Curve((0,), (0.25,))}
