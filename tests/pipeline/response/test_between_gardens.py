import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.response.between_gardens import (
    estimate_tau2,
    fit_at,
    q_profile,
    reml_log_likelihood,
    tau2_at_q,
    tau2_reml,
)
from pipeline.response.weighted_regression import intercept_only

METHODS = ["reml", "paule-mandel", "dersimonian-laird"]


def network(seed, gardens=12, tau=0.2):
    random = np.random.default_rng(seed)
    variance = random.gamma(3, 0.01, gardens) + 0.002
    effect = 0.2 + random.standard_normal(gardens) * np.sqrt(variance + tau**2)
    return effect, variance, np.vstack([np.ones(gardens), random.uniform(-1, 1, gardens)])


@pytest.mark.parametrize("method", METHODS)
def test_with_equal_variances_every_method_gives_the_spread_minus_the_variance(method):
    """Then all three solve the same equation: sample variance of the effects = variance within + between."""
    effect = np.array([0.1, 0.5, 0.3, 0.9, -0.2])
    tau2 = estimate_tau2(effect, np.full(5, 0.02), intercept_only(5), method)
    assert tau2 == pytest.approx(np.var(effect, ddof=1) - 0.02, rel=1e-12)


@pytest.mark.parametrize("method", METHODS)
def test_gardens_closer_than_their_errors_have_no_variance_between(method):
    assert estimate_tau2(np.array([0.1, 0.11, 0.09]), np.full(3, 0.5), intercept_only(3), method) == 0


def test_the_highest_of_several_maxima_is_found():
    """Two precise gardens agree and two vague ones lie far off: the restricted likelihood has two maxima."""
    effect, variance = np.array([0.0, 0.02, 9.0, -9.0]), np.array([1e-3, 1e-3, 1.0, 1.0])
    grid = np.concatenate([[0], np.geomspace(1e-6, 1e4, 4_000)])
    heights = reml_log_likelihood(effect, variance, intercept_only(4), grid)
    slopes = np.sign(np.diff(heights))
    assert np.sum((slopes[:-1] > 0) & (slopes[1:] < 0)) + (slopes[0] < 0) == 2
    found = tau2_reml(effect, variance, intercept_only(4))
    assert reml_log_likelihood(effect, variance, intercept_only(4), found) >= heights.max()


@pytest.mark.parametrize("seed", range(30))
def test_no_point_of_a_fine_grid_is_likelier_than_the_reml_estimate(seed):
    random = np.random.default_rng(seed)
    gardens = int(random.integers(4, 12))
    variance = np.exp(random.normal(0, 3, gardens))
    effect = random.standard_t(1.5, gardens)
    design = np.vstack([np.ones(gardens), random.normal(size=gardens)])
    grid = np.concatenate([[0], np.geomspace(variance.min() / 1e3, 1e3 * variance.max(), 5_000)])
    found = tau2_reml(effect, variance, design)
    best = reml_log_likelihood(effect, variance, design, grid).max()
    assert reml_log_likelihood(effect, variance, design, found) >= best


@pytest.mark.parametrize("target", [0.5, 3.0, 40.0])
def test_q_at_the_variance_found_for_it_is_the_target(target):
    effect, variance, design = network(1)
    tau2 = tau2_at_q(effect, variance, design, target)
    assert fit_at(effect, variance, design, tau2).q == pytest.approx(target, rel=1e-12)


def test_the_q_profile_interval_holds_the_true_variance_as_often_as_it_says():
    """Viechtbauer 2007, Statistics in Medicine 26:37-52: exact for normal effects with known variances."""
    random = np.random.default_rng(2)
    variance = np.array([0.01, 0.02, 0.04, 0.05, 0.1, 0.2])
    effect = random.standard_normal((4_000, 6)) * np.sqrt(variance + 0.05)
    low, high = q_profile(effect, variance, intercept_only(6))
    assert np.mean((low <= 0.05) & (high >= 0.05)) == pytest.approx(0.95, abs=0.012)


@pytest.mark.parametrize("method", METHODS)
def test_networks_side_by_side_get_the_same_answers_as_one_by_one(method):
    networks = [network(seed, gardens=9) for seed in range(40)]
    effect, variance, design = (np.array(part) for part in zip(*networks, strict=True))
    together = estimate_tau2(effect, variance, design, method)
    apart = [float(estimate_tau2(*one, method)) for one in networks]
    assert together == pytest.approx(apart, rel=1e-10, abs=1e-14)


networks = st.integers(0, 10_000).map(network)


@pytest.mark.parametrize("method", METHODS)
@given(one=networks, unit=st.floats(1e-3, 1e3), level=st.floats(-5, 5), slope=st.floats(-5, 5))
def test_the_variance_between_follows_the_unit_and_forgets_what_the_design_explains(
    method, one, unit, level, slope
):
    effect, variance, design = one
    plain = estimate_tau2(effect, variance, design, method)
    moved = unit * (effect + level + slope * design[1])
    assert estimate_tau2(moved, unit**2 * variance, design, method) == pytest.approx(
        unit**2 * plain, rel=1e-6, abs=1e-10 * unit**2
    )


@given(one=networks, shift=st.floats(-1e4, 1e4), scale=st.floats(1e-3, 1e3))
def test_reml_does_not_depend_on_where_a_covariate_starts_or_on_its_unit(one, shift, scale):
    effect, variance, design = one
    other = np.vstack([design[0], scale * design[1] + shift])
    expected = tau2_reml(effect, variance, design)
    assert tau2_reml(effect, variance, other) == pytest.approx(expected, rel=1e-4, abs=1e-9)


@given(one=networks, random=st.randoms(use_true_random=False))
def test_the_order_of_gardens_does_not_matter(one, random):
    effect, variance, design = one
    order = np.array(random.sample(range(effect.size), effect.size))
    for method in METHODS:
        assert estimate_tau2(effect[order], variance[order], design[:, order], method) == pytest.approx(
            estimate_tau2(effect, variance, design, method), rel=1e-9, abs=1e-13
        )
