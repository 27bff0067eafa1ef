import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import special

from pipeline.response.error_variance import error_variance, moderated, trigamma_inverse
from tests.reference import values
from tests.reference.groups import HELD

SQUARES, DF = np.array([6.0, 1.0, 0.0, 8.0]), np.array([3, 2, 0, 3])


def test_one_variance_for_all_is_the_sum_of_squares_over_the_sum_of_degrees_of_freedom():
    one = error_variance(SQUARES, DF, "pooled")
    assert one.value == pytest.approx(np.full(4, 15 / 8))
    assert one.df == pytest.approx(np.full(4, 8))
    assert set(one.source) == {"pooled"}


@pytest.mark.parametrize(("dataset", "pattern"), HELD["pooled_residual"])
def test_the_pooled_residual_of_trials(dataset, pattern):
    """Andrews & Herzberg 1985, maize at eight sites, and made-up gardens; values by R."""
    reference = values.expected(dataset)
    sites = sorted(
        name.split(".")[1] for name in reference if name.startswith("blocked.") and "resid_ms" in name
    )
    df = np.array([reference[f"blocked.{site}.resid_df"] for site in sites])
    squares = df * np.array([reference[f"blocked.{site}.resid_ms"] for site in sites])
    one = error_variance(squares, df, "pooled")
    found = {"pooled_residual.ms": one.value[0], "pooled_residual.df": one.df[0]}
    assert values.compare(dataset, found, pattern) == []


def test_a_garden_without_degrees_of_freedom_borrows_the_pooled_variance_and_says_so():
    own = error_variance(SQUARES, DF, "garden")
    assert own.value == pytest.approx([2, 0.5, 15 / 8, 8 / 3])
    assert own.source.tolist() == ["garden", "garden", "pooled", "garden"]


def test_a_garden_whose_plots_agree_exactly_borrows_the_pooled_variance():
    own = error_variance(np.array([4.0, 0.0]), np.array([2, 2]), "garden")
    assert own.value == pytest.approx([2, 1])
    assert own.source.tolist() == ["garden", "pooled"]


@pytest.mark.parametrize("kind", ["garden", "pooled", "moderated"])
@pytest.mark.parametrize(("squares", "df"), [([0.0, 0.0], [0, 0]), ([0.0, 0.0], [2, 3])])
def test_where_no_garden_shows_any_error_none_is_made_up(kind, squares, df):
    nothing = error_variance(np.array(squares), np.array(df), kind)
    assert np.isnan(nothing.value).all()
    assert set(nothing.source) == {"none"}


def test_variances_that_differ_by_chance_only_are_moderated_to_the_pooled_one():
    value, df = moderated(np.array([3.0, 3.1, 2.9]), np.array([3, 3, 3]))
    assert value == pytest.approx(np.full(3, 1.0))
    assert df == pytest.approx(np.full(3, 9))


def test_moderation_finds_the_prior_that_made_the_variances():
    """Smyth 2004: with s^2 ~ prior x F(df, prior df) the moments of log s^2 give both parameters back."""
    random = np.random.default_rng(4)
    df, prior_df, prior = np.full(200_000, 3), 8.0, 2.5
    true = prior * prior_df / random.chisquare(prior_df, len(df))
    squares = true * random.chisquare(3, len(df))
    value, total_df = moderated(squares, df)
    found_df = total_df[0] - 3
    found_prior = (value * total_df - squares)[0] / found_df
    assert found_df == pytest.approx(prior_df, rel=0.03)
    assert found_prior == pytest.approx(prior, rel=0.02)


def test_however_wild_the_variances_are_the_prior_counts_for_three_degrees_of_freedom():
    squares, df = np.array([1e-6, 1.0, 1e6, 1e-3, 10.0]), np.ones(5)
    value, total_df = moderated(squares, df)
    assert total_df == pytest.approx(np.full(5, 4))
    assert value.min() > 1e-3


def test_moderated_variances_lie_nearer_the_truth_than_either_extreme():
    random = np.random.default_rng(5)
    true = 2.0 * 6 / random.chisquare(6, 5_000)
    squares = true * random.chisquare(3, len(true))
    df = np.full(len(true), 3)

    def distance(kind):
        return np.mean((np.log(error_variance(squares, df, kind).value) - np.log(true)) ** 2)

    assert distance("moderated") < min(distance("garden"), distance("pooled"))


@given(st.floats(1e-6, 1e6))
def test_the_inverse_of_trigamma_is_one(value):
    assert special.polygamma(1, trigamma_inverse(value)) == pytest.approx(value, rel=1e-9)


@given(
    st.lists(st.tuples(st.floats(0.01, 100), st.integers(1, 20)), min_size=2, max_size=30),
    st.floats(0.01, 100),
)
def test_every_kind_follows_the_unit(gardens, unit):
    squares, df = (np.array(column, dtype=float) for column in zip(*gardens, strict=True))
    for kind in ("garden", "pooled", "moderated"):
        plain, scaled = error_variance(squares, df, kind), error_variance(unit * squares, df, kind)
        assert scaled.value == pytest.approx(unit * plain.value, rel=1e-6)
