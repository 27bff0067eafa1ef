from itertools import permutations

import numpy as np
import pytest

from pipeline.response.permutation import ALL_SIGNS_UP_TO, permutation_test, sign_flip_test
from tests.reference import values
from tests.reference.groups import HELD


def network(seed, gardens, slope=0.0):
    random = np.random.default_rng(seed)
    covariates = random.uniform(-1, 1, (2, gardens))
    variance = random.gamma(3, 0.01, gardens) + 0.01
    effect = 0.2 + slope * covariates[0] + random.standard_normal(gardens) * np.sqrt(variance + 0.01)
    return effect, variance, covariates


def test_the_most_extreme_order_of_four_gardens_has_a_p_of_one_in_twelve():
    """Fisher 1935, The Design of Experiments: of 4! = 24 orders it and its mirror image are as steep."""
    found = permutation_test(
        np.array([0.1, 0.2, 0.3, 0.4]), np.full(4, 0.01), np.arange(4.0)[None], 0, "reml"
    )
    assert (found.p, found.orders, found.exact) == (pytest.approx(2 / 24), 24, True)


def test_with_equal_weights_it_is_the_permutation_test_of_the_correlation():
    """Counted here by trying all 720 orders of six gardens with numpy's own correlation."""
    effect, _, covariates = network(1, 6)
    observed = abs(np.corrcoef(covariates[0], effect)[0, 1])
    steep = [
        abs(np.corrcoef(order, effect)[0, 1]) >= observed - 1e-9 for order in permutations(covariates[0])
    ]
    found = permutation_test(effect, np.full(6, 0.02), covariates[:1], 0, "reml")
    assert found.p == pytest.approx(np.mean(steep))


def test_random_orders_come_near_the_exact_p(monkeypatch):
    effect, variance, covariates = network(2, 8, slope=0.2)
    exact = permutation_test(effect, variance, covariates[:1], 0, "reml")
    monkeypatch.setattr("pipeline.response.permutation.ALL_ORDERS_UP_TO", 3)
    random = permutation_test(effect, variance, covariates[:1], 0, "reml")
    assert exact.exact
    assert not random.exact
    assert random.orders == 9_999
    assert random.p == pytest.approx(exact.p, abs=0.02)


def test_the_same_data_give_the_same_p():
    effect, variance, covariates = network(3, 15)
    first, second = (permutation_test(effect, variance, covariates, 0, "reml") for _ in range(2))
    assert first == second


@pytest.mark.parametrize("count", [1, 2])
def test_where_there_is_no_gradient_small_p_are_as_rare_as_they_say(count):
    p = [
        permutation_test(effect, variance, covariates[:count], 0, "paule-mandel").p
        for effect, variance, covariates in (network(seed, 6) for seed in range(400))
    ]
    assert np.mean(np.array(p) <= 0.1) == pytest.approx(0.1, abs=0.04)


def test_a_second_covariate_that_carries_the_effect_leaves_nothing_to_the_first():
    random = np.random.default_rng(5)
    rain = random.uniform(-1, 1, 30)
    east = rain + 0.3 * random.standard_normal(30)
    effect = rain + 0.1 * random.standard_normal(30)
    both = np.array([east, rain])
    assert permutation_test(effect, np.full(30, 0.01), both[:1], 0, "reml").p < 0.01
    assert permutation_test(effect, np.full(30, 0.01), both, 0, "reml").p > 0.05
    assert permutation_test(effect, np.full(30, 0.01), both, 1, "reml").p < 0.01


def test_equal_effects_show_no_gradient():
    assert permutation_test(np.full(5, 0.3), np.full(5, 0.1), np.arange(5.0)[None], 0, "reml").p == 1


def test_without_any_error_known_gardens_count_the_same():
    effect, _, covariates = network(6, 7)
    unweighted = permutation_test(effect, None, covariates[:1], 0, "reml")
    assert unweighted.p == permutation_test(effect, np.full(7, 0.1), covariates[:1], 0, "reml").p


def test_exchanging_the_signs_of_darwins_pairs_agrees_with_fisher_and_r():
    """Fisher 1935, The Design of Experiments, ch. III: 863 of 32,768; values by R."""
    ((dataset, pattern),) = HELD["sign_flips"]
    pairs = values.data(dataset)
    found = sign_flip_test((pairs["cross"] - pairs["self"]).to_numpy())
    quantities = {
        "permutation.n_total": found.orders,
        "permutation.p_two_sided": found.p,
        "permutation.n_ge_one_sided": found.p * found.orders / 2,
    }
    assert values.compare(dataset, quantities, pattern) == []
    assert found.exact


@pytest.mark.parametrize(
    ("effect", "p"),
    [([0.3, 0.2], 0.5), ([0.0, 0.0, 0.0], 1.0), ([0.1] * 5, 2 / 2**5), ([0.2, -0.2], 1.0)],
)
def test_exchanging_signs_worked_by_hand(effect, p):
    assert sign_flip_test(np.array(effect)).p == pytest.approx(p)


def test_signs_are_exchanged_neither_in_one_garden_nor_in_many():
    assert sign_flip_test(np.array([0.3])) is None
    assert sign_flip_test(np.full(ALL_SIGNS_UP_TO, 0.1)) is not None
    assert sign_flip_test(np.full(ALL_SIGNS_UP_TO + 1, 0.1)) is None
