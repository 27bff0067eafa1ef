"""What the plots of a garden gave, adding up: held against a running sum by pandas."""

from datetime import datetime

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboard.plot_curves import plot_curves

PLANTED = {
    "1": {"label": "own-root plants", "order": 0, "plants": 8.0},
    "2": {"label": "grafted plants", "order": 1, "plants": 7.0},
}
PICKINGS = st.lists(
    st.tuples(
        st.sampled_from(["1", "2", "9"]),
        st.datetimes(datetime(2025, 7, 1), datetime(2025, 8, 1)).map(
            lambda when: when.replace(hour=0, minute=0, second=0, microsecond=0)
        ),
        st.integers(0, 9000).map(lambda grams: grams / 1000),
    ),
    min_size=1,
    max_size=30,
)


@given(PICKINGS)
def test_totals_are_the_running_sum_of_the_pickings_per_plant(pickings):
    curves = plot_curves(pickings, PLANTED, 2.0)
    rows = pd.DataFrame(pickings, columns=["plot", "day", "kg"])
    known = rows[rows["plot"].isin(list(PLANTED))]
    daily = known.groupby(["plot", "day"])["kg"].sum().reset_index()
    per_plant = daily["kg"] * 2.0 / daily["plot"].map({"1": 8.0, "2": 7.0}).astype("float64")
    totals = per_plant.groupby(daily["plot"]).cumsum()
    assert [curve.plot for curve in curves] == sorted(set(known["plot"]))
    assert [day for curve in curves for day in curve.days] == daily["day"].tolist()
    assert [total for curve in curves for total in curve.totals] == pytest.approx(totals.tolist())


def test_plots_that_gave_the_same_stand_level_whatever_the_order_of_their_pickings():
    """In doubles 0.1 + 0.2 + 0.3 is another number than 0.3 + 0.2 + 0.1 (IEEE 754)."""
    days = [datetime(2025, 8, day) for day in (1, 2, 3)]
    first = [("1", day, kg) for day, kg in zip(days, (0.1, 0.2, 0.3), strict=True)]
    second = [("2", day, kg) for day, kg in zip(days, (0.3, 0.2, 0.1), strict=True)]
    planted = {plot: {"label": "", "order": 0, "plants": 1.0} for plot in "12"}
    one, other = plot_curves([*first, *second], planted, 1.0)
    assert one.end == other.end
