import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.response.garden_model import fit_gardens
from pipeline.response.intervals import t_quantile, two_sided_p
from tests.reference import values
from tests.reference.groups import HELD


def fitted(table, control, response="yield", site="site"):
    """Return the models, and the names of gardens and treatments that their axes stand for."""
    table = table.dropna(subset=[response])
    garden, gardens = pd.factorize(table[site])
    treatments = [control, *sorted(set(table["treatment"]) - {control})]
    treatment = pd.Index(treatments).get_indexer(table["treatment"])
    models = fit_gardens(table[response].to_numpy(float), garden, treatment, pd.factorize(table["block"])[0])
    return models, list(gardens), treatments


CONTROL_OF = {"antigua_maize": "t000", "synthetic_gradient_demo": "control"}


@pytest.mark.parametrize(("dataset", "pattern"), HELD["blocked"])
def test_contrasts_with_missing_plots_and_unequal_blocks_agree_with_r(dataset, pattern):
    control = CONTROL_OF[dataset]
    models, gardens, treatments = fitted(values.data(dataset), control)
    found = {}
    for i, garden in enumerate(gardens):
        found[f"blocked.{garden}.resid_ms"] = models.error_variance[i]
        found[f"blocked.{garden}.resid_df"] = models.df[i]
        for j, treatment in enumerate(treatments):
            md = models.contrast[i, j]
            se = np.sqrt(models.error_variance[i] * models.contrast_covariance[i, j, j])
            name = f"blocked.{garden}.{treatment}"
            found |= {f"{name}.md": md, f"{name}.se": se, f"{name}.df": models.df[i]}
            if j:
                found |= {f"{name}.t": md / se, f"{name}.p": float(two_sided_p(md, se, models.df[i]))}
        if "t311" in treatments:
            first, second = treatments.index("t111"), treatments.index("t311")
            covariance = models.error_variance[i] * models.contrast_covariance[i, first, second]
            found[f"blocked.{garden}.cov_t111_t311"] = covariance
    reference = values.expected(dataset)
    found = {name: value for name, value in found.items() if name in reference}
    assert values.compare(dataset, found, pattern) == []


def test_contrasts_of_logarithms_agree_with_r():
    table = values.data("antigua_maize")
    models, gardens, treatments = fitted(table.assign(log_yield=np.log(table["yield"])), "t000", "log_yield")
    found = {}
    for i, garden in enumerate(gardens):
        for treatment in ("t111", "t113", "t131", "t311"):
            j = treatments.index(treatment)
            name = f"blocked_log.{garden}.{treatment}"
            found[f"{name}.lr"] = models.contrast[i, j]
            found[f"{name}.se"] = np.sqrt(models.error_variance[i] * models.contrast_covariance[i, j, j])
            found[f"{name}.df"] = models.df[i]
    ((dataset, pattern),) = HELD["blocked_log"]
    assert values.compare(dataset, found, pattern) == []


def test_complete_blocks_give_the_analysis_of_variance_of_the_book():
    """Snedecor & Cochran 1967, Statistical Methods, 6th ed., ch. 11: soybean seed treatments."""
    table = values.data("soybean_seed_rcbd").assign(site="field")
    models, _, treatments = fitted(table, "Check", "failures")
    reference = values.expected("soybean_seed_rcbd")
    assert models.error_variance[0] == pytest.approx(reference["anova.ms_residual"], rel=1e-8)
    assert models.df[0] == reference["anova.df_residual"]
    found = {f"dunnett.{name}.diff": models.contrast[0, j] for j, name in enumerate(treatments) if j}
    assert values.compare("soybean_seed_rcbd", found, r"dunnett\..*\.diff") == []


CONTROL, TREATED = [4.0, 3.6, 4.4, 3.2], [5.1, 4.2, 5.0, 4.5]


def four_blocks(treated=TREATED, control=CONTROL):
    blocks = len(control)
    return fit_gardens(
        np.array([*control, *treated]),
        np.zeros(2 * blocks, dtype=int),
        np.repeat([0, 1], blocks),
        np.tile(np.arange(blocks), 2),
    )


