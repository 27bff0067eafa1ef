"""The coverage benchmark, small: that it runs and that the defaults hold what they promise."""

import numpy as np
import pytest

from tests.benchmarks.bench_coverage import Cell, cells, run


@pytest.mark.parametrize("cell", [Cell(10, 3, 0.1), Cell(20, 2, 0.3, uneven=True)])
def test_mean_slope_and_new_garden_are_held_about_as_often_as_said(cell):
    found = run(cell, 400, np.random.SeedSequence(1))
    assert found["mean ours"] == pytest.approx(95, abs=3.5)
    assert found["slope ours"] == pytest.approx(95, abs=3.5)
    assert 92 <= found["new ours"] <= 98


def test_the_grid_is_complete_and_a_fifth_of_it_is_run_again_uneven():
    grid = cells()
    even = {(cell.gardens, cell.blocks, cell.tau) for cell in grid if not cell.uneven}
    uneven = {(cell.gardens, cell.blocks, cell.tau) for cell in grid if cell.uneven}
    assert len(even) == 4 * 3 * 3
    assert uneven < even
    assert len(uneven) == pytest.approx(len(even) / 5, abs=1)
