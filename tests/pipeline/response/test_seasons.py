import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.response.network import pool
from pipeline.response.seasons import combine_seasons, pool_seasons
from sites.errors import InputError


def seasons(seed=0, gardens=8, tau=0.2, between_seasons=0.1):
    """Return effects, variances, gardens and positions of gardens with one to three seasons each."""
    random = np.random.default_rng(seed)
    garden = np.repeat(np.arange(gardens), random.integers(1, 4, gardens))
    variance = random.uniform(0.01, 0.05, garden.size)
    lasting = 0.2 + tau * random.standard_normal(gardens)
    noise = random.standard_normal(garden.size) * np.sqrt(variance + between_seasons**2)
    return lasting[garden] + noise, variance, garden, random.uniform(0, 600, gardens)[garden]


def test_gardens_of_one_season_are_pooled_as_they_are():
    effect, variance = np.array([0.1, 0.5, 0.3, 0.4]), np.array([0.02, 0.03, 0.02, 0.04])
    plain, answer = pool(effect, variance), pool_seasons(effect, variance, ["d", "b", "c", "a"])
    assert answer.estimate == pytest.approx(plain.estimate)
    assert answer.ci_low == pytest.approx(plain.ci_low)
    assert answer.season_tau2 is None
    assert answer.garden_seasons == 4


def test_with_equal_seasons_the_interval_is_the_t_interval_over_the_gardens_means():
    """Student 1908 on three garden means: two degrees of freedom, however many seasons stand behind them."""
    effect = np.array([0.1, 0.3, 0.6, 0.4, 0.9, 1.1])
    answer = pool_seasons(effect, np.full(6, 0.01), ["a", "a", "b", "b", "c", "c"])
    means = effect.reshape(3, 2).mean(axis=1)
    assert (answer.k, answer.garden_seasons, answer.df) == (3, 6, 2)
    assert answer.estimate == pytest.approx(means.mean())
    assert answer.ci_high - answer.estimate == pytest.approx(4.302653 * means.std(ddof=1) / np.sqrt(3))


def test_the_variance_between_seasons_is_the_spread_within_gardens_beyond_the_error():
    """With equal variances: pooled variance within gardens, (0.02 + 0.02 + 0.02) / 3, minus 0.005."""
    combined = combine_seasons([0.1, 0.3, 0.4, 0.6, 0.9, 1.1], [0.005] * 6, ["a", "a", "b", "b", "c", "c"])
    assert combined.season_tau2 == pytest.approx(0.02 - 0.005)
    assert combined.variance == pytest.approx([0.01] * 3)


def test_seasons_closer_than_their_errors_have_no_variance_between():
    combined = combine_seasons([0.1, 0.11, 0.4, 0.41], [0.05, 0.1, 0.05, 0.1], ["a", "a", "b", "b"])
    assert combined.season_tau2 == 0
    assert combined.effect == pytest.approx([(0.1 / 0.05 + 0.11 / 0.1) / 30, (0.4 / 0.05 + 0.41 / 0.1) / 30])
    assert combined.variance == pytest.approx([1 / 30, 1 / 30])


def test_the_same_answer_comes_from_the_model_with_both_levels_at_once():
    """Generalised least squares with V = error + between seasons + between gardens, written out in full."""
    effect, variance, garden, _ = seasons(3)
    answer, combined = pool_seasons(effect, variance, garden), combine_seasons(effect, variance, garden)
    same = garden[:, None] == garden
    full = np.diag(variance + combined.season_tau2) + answer.tau2 * same
    design = np.ones((effect.size, 1))
    information = design.T @ np.linalg.solve(full, design)
    assert answer.estimate == pytest.approx(
        np.linalg.solve(information, design.T @ np.linalg.solve(full, effect))[0]
    )
    normal = pool_seasons(effect, variance, garden, interval="normal")
    assert normal.se == pytest.approx(1 / np.sqrt(information[0, 0]))


def test_a_garden_that_comes_back_is_not_two_gardens():
    random = np.random.default_rng(4)
    held = {"gardens": [], "seasons": []}
    for _ in range(300):
        lasting = 0.2 + 0.3 * random.standard_normal(8)
        effect = np.repeat(lasting, 3) + 0.15 * random.standard_normal(24)
        for kind, answer in (
            ("gardens", pool_seasons(effect, np.full(24, 0.0225), np.repeat(np.arange(8), 3))),
            ("seasons", pool(effect, np.full(24, 0.0225))),
        ):
            held[kind].append(answer.ci_low < 0.2 < answer.ci_high)
    assert np.mean(held["gardens"]) == pytest.approx(0.95, abs=0.03)
    assert np.mean(held["seasons"]) < 0.85


def test_covariates_are_averaged_like_the_effects():
    effect, variance = [0.1, 0.3, 0.4], [0.02, 0.02, 0.02]
    table = pd.DataFrame({"east_km": [10.0, 10, 50], "rain_mm": [300.0, 500, 400]})
    combined = combine_seasons(effect, variance, ["a", "a", "b"], table)
    assert combined.gardens == ["a", "b"]
    assert combined.covariates.to_numpy() == pytest.approx(np.array([[10, 400], [50, 400]]))


def test_the_slope_counts_gardens():
    effect, variance, garden, east = seasons(5, gardens=9)
    slope = pool_seasons(effect, variance, garden, {"east_km": east}).gradient.terms[1]
    assert slope.df == 7


def test_without_any_error_known_every_season_of_a_garden_counts_the_same():
    combined = combine_seasons([0.1, 0.3, 0.8], None, ["a", "a", "b"])
    assert combined.effect == pytest.approx([0.2, 0.8])
    assert combined.variance is None
    assert combined.season_tau2 is None


@pytest.mark.parametrize(
    ("garden", "said"), [(["a"], "2 effects but 1 names"), (["a", None], "Row 2 has no garden")]
)
def test_a_row_without_its_garden_is_refused(garden, said):
    with pytest.raises(InputError, match=said):
        combine_seasons([0.1, 0.2], [0.01, 0.01], garden)


@given(st.integers(0, 300), st.randoms(use_true_random=False))
def test_the_order_of_garden_seasons_does_not_matter(seed, random):
    effect, variance, garden, east = seasons(seed)
    order = np.array(random.sample(range(effect.size), effect.size))
    plain = pool_seasons(effect, variance, garden, {"east_km": east})
    mixed = pool_seasons(effect[order], variance[order], garden[order], {"east_km": east[order]})
    assert mixed.estimate == pytest.approx(plain.estimate)
    assert mixed.tau2 == pytest.approx(plain.tau2, abs=1e-9)
    assert mixed.season_tau2 == pytest.approx(plain.season_tau2, abs=1e-9)
