"""Many treatments against one control: Dunnett's test, its general form, Holm and Bonferroni."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from pipeline.response.garden_model import fit_gardens
from pipeline.response.many_to_one import exceedance_by_points, exceedance_exact
from pipeline.response.simultaneous import (
    bonferroni,
    compare_with_control,
    critical_value,
    exceedance,
    family,
    holm,
    network_correlation,
    plot_correlation,
)
from sites.errors import InputError
from tests.pipeline.response.live_r import r_answers
from tests.reference import values
from tests.reference.groups import HELD

REFERENCE_NAMES = {
    "estimate": "diff",
    "se": "se",
    "t": "t",
    "p": "p_unadj",
    "p_adjusted": "p_adj",
    "ci_low": "ci_lb",
    "ci_high": "ci_ub",
}


def named(table: pd.DataFrame, prefix: str = "") -> dict[str, float]:
    return {
        f"{prefix}{treatment}.{name}": row[column]
        for treatment, row in table.iterrows()
        for column, name in REFERENCE_NAMES.items()
    }


def equal_correlation(members: int, correlation: float = 0.5) -> np.ndarray:
    return np.where(np.eye(members), 1.0, correlation)


def uneven_correlation(members: int, seed: int) -> np.ndarray:
    """Return correlations of pooled estimates over gardens of which none grows everything."""
    rng = np.random.default_rng(seed)
    weights = rng.uniform(0.5, 2.0, (12, members)) * (rng.random((12, members)) < 0.7)
    weights[0] = 1.0
    control = rng.uniform(0.01, 0.05, 12)
    own = rng.uniform(0.01, 0.05, (12, members))
    covariance = control[:, None, None] + own[:, :, None] * np.eye(members)
    return network_correlation(weights, covariance, rng.uniform(0, 0.03, members))


# Source: tests/reference, computed in R from the definition in Dunnett 1955 and 1964.
def test_critical_values_meet_the_reference_table():
    ((dataset, pattern),) = HELD["dunnett_table"]
    found = {}
    for name in values.expected(dataset):
        members, df = (int(part.lstrip("kdf")) for part in name.split(".")[1:])
        found[name] = critical_value(family(equal_correlation(members)), df)
    assert values.compare(dataset, found, pattern) == []


# Source: Dunnett 1964, Biometrics 20:482-491, printed to two decimals; from memory.
@pytest.mark.parametrize(("members", "df", "printed"), [(2, 10, 2.57), (4, 20, 2.65), (4, 60, 2.51)])
def test_printed_critical_values_are_met(members, df, printed):
    assert round(critical_value(family(equal_correlation(members)), df), 2) == printed


# Source: tests/reference; data of Dunnett 1955, J. Am. Stat. Assoc. 50:1096.
def test_unequal_numbers_of_plots_meet_the_reference_values():
    ((dataset, pattern),) = HELD["dunnett_plots"]
    plots = values.data(dataset)
    treatments = ["control", "drugA", "drugB"]
    code = pd.Index(treatments).get_indexer(plots["treatment"])
    models = fit_gardens(plots["count"].to_numpy(), np.zeros(len(plots), dtype=int), code)
    residual_ms, residual_df = models.error_variance[0], int(models.df[0])
    correlation = plot_correlation(models.plots[0, 1:], models.plots[0, 0])
    table = compare_with_control(
        models.contrast[0, 1:],
        np.sqrt(residual_ms * np.diagonal(models.contrast_covariance[0])[1:]),
        residual_df,
        correlation,
    ).set_axis(treatments[1:])
    found = named(table) | {
        "resid_ms": residual_ms,
        "resid_df": residual_df,
        "rho": correlation[0, 1],
        "crit_two_sided_05": critical_value(family(correlation), residual_df),
    }
    assert values.compare(dataset, found, pattern) == []
    assert table.attrs["method"] == "quadrature"


# Source: tests/reference; data of Snedecor & Cochran 1967, Statistical Methods, chapter 11.
def test_randomised_blocks_meet_the_reference_values():
    ((dataset, pattern),) = HELD["dunnett_blocks"]
    yields = values.data(dataset).pivot_table("failures", "block", "treatment")
    residual = yields.sub(yields.mean(axis=1), axis=0) - yields.mean() + yields.to_numpy().mean()
    mean_square = (residual**2).sum().sum() / 16
    treated = yields.columns.drop("Check")
    difference = (yields.mean()[treated] - yields.mean()["Check"]).to_numpy()
    correlation = plot_correlation([5] * 4, 5)
    table = compare_with_control(difference, np.full(4, np.sqrt(2 * mean_square / 5)), 16, correlation)
    table = table.set_axis(treated)
    critical = critical_value(family(correlation), 16)
    found = named(table, "dunnett.") | {
        "dunnett.crit_two_sided_05": critical,
        "dunnett.margin": critical * np.sqrt(2 * mean_square / 5),
    }
    found |= {f"holm.{name}.p_adj": p for name, p in zip(treated, holm(table["p"]), strict=True)}
    found |= {f"bonferroni.{name}.p_adj": p for name, p in zip(treated, bonferroni(table["p"]), strict=True)}
    assert values.compare(dataset, found, pattern) == []


@given(bound=st.floats(0.1, 6), df=st.floats(1, 500))
@settings(max_examples=50, deadline=None)
def test_one_treatment_alone_has_the_plain_t_test(bound, df):
    assert exceedance(bound, family([[1.0]]), df) == pytest.approx(2 * stats.t.sf(bound, df), rel=1e-9)


@given(bound=st.floats(0.1, 6), members=st.integers(2, 8))
@settings(max_examples=50, deadline=None)
def test_without_correlation_and_with_a_known_error_it_is_sidaks(bound, members):
    alone = 2 * stats.norm.sf(bound)
    sidak = -np.expm1(members * np.log1p(-alone))
    assert exceedance(bound, family(np.eye(members)), np.inf) == pytest.approx(sidak, rel=1e-9)


@given(bound=st.floats(0.5, 5), df=st.integers(2, 60), members=st.integers(2, 5))
@settings(max_examples=30, deadline=None)
def test_the_more_two_treatments_agree_the_less_their_number_costs(bound, df, members):
    steps = [
        exceedance_exact(bound, np.full(members, np.sqrt(rho)), df) for rho in (0.0, 0.3, 0.5, 0.8, 0.99)
    ]
    alone = 2 * stats.t.sf(bound, df)
    assert (np.diff(steps) <= 1e-12).all()
    assert alone <= steps[-1]
    assert steps[0] <= members * alone + 1e-12


@given(
    plots=st.lists(st.integers(1, 12), min_size=2, max_size=5),
    control=st.integers(1, 12),
    df=st.integers(1, 80),
    confidence=st.sampled_from([0.8, 0.9, 0.95, 0.99]),
)
@settings(max_examples=15, deadline=None)
def test_the_critical_value_is_passed_as_often_as_it_says(plots, control, df, confidence):
    contrasts = family(plot_correlation(plots, control))
    bound = critical_value(contrasts, df, confidence)
    assert exceedance(bound, contrasts, df) == pytest.approx(1 - confidence, rel=1e-9)


@given(
    t=st.lists(st.floats(-6, 6), min_size=3, max_size=3),
    unit=st.floats(1e-3, 1e3),
    order=st.permutations(range(3)),
)
@settings(max_examples=15, deadline=None)
def test_neither_unit_nor_sign_nor_order_changes_an_adjusted_p(t, unit, order):
    correlation = plot_correlation([2, 4, 7], 5)
    plain = compare_with_control(t, np.ones(3), 12, correlation)
    scaled = compare_with_control(np.array(t) * -unit, np.full(3, unit), 12, correlation)
    assert scaled["p_adjusted"].to_numpy() == pytest.approx(plain["p_adjusted"].to_numpy(), rel=1e-6)
    again = compare_with_control(np.array(t)[order], np.ones(3), 12, correlation[np.ix_(order, order)])
    assert again["p_adjusted"].to_numpy() == pytest.approx(plain["p_adjusted"].to_numpy()[order], rel=1e-9)


@given(t=st.lists(st.floats(-8, 8), min_size=4, max_size=4), df=st.integers(2, 60))
@settings(max_examples=15, deadline=None)
def test_an_adjusted_p_lies_between_the_plain_one_and_bonferronis(t, df):
    table = compare_with_control(t, np.ones(4), df, equal_correlation(4))
    assert (table["p_adjusted"] >= table["p"] * (1 - 1e-9)).all()
    assert (table["p_adjusted"] <= bonferroni(table["p"]) * (1 + 1e-9)).all()
    excludes_zero = (table["ci_low"] > 0) | (table["ci_high"] < 0)
    assert (excludes_zero == (table["p_adjusted"] < 0.05)).all()


def test_each_treatment_may_have_its_own_degrees_of_freedom():
    correlation = equal_correlation(2)
    mixed = compare_with_control([2.5, 2.5], [1, 1], [6, 30], correlation)
    for row, df in enumerate((6, 30)):
        alone = compare_with_control([2.5, 2.5], [1, 1], df, correlation)
        assert mixed.iloc[row].to_list() == pytest.approx(alone.iloc[row].to_list())


def test_an_unknown_treatment_stays_unknown_and_costs_the_others_nothing():
    table = compare_with_control([1.0, np.nan, 2.0], [0.5, 0.5, np.nan], 10, equal_correlation(3))
    assert table.loc[1:, ["p_adjusted", "ci_low", "ci_high"]].isna().all(axis=None)
    assert table.loc[0, "p_adjusted"] == pytest.approx(table.loc[0, "p"])


def test_nothing_known_gives_nothing_known():
    table = compare_with_control([np.nan], [1.0], 10, [[1.0]])
    assert table[["p", "p_adjusted", "ci_low", "ci_high"]].isna().all(axis=None)


@pytest.mark.parametrize("members", [2, 3, 5, 10])
@pytest.mark.parametrize("df", [5.0, 30.0, np.inf])
def test_points_agree_with_quadrature_where_both_can_be_had(members, df):
    for correlation in (0.1, 0.5, 0.9):
        for bound in (1.0, 2.5, 3.5):
            exact = exceedance_exact(bound, np.full(members, np.sqrt(correlation)), df)
            points = exceedance_by_points(bound, equal_correlation(members, correlation), df)
            assert points == pytest.approx(exact, abs=6e-5)


# Source: SciPy's own multivariate normal distribution function, another method (Genz 2004, by MVN).
@pytest.mark.parametrize("members", [3, 4, 6])
def test_a_general_correlation_agrees_with_scipys_distribution_function(members):
    correlation = uneven_correlation(members, seed=members)
    law = stats.multivariate_normal(cov=correlation, abseps=1e-7, releps=1e-7, maxpts=2_000_000, seed=1)
    inside = law.cdf(np.full(members, 2.4), lower_limit=np.full(members, -2.4))
    assert exceedance(2.4, family(correlation), np.inf) == pytest.approx(1 - inside, abs=1e-5)


# Source: R package mvtnorm, run live (Genz & Bretz 2009, Computation of Multivariate Normal and t).
@pytest.mark.r
def test_a_general_correlation_agrees_with_mvtnorm(tmp_path):
    correlation = uneven_correlation(5, seed=3)
    script = """
        R <- as.matrix(data); set.seed(1)
        p <- sapply(c(1.5, 2.5, 3.5), function(b) 1 - mvtnorm::pmvt(rep(-b, 5), rep(b, 5), df=9, corr=R,
          algorithm=mvtnorm::GenzBretz(maxpts=3e6, abseps=2e-6))[1])
        out <- data.frame(p=p)
    """
    table = r_answers(tmp_path, script, pd.DataFrame(correlation), "mvtnorm")
    contrasts = family(correlation)
    assert not contrasts.has_one_factor
    found = [exceedance(bound, contrasts, 9) for bound in (1.5, 2.5, 3.5)]
    assert found == pytest.approx(table["p"].to_list(), abs=1e-5)


def test_a_general_correlation_says_how_it_was_computed_and_repeats_itself():
    correlation = uneven_correlation(5, seed=1)
    first = compare_with_control([1, 2, 3, 1, 2], np.ones(5), 8, correlation)
    again = compare_with_control([1, 2, 3, 1, 2], np.ones(5), 8, correlation)
    assert first.attrs["method"] == "quadrature and quasi-Monte-Carlo"
    pd.testing.assert_frame_equal(first, again)
    assert (first["p_adjusted"] >= first["p"]).all()
    assert (first["p_adjusted"] <= bonferroni(first["p"])).all()


# Source: by hand. Equal variances of control and treatments leave the control's half in common.
def test_pooled_estimates_of_equal_gardens_correlate_by_one_half():
    covariance = np.full((6, 3, 3), 0.02) + 0.02 * np.eye(3)
    correlation = network_correlation(np.ones((6, 3)), covariance, [0.01, 0.01, 0.01])
    assert correlation == pytest.approx(equal_correlation(3))


def test_treatments_that_share_no_garden_do_not_correlate():
    weights = np.array([[1, 0], [1, 0], [0, 1], [0, 1]])
    covariance = np.full((4, 2, 2), np.nan)
    covariance[:2, 0, 0] = covariance[2:, 1, 1] = 0.03
    assert network_correlation(weights, covariance, [0.01, 0.02]) == pytest.approx(np.eye(2))


def test_a_treatment_that_no_garden_grew_correlates_with_nothing_known():
    correlation = network_correlation([[1, 0], [1, 0]], np.full((2, 2, 2), 0.03), [0.01, 0.01])
    assert np.isnan(correlation[0, 1])
    table = compare_with_control([1.0, np.nan], [0.5, np.nan], 5, correlation)
    assert table["p_adjusted"][0] == pytest.approx(table["p"][0])


# Source: simulation of the model in this test, 200,000 networks; the error of a correlation is about 0.002.
def test_the_networks_correlation_is_what_pooled_means_show():
    rng = np.random.default_rng(8)
    weights = np.array([[1, 1], [2, 1], [1, 0], [1, 3]])
    plots, tau = 0.04, 0.2
    strays = rng.normal(0, tau / np.sqrt(2), (200_000, 4, 3))
    means = strays + rng.normal(0, np.sqrt(plots), strays.shape)
    effects = means[..., 1:] - means[..., :1]
    pooled = (effects * weights).sum(axis=1) / weights.sum(axis=0)
    covariance = np.broadcast_to(plots * (1 + np.eye(2)), (4, 2, 2))
    found = network_correlation(weights, covariance, [tau**2, tau**2])
    assert found[0, 1] == pytest.approx(np.corrcoef(pooled.T)[0, 1], abs=0.01)


@given(p=st.lists(st.floats(0, 1), min_size=1, max_size=8))
@settings(deadline=None)
def test_holm_lies_between_the_plain_p_and_bonferroni_and_keeps_their_order(p):
    adjusted = holm(p)
    assert (adjusted >= np.array(p)).all()
    assert (adjusted <= bonferroni(p)).all()
    assert (np.diff(adjusted[np.argsort(p)]) >= 0).all()


def test_unknown_p_values_do_not_count_among_the_tests():
    assert holm([0.01, np.nan, 0.04]) == pytest.approx([0.02, np.nan, 0.04], nan_ok=True)
    assert bonferroni([0.01, np.nan, 0.04]) == pytest.approx([0.02, np.nan, 0.08], nan_ok=True)


@pytest.mark.parametrize(
    "correlation",
    [[[1.0, 0.5], [0.4, 1.0]], [[1.0, 1.0], [1.0, 1.0]], [[2.0, 0.5], [0.5, 1.0]], [[1.0, 0.5]]],
)
def test_what_is_no_correlation_matrix_is_refused(correlation):
    with pytest.raises(InputError) as refusal:
        family(correlation)
    assert str(refusal.value) == (
        "The correlations of the treatments do not form a correlation matrix, or two treatments carry "
        "the same information. Leave one of them out."
    )


def test_a_standard_error_of_zero_is_refused():
    with pytest.raises(InputError) as refusal:
        compare_with_control([1.0, 2.0], [0.5, 0.0], 8, equal_correlation(2))
    assert str(refusal.value) == (
        "A standard error or its degrees of freedom are not above 0; nothing can be tested."
    )


def test_a_treatment_without_plots_is_refused():
    with pytest.raises(InputError) as refusal:
        plot_correlation([4, 0], 4)
    assert str(refusal.value) == "Every treatment and the control need at least one plot to be compared."
