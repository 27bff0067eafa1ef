"""Limits for several looks spend one error rate, little at first and most at the end."""

import numpy as np
import pytest
from scipy import stats

from pipeline.response.spending import spending_limits, spent
from sites.errors import InputError


@pytest.mark.parametrize(
    ("looks", "limits"),
    [
        (2, (2.9626, 1.9686)),
        (3, (3.7103, 2.5114, 1.9930)),
        (5, (4.8769, 3.3569, 2.6803, 2.2898, 2.0310)),
    ],
)
def test_limits_for_equal_looks_are_the_printed_ones(looks, limits):
    # Lan & DeMets 1983, Biometrika 70:659, spending of O'Brien and Fleming's kind, two-sided 5 %, as tables
    # of group-sequential limits print them; from memory.
    found = spending_limits(np.arange(1, looks + 1) / looks)
    np.testing.assert_allclose(found, limits, atol=1e-3)


def test_one_look_at_the_end_has_the_usual_limit():
    assert spending_limits([1.0])[0] == pytest.approx(stats.norm.isf(0.025), abs=1e-8)


def test_all_of_the_error_rate_is_spent_at_the_end():
    assert spent([0.3, 0.7, 1.0], 0.04)[-1] == pytest.approx(0.04)


def test_random_walks_pass_a_limit_as_often_as_was_spent():
    information = np.array([0.4, 0.7, 1.0])
    steps = np.random.default_rng(5).standard_normal((200_000, 3)) * np.sqrt(np.diff(information, prepend=0))
    z = np.cumsum(steps, axis=1) / np.sqrt(information)
    passed = np.maximum.accumulate(np.abs(z) > spending_limits(information), axis=1).mean(axis=0)
    np.testing.assert_allclose(passed, spent(information), atol=4 * np.sqrt(0.05 * 0.95 / 200_000))


@pytest.mark.parametrize("shares", [[], [0.0, 1.0], [0.5, 0.4], [0.5, 1.1]])
def test_shares_that_do_not_rise_are_refused(shares):
    with pytest.raises(InputError, match="must rise"):
        spending_limits(shares)
