"""Searches over sorted rows of a season give what looking at every row, plot and day gives."""

from datetime import date, timedelta

import numpy as np
import polars as pl
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays

from pipeline.checks.season.crossings import RANKED_PICKINGS, _single_turns, _table
from pipeline.checks.season.missing import DAYS_BESIDE, _is_near, _numbered
from pipeline.checks.season.rows import _in_order

DAY = st.dates(date(2023, 12, 25), date(2024, 1, 10))
AHEAD = arrays.arrays(np.float64, (1, 1, 9), elements=st.sampled_from([-1.0, 1.0, 0.0, np.nan]))


def walked(ahead):
    """Return whether a pair changes ranks exactly once, and on which day, walking through the days."""
    told = [(day, value > 0) for day, value in enumerate(ahead) if value > 0 or value < 0]
    turns = [at for at in range(1, len(told)) if told[at][1] != told[at - 1][1]]
    if len(turns) != 1 or not RANKED_PICKINGS <= turns[0] <= len(told) - RANKED_PICKINGS:
        return None
    return told[turns[0]][0]


@given(AHEAD)
def test_a_pair_turns_once_where_a_walk_through_the_days_says_so(ahead):
    turns_once, turn = _single_turns(ahead)
    assert (int(turn[0, 0]) if turns_once[0, 0] else None) == walked(ahead[0, 0])


@given(
    st.lists(st.tuples(st.integers(0, 2), st.integers(5, 9), DAY, st.sampled_from([0.5, 2.0])), min_size=1)
)
def test_every_value_stands_at_its_plot_and_day_and_several_as_their_mean(told):
    told.sort()
    rows = pl.DataFrame(told, schema=["garden_at", "plot_at", "date", "value"], orient="row")
    garden = rows["garden_at"].rle_id().to_numpy().astype(np.int64)
    table = _table(rows, garden)
    found = {}
    for at, plot, day in np.argwhere(~np.isnan(table.values)):
        when = date(1970, 1, 1) + timedelta(days=int(table.days[at, day]))
        found[int(at), int(table.plots[at, plot]), when] = table.values[at, plot, day]
    numbered = rows.with_columns(pl.Series("garden", garden))
    means = numbered.group_by("garden", "plot_at", "date").agg(pl.col("value").mean()).rows()
    assert found == {(at, plot, day): value for at, plot, day, value in means}


@given(st.lists(st.tuples(st.integers(0, 3), DAY), min_size=1), st.tuples(st.integers(0, 4), DAY))
def test_a_plot_is_picked_near_a_day_where_one_of_its_days_is(picked, asked):
    days = pl.DataFrame(picked, schema={"plot_at": pl.UInt32, "date": pl.Date}, orient="row")
    one = pl.DataFrame([asked], schema=days.schema, orient="row")
    numbers = [frame.select(_numbered("plot_at")).to_series() for frame in (one, days)]
    near = any(plot == asked[0] and abs((day - asked[1]).days) <= DAYS_BESIDE for plot, day in picked)
    assert _is_near(numbers[0], numbers[1].unique().sort()).to_list() == [near]


@given(
    st.lists(
        st.tuples(st.integers(0, 3), st.none() | DAY, st.none() | st.sampled_from([0.1, 0.2, 0.3])),
        min_size=1,
        max_size=12,
    )
)
def test_rows_lie_arm_by_arm_plot_by_plot_day_by_day_and_by_their_values(told):
    arms = {0: 7, 1: 3, 2: 7, 3: 3}
    rows = pl.DataFrame(
        [(at, 1, arms[plot], plot, day, kg) for at, (plot, day, kg) in enumerate(told)],
        schema={
            "row": pl.UInt32,
            "garden_at": pl.UInt32,
            "arm_at": pl.UInt32,
            "plot_at": pl.UInt32,
            "date": pl.Date,
            "kg": pl.Float64,
        },
        orient="row",
    )
    dated = pl.col("date").is_not_null()
    expected = rows.filter(dated).sort("arm_at", "plot_at", "date", "kg", "row", nulls_last=True)
    assert _in_order(rows, ["kg"]).filter(dated).equals(expected)
