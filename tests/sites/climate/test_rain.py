"""Rain. Dry spell: ETCCDI index CDD (Zhang et al. 2011). Water balance: FAO-56, eq. 85; figures computed by
hand."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from sites.climate import longest_dry_spell, rain_total, water_balance
from sites.climate.rain import longest_run


@pytest.mark.parametrize(
    ("rain", "days"),
    [([0, 0.9, 0, 1.0, 0], 3), ([5, 5], 0), ([0, 0], 2), ([1, 0, 0, 0, 1, 0, 0], 3), ([], 0)],
)
def test_a_dry_spell_ends_with_one_millimetre(rain, days):
    assert longest_dry_spell(np.array(rain, dtype=float)) == days


def test_dry_spells_of_many_gardens():
    assert longest_dry_spell([[0.0, 0.0, 9.0], [9.0, 0.0, 9.0]]).tolist() == [2, 1]


def test_a_missing_day_is_neither_dry_nor_nothing():
    assert np.isnan(longest_dry_spell([0.0, np.nan, 0.0]))
    assert np.isnan(rain_total([1.0, np.nan]))
    assert rain_total([1.0, 25.4]) == pytest.approx(26.4)


@given(arrays(bool, st.tuples(st.integers(1, 4), st.integers(1, 30))))
def test_the_longest_run_equals_one_found_letter_by_letter(condition):
    by_letter = [
        max(map(len, "".join("x" if each else " " for each in row).split()), default=0) for row in condition
    ]
    assert longest_run(condition).tolist() == by_letter


def test_a_full_soil_dries_and_drains_as_by_hand():
    balance = water_balance(rain_mm=[0, 0, 30, 0], reference_et_mm=[6, 6, 5, 7], available_mm=20)
    assert balance.depletion_mm.tolist() == [6, 12, 0, 7]
    assert balance.drained_mm == pytest.approx(13)
    assert balance.short_days == 1


def test_a_soil_gives_no_more_than_it_has():
    balance = water_balance([0, 0, 0], [15, 15, 15], 20)
    assert balance.depletion_mm.tolist() == [15, 20, 20]
    assert balance.short_days == 3


@given(arrays(float, (3, 20), elements=st.floats(0, 60)), arrays(float, (3, 20), elements=st.floats(0, 12)))
def test_no_water_is_made_or_lost_while_the_soil_is_not_dry(rain, loss):
    balance = water_balance(rain, loss, 1e6)
    assert balance.depletion_mm[:, -1] == pytest.approx(
        (loss - rain).sum(axis=1) + balance.drained_mm, abs=1e-6
    )


def test_a_missing_day_or_an_unknown_soil_leaves_the_count_missing():
    assert np.isnan(water_balance([0, np.nan, 0], [1, 1, 1], 20).short_days)
    assert np.isnan(water_balance([0.0, 0.0], [1.0, 1.0], np.nan).short_days)
