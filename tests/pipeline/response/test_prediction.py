import numpy as np
import pytest
from scipy import special

from pipeline.response.prediction import bootstrap_prediction, confidence_distribution, mixture_interval
from pipeline.response.random_effects import random_effects
from pipeline.response.weighted_regression import intercept_only


def model(effect, variance, design=None):
    design = intercept_only(np.shape(effect)[-1]) if design is None else design
    return random_effects(np.asarray(effect, float), np.asarray(variance, float), design, "reml")


def test_with_negligible_errors_it_is_the_classical_interval_for_one_more_observation():
    """mean +- t(k - 1) s sqrt(1 + 1/k), e.g. Snedecor & Cochran 1967, Statistical Methods, section 6.12."""
    effect = np.array([0.12, 0.45, 0.33, 0.61, 0.08, 0.27])
    low, high = bootstrap_prediction(
        confidence_distribution(model(effect, np.full(6, 1e-9))), np.ones((1, 1)), 0.95
    )
    margin = special.stdtrit(5, 0.975) * np.std(effect, ddof=1) * np.sqrt(1 + 1 / 6)
    assert [low, high] == pytest.approx([effect.mean() - margin, effect.mean() + margin], rel=1e-4)


def test_where_gardens_lie_closer_than_their_errors_it_is_the_t_interval_for_the_mean():
    """With equal variances and Q near 0 the mixture over quantiles of Q is Student's t, k - 1 degrees."""
    effect, variance = np.array([0.1, 0.1001, 0.0999, 0.1]), np.full(4, 25.0)
    low, high = bootstrap_prediction(confidence_distribution(model(effect, variance)), np.ones((1, 1)), 0.95)
    margin = special.stdtrit(3, 0.975) * np.std(effect, ddof=1) / 2
    assert [low, high] == pytest.approx([0.1 - margin, 0.1 + margin], abs=1e-5 * margin)


@pytest.mark.parametrize("apart", [0.0, 1e-15, 1e-8])
def test_gardens_that_agree_beyond_all_likelihood_still_get_an_interval(apart):
    effect = 0.3 + apart * np.random.default_rng(7).standard_normal(200)
    low, high = bootstrap_prediction(
        confidence_distribution(model(effect, np.ones(200))), np.ones((1, 1)), 0.95
    )
    assert [low[0], high[0]] == pytest.approx([0.3, 0.3], abs=apart + 1e-15)
    assert low[0] <= high[0]


def test_the_variances_follow_the_distribution_of_q_read_backwards():
    """The chi-square probability of Q is uniform up to its value a at 0: its mean is a^2 / 2 + a (1 - a)."""
    random = np.random.default_rng(1)
    variance = random.gamma(3, 0.01, 9) + 0.002
    fitted = model(random.standard_normal(9) * np.sqrt(variance + 0.01), variance)
    found, above_zero = confidence_distribution(fitted), special.chdtr(8, fitted.common.q)
    assert found.share.sum() == pytest.approx(1)
    assert found.share[found.tau2 > 0].sum() == pytest.approx(above_zero)
    expected = above_zero**2 / 2 + above_zero * (1 - above_zero)
    assert np.sum(found.share * special.chdtr(8, found.q)) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(("tau", "gardens"), [(0.1, 10), (0.1, 40), (0.3, 10), (0.3, 40)])
def test_it_holds_the_effect_in_a_new_garden_as_often_as_it_says(tau, gardens):
    random = np.random.default_rng(3)
    variance = random.uniform(0.02, 0.08, (800, gardens))
    effect = 0.2 + random.standard_normal((800, gardens)) * np.sqrt(variance + tau**2)
    low, high = bootstrap_prediction(confidence_distribution(model(effect, variance)), np.ones((1, 1)), 0.95)
    held = np.mean(special.ndtr((high - 0.2) / tau) - special.ndtr((low - 0.2) / tau))
    assert 0.92 <= held <= 0.98


def test_on_a_slope_the_interval_holds_the_effect_in_a_new_garden_at_a_place():
    random = np.random.default_rng(4)
    east = np.linspace(-1, 1, 12)
    design = np.vstack([np.ones(12), east])
    variance = random.uniform(0.02, 0.08, (800, 12))
    effect = 0.2 + 0.3 * east + random.standard_normal((800, 12)) * np.sqrt(variance + 0.04)
    found = confidence_distribution(model(effect, variance, design))
    low, high = bootstrap_prediction(found, np.array([[1.0, -0.8], [1.0, 0.5]]), 0.95)
    truth = np.array([0.2 - 0.24, 0.2 + 0.15])
    held = np.mean(special.ndtr((high - truth) / 0.2) - special.ndtr((low - truth) / 0.2), axis=0)
    assert held == pytest.approx([0.95, 0.95], abs=0.03)


def test_the_same_data_give_the_same_interval():
    effect, variance = [0.1, 0.4, 0.3, 0.7], [0.02, 0.03, 0.02, 0.05]
    first, second = (
        bootstrap_prediction(confidence_distribution(model(effect, variance)), np.ones((1, 1)), 0.95)
        for _ in range(2)
    )
    assert np.array_equal(first, second)


def test_a_mixture_of_one_normal_is_that_normal():
    low, high = mixture_interval(np.array([[1.0]]), np.array([[2.0]]), np.array([[3.0]]), 0.90)
    assert [low[0], high[0]] == pytest.approx([2 - 1.6448536 * 3, 2 + 1.6448536 * 3])


def test_a_mixture_of_two_far_apart_ends_in_the_tails_of_each():
    """Half at -100 and half at 100, sd 1: the 97.5 % point is the 95 % point of the upper half."""
    share, mean = np.array([[0.5], [0.5]]), np.array([[-100.0], [100.0]])
    low, high = mixture_interval(share, mean, np.ones((2, 1)), 0.95)
    assert [low[0], high[0]] == pytest.approx([-100 - 1.6448536, 100 + 1.6448536])
