"""The row: places of names and columns along the axis."""

from itertools import pairwise

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize

from dashboard.figures.row import Row, around, columns, headed, name_places, row_over, spread, ticks

places = st.lists(st.floats(0, 100), min_size=1, max_size=12).map(sorted)


def gardens(count: int, state: str = "in step") -> pd.DataFrame:
    return pd.DataFrame(
        {
            "site": [f"G{index:02d}" for index in range(count)],
            "position_km": np.linspace(0, 600, count),
            "state": state,
        }
    )


@given(places, st.floats(0.1, 8))
def test_spread_labels_keep_their_order_and_do_not_overlap(wanted, size):
    placed = spread(wanted, [size] * len(wanted), -20, 120)
    assert all(np.diff(placed) >= size - 1e-9)
    assert min(placed) >= -20 - 1e-9
    assert max(placed) <= 120 + 1e-9


@given(places)
def test_labels_that_are_apart_already_stay_where_they_are(wanted):
    apart = [place + 10 * index for index, place in enumerate(wanted)]
    assert spread(apart, [10] * len(apart), -1, 1000) == pytest.approx(apart)


# Reference: the same least-squares problem handed to SciPy's general solver (SLSQP).
@pytest.mark.parametrize(
    ("wanted", "sizes"),
    [
        ([0, 1, 1.1, 5], [1, 1, 1, 1]),
        ([10, 10, 10], [2, 4, 6]),
        ([3, 9, 9.5, 9.6, 30], [5, 3, 3, 7, 2]),
    ],
)
def test_spread_labels_stray_as_little_as_a_general_solver_finds(wanted, sizes):
    gaps = [(a + b) / 2 for a, b in pairwise(sizes)]
    solved = minimize(
        lambda x: np.sum((x - wanted) ** 2),
        np.cumsum([0.0, *gaps]),
        constraints=[
            {"type": "ineq", "fun": lambda x, i=i, gap=gap: x[i + 1] - x[i] - gap}
            for i, gap in enumerate(gaps)
        ],
        options={"ftol": 1e-12, "maxiter": 500},
    )
    assert spread(wanted, sizes, -100, 100) == pytest.approx(solved.x, abs=1e-4)


def test_labels_without_room_are_squeezed_evenly():
    assert spread([1, 2, 3], [10, 10, 10], 0, 10) == [0, 5, 10]


def test_no_labels_need_no_places():
    assert spread([], [], 0, 1) == []


@pytest.mark.parametrize(
    ("low", "high", "about", "expected"),
    [
        (0, 658, 6, [0, 100, 200, 300, 400, 500, 600]),
        (-12, 52, 3, [0, 20, 40]),
        (1.5, 4.7, 3, [2, 3, 4]),
        (0, 0.9, 4, [0, 0.2, 0.4, 0.6, 0.8]),
        (5, 5, 3, [5]),
    ],
)
def test_ticks_are_round_numbers(low, high, about, expected):
    assert ticks(low, high, about) == expected


def test_the_row_shows_every_outline_and_every_garden_whole():
    outlines = pd.DataFrame({"x_km": [-5.776, 655.09], "y_km": [0.0, 0.0]})
    row = row_over(outlines, gardens(3))
    assert (row.low, row.high) == (-8, 658)
    assert row.ticks() == [0, 100, 200, 300, 400, 500, 600]


def test_a_row_without_places_still_has_a_length():
    assert row_over(pd.DataFrame({"x_km": [], "y_km": []}), gardens(0)).length > 0


@pytest.mark.parametrize("count", [1, 5, 24])
def test_columns_stand_inside_the_row_in_the_order_of_the_gardens(count):
    row = Row(-8, 658)
    for even in (False, True):
        at = columns(row, gardens(count), 1016, even=even)
        assert at == sorted(at)
        assert row.low < at[0]
        assert at[-1] < row.high


def test_columns_stand_where_the_ruler_writes_the_names():
    row, some = Row(-8, 658), gardens(20)
    assert columns(row, some, 1016, even=False) == name_places(
        list(some["position_km"]), list(some["site"]), row, 1016
    )


def test_columns_are_headed_by_all_names_or_by_the_chosen_one():
    assert len(headed(gardens(24)["site"].tolist(), None, 1016)) == 24
    assert headed(gardens(60)["site"].tolist(), "G10", 1016) == ["G10"]


@pytest.mark.parametrize(
    ("chosen", "first", "last"), [(None, "G00", "G09"), ("G30", "G25", "G34"), ("G59", "G50", "G59")]
)
def test_a_figure_of_a_long_row_shows_the_neighbours_of_the_chosen_garden(chosen, first, last):
    shown = around(gardens(60), chosen, 10)["site"].tolist()
    assert (shown[0], shown[-1], len(shown)) == (first, last, 10)
