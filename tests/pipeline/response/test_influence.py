import numpy as np
import pytest

from pipeline.response import influence
from pipeline.response.influence import coefficients_without
from pipeline.response.random_effects import random_effects
from pipeline.response.weighted_regression import fit


def network(gardens):
    random = np.random.default_rng(gardens)
    variance = random.gamma(3, 0.01, gardens) + 0.002
    effect = 0.2 + random.standard_normal(gardens) * np.sqrt(variance + 0.04)
    return effect, variance, np.vstack([np.ones(gardens), random.uniform(0, 600, gardens)])


def test_the_closed_form_is_the_fit_to_the_others_with_the_same_weights():
    """Cook & Weisberg 1982, Residuals and Influence in Regression."""
    effect, _, design = network(9)
    weight = np.random.default_rng(1).uniform(1, 9, 9)
    without = coefficients_without(effect, None, design, "reml", fit(effect, design, weight))
    for i in range(9):
        rest = np.arange(9) != i
        expected = fit(effect[rest], design[:, rest], weight[rest]).coefficient
        assert without[i] == pytest.approx(expected)


def test_in_a_large_network_keeping_the_variance_between_changes_next_to_nothing(monkeypatch):
    effect, variance, design = network(150)
    fitted = random_effects(effect, variance, design, "reml").fit
    anew = coefficients_without(effect, variance, design, "reml", fitted)
    monkeypatch.setattr(influence, "REFIT_UP_TO", 10)
    kept = coefficients_without(effect, variance, design, "reml", fitted)
    se = np.sqrt(np.diag(fitted.covariance))
    assert np.abs((kept - anew) / se).max() < 0.02