def test_a_small_block_trial_worked_by_hand():
    """Fisher 1935, The Design of Experiments: blocks of two are pairs, so F is the square of the paired t."""
    models = four_blocks()
    mean_square, difference = models.error_variance[0], models.contrast[0, 1]
    se = np.sqrt(mean_square * models.contrast_covariance[0, 1, 1])
    assert difference == pytest.approx(0.90)
    assert mean_square == pytest.approx(0.06333, abs=1e-5)
    assert (difference / se) ** 2 == pytest.approx(25.58, abs=1e-2)
    assert difference / se == pytest.approx(5.0576, abs=1e-3)
    assert two_sided_p(difference, se, models.df[0]) == pytest.approx(0.0149, abs=1e-4)
    assert np.sqrt(mean_square) / models.plot_mean[0] == pytest.approx(0.0592, abs=1e-4)


def test_the_mean_log_ratio_within_blocks_worked_by_hand():
    models = four_blocks(np.log(TREATED), np.log(CONTROL))
    ratio, se = models.contrast[0, 1], np.sqrt(models.error_variance[0] * models.contrast_covariance[0, 1, 1])
    assert [ratio, se, np.exp(ratio)] == pytest.approx([0.21646, 0.04824, 1.2417], abs=1e-4)


@pytest.mark.parametrize(("blocks", "least_percent"), [(4, 45.0), (8, 23.6)])
def test_the_least_significant_difference_of_two_treatments_at_a_cv_of_20_percent(blocks, least_percent):
    """Fisher 1935: t(0.975, b - 1) CV sqrt(2 / b); at b = 4, 3.182 x 20 % x 0.7071 = 45.0 %."""
    swing = 20 * np.sqrt((blocks - 1) / (2 * blocks)) * np.where(np.arange(blocks) % 2, 1, -1)
    models = four_blocks(100 + swing, 100 - swing)
    assert np.sqrt(models.error_variance[0]) == pytest.approx(20)
    se = np.sqrt(models.error_variance[0] * models.contrast_covariance[0, 1, 1])
    assert t_quantile(models.df[0], 0.95) * se == pytest.approx(least_percent, abs=0.1)


def test_the_smallest_difference_seen_four_times_in_five():
    """Least significant difference plus t(0.80, b - 1) standard errors: 58.8 % at a CV of 20 %, 4 blocks."""
    se = 20 * np.sqrt(2 / 4)
    assert (t_quantile(3, 0.95) + t_quantile(3, 0.60)) * se == pytest.approx(58.8, abs=0.1)


def test_without_blocks_means_are_plain_means_and_their_variances_one_over_n():
    garden, treatment = np.zeros(7, dtype=int), np.array([0, 0, 0, 1, 1, 1, 1])
    models = fit_gardens(np.array([3.0, 5, 4, 7, 8, 9, 8]), garden, treatment)
    assert models.mean[0] == pytest.approx([4, 8])
    assert models.mean_covariance[0] == pytest.approx(np.diag([1 / 3, 1 / 4]))
    assert models.df[0] == 5
    assert models.rss[0] == pytest.approx(4)


def test_a_treatment_that_only_another_treatment_connects_is_compared_through_it():
    """Control and A in block 0, A and B in block 1: B - control is (B - A) + (A - control)."""
    models = fit_gardens(
        np.array([10.0, 12, 20, 25]), np.zeros(4, int), np.array([0, 1, 1, 2]), np.array([0, 0, 1, 1])
    )
    assert models.contrast[0] == pytest.approx([0, 2, 7])
    assert models.contrast_covariance[0, 2, 2] == pytest.approx(4)
    assert models.df[0] == 0


def test_a_treatment_that_never_meets_the_control_is_not_compared_but_its_blocks_count_for_the_error():
    response = np.array([10.0, 12, 11, 15, 30, 40, 32, 41])
    treatment, block = np.array([0, 1, 0, 1, 2, 3, 2, 3]), np.array([0, 0, 1, 1, 2, 2, 3, 3])
    models = fit_gardens(response, np.zeros(8, int), treatment, block)
    assert models.connected[0].tolist() == [True, True, False, False]
    assert np.isnan(models.contrast[0, 2:]).all()
    assert models.df[0] == 2
    assert models.rss[0] == pytest.approx(1 + 0.25)
    assert models.blocks[0] == 2


def test_a_garden_without_the_control_compares_nothing():
    models = fit_gardens(
        np.array([1.0, 2, 3, 5]), np.zeros(4, int), np.array([1, 2, 1, 2]), np.array([0, 0, 1, 1])
    )
    assert not models.connected.any()
    assert np.isnan(models.contrast).all()
    assert models.df[0] == 1


def test_a_garden_of_one_block_has_effects_and_no_error():
    models = fit_gardens(np.array([4.0, 5, 7]), np.zeros(3, int), np.array([0, 1, 2]), np.zeros(3, int))
    assert models.contrast[0] == pytest.approx([0, 1, 3])
    assert models.df[0] == 0
    assert np.isnan(models.error_variance[0])


def test_plots_that_agree_exactly_have_no_error_even_after_rounding():
    models = fit_gardens(np.full(6, 0.1 + 0.2), np.zeros(6, int), np.tile([0, 1], 3), np.repeat([0, 1, 2], 2))
    assert models.rss[0] == 0


def test_gardens_without_a_plot_stay_empty():
    models = fit_gardens(np.array([4.0, 5]), np.array([1, 1]), np.array([0, 1]), gardens=3, treatments=2)
    assert models.plots.tolist() == [[0, 0], [1, 1], [0, 0]]
    assert np.isnan(models.plot_mean[[0, 2]]).all()
    assert models.contrast[1, 1] == pytest.approx(1)


trials = st.lists(
    st.tuples(st.integers(0, 3), st.integers(0, 2), st.integers(0, 2), st.floats(1, 50)),
    min_size=1,
    max_size=40,
)


def columns(rows):
    garden, treatment, block, response = zip(*rows, strict=True)
    return np.array(response), np.array(garden), np.array(treatment), np.array(block)


@given(trials)
def test_any_trial_agrees_with_least_squares_on_the_full_design(rows):
    response, garden, treatment, block = columns(rows)
    models = fit_gardens(response, garden, treatment, block, treatments=3)
    for g in np.unique(garden):
        here = garden == g
        design = np.hstack([np.eye(3)[treatment[here]], np.eye(3)[block[here]]])
        solution = np.linalg.lstsq(design, response[here], rcond=None)[0]
        residual = response[here] - design @ solution
        assert models.rss[g] == pytest.approx(residual @ residual, abs=1e-8)
        assert models.df[g] == here.sum() - np.linalg.matrix_rank(design)
        estimable = models.connected[g]
        assert models.contrast[g, estimable] == pytest.approx(
            (solution - solution[0])[:3][estimable], abs=1e-8
        )


@given(trials, st.floats(0.1, 10), st.floats(-20, 20))
def test_contrasts_follow_the_unit_and_forget_the_level(rows, unit, level):
    response, garden, treatment, block = columns(rows)
    plain = fit_gardens(response, garden, treatment, block)
    moved = fit_gardens(unit * response + level, garden, treatment, block)
    assert moved.contrast == pytest.approx(unit * plain.contrast, abs=1e-7, nan_ok=True)
    assert moved.rss == pytest.approx(unit**2 * plain.rss, abs=1e-7)


@given(trials, st.randoms(use_true_random=False))
def test_the_order_of_plots_does_not_matter(rows, random):
    shuffled = random.sample(rows, len(rows))
    counts = {"gardens": 4, "treatments": 3}
    plain, mixed = (fit_gardens(*columns(order), **counts) for order in (rows, shuffled))
    assert mixed.contrast == pytest.approx(plain.contrast, abs=1e-9, nan_ok=True)
    assert mixed.mean_covariance == pytest.approx(plain.mean_covariance, abs=1e-9, nan_ok=True)
