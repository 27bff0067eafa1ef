"""The one-stage mixed model against R, against closed forms, and against its definition in plain matrices."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from pipeline.response.mixed_likelihood import likelihood
from pipeline.response.one_stage import fit_one_stage
from pipeline.response.one_stage_plots import trial_plots
from sites.errors import InputError
from tests.pipeline.response.live_r import r_answers
from tests.reference import values
from tests.reference.groups import HELD, MIXED

COLUMNS = {"site": "site", "treatment": "treatment", "response": "yield"}
PARTS = {
    "site": "site",
    "site_treatment": "site_x_treatment",
    "block": "site_x_block",
    "residual": "residual",
}


def fitted(plots: pd.DataFrame, control: str = "t0", block: str | None = "block", **options):
    return fit_one_stage(plots, control=control, block=block, **(COLUMNS | options))


def simulated(
    seed: int,
    gardens: int = 8,
    treatments: int = 3,
    blocks: int = 4,
    lost: float = 0.0,
    sd: tuple[float, float, float, float] = (3.0, 1.0, 0.7, 1.5),
) -> pd.DataFrame:
    """Return plots of gardens that differ by `sd` of site, block, site x treatment and plot."""
    rng = np.random.default_rng(seed)
    grid = pd.MultiIndex.from_product(
        [range(gardens), range(blocks), range(treatments)], names=["site", "block", "treatment"]
    ).to_frame(index=False)
    of_site, of_block = rng.normal(0, sd[0], gardens), rng.normal(0, sd[1], (gardens, blocks))
    of_treatment = rng.normal(0, sd[2], (gardens, treatments))
    grid["yield"] = (
        20.0
        + 0.5 * grid["treatment"]
        + of_site[grid["site"]]
        + of_block[grid["site"], grid["block"]]
        + of_treatment[grid["site"], grid["treatment"]]
        + rng.normal(0, sd[3], len(grid))
    )
    grid["treatment"] = "t" + grid["treatment"].astype(str)
    return grid[rng.random(len(grid)) >= lost].reset_index(drop=True)


def reference_names(fit, prefix: str, control: str, parts: dict[str, str], gradient: str = "") -> dict:
    found = {f"{prefix}.reml_minus2loglik": fit.minus_2_log_likelihood, f"{prefix}.n_obs": fit.plots}
    found |= {f"{prefix}.var.{theirs}": fit.components[ours] for ours, theirs in parts.items()}
    for row in fit.terms.itertuples():
        treatment, _, along = row.term.partition(":")
        name = {"intercept": "Intercept", gradient: "lonc"}.get(treatment, f"treatment{treatment}")
        found[f"{prefix}.fixef.{name}{':lonc' if along else ''}.coef"] = row.estimate
        found[f"{prefix}.fixef.{name}{':lonc' if along else ''}.se"] = row.se
        contrast = f"{treatment}_x_lonc" if along else f"{treatment}-{control}"
        found[f"{prefix}.kr.{contrast}.estimate"] = row.estimate
        found[f"{prefix}.kr.{contrast}.df"] = row.df
    return found


def mixed_trial(dataset: str, block: str) -> dict:
    """Return plots and options of a trial of the reference, and its names for the parts of the variance."""
    plots = values.data(dataset)
    if dataset == "yates_oats":
        plots = plots.assign(site=plots["block"], treatment="n" + plots["nitrogen"].map("{:g}".format))
        parts = {"site": "block", "site_treatment": "block_x_treatment", "residual": "residual"}
        return {"plots": plots, "control": "n0", "block": None, "parts": parts}
    if block == "onestage_t111_only":
        plots = plots[plots["treatment"].isin(["t000", "t111"])]
    control = "t000" if dataset == "antigua_maize" else "control"
    return {"plots": plots, "control": control, "block": "block", "parts": PARTS}


# Source: tests/reference, R packages lme4 (fixed effects, variances, likelihood) and pbkrtest (df).
@pytest.mark.parametrize(
    ("dataset", "block", "pattern"),
    [(*trial, pattern) for trial, (_, pattern) in zip(MIXED, HELD["mixed"], strict=True)],
)
def test_the_fit_meets_the_reference_values(dataset, block, pattern):
    trial = mixed_trial(dataset, block)
    gradient = "longitude" if block.endswith("gradient") else None
    fit = fitted(trial["plots"], trial["control"], trial["block"], gradient=gradient)
    found = reference_names(fit, block, trial["control"], trial["parts"], gradient or "")
    known = values.expected(dataset)
    found = {name: value for name, value in found.items() if name in known or ".kr." not in name}
    assert values.compare(dataset, found, pattern) == []


# Source: R package lme4, run live on unbalanced plots that no file holds.
@pytest.mark.r
def test_unbalanced_trials_agree_with_lme4(tmp_path):
    shapes = [
        {"lost": 0.3},
        {"gardens": 5, "treatments": 2, "lost": 0.2},
        {"gardens": 40, "treatments": 2, "blocks": 3, "lost": 0.1},
        {"gardens": 12, "sd": (3.0, 0.0, 0.5, 1.0), "lost": 0.25},
        {"gardens": 12, "sd": (0.5, 2.0, 0.0, 1.0), "lost": 0.25},
        {"gardens": 6, "treatments": 5, "sd": (100.0, 1.0, 1.0, 1.0), "lost": 0.4},
    ]
    trials = [simulated(seed, **shape) for seed, shape in enumerate(shapes)]
    script = """
        suppressPackageStartupMessages(library(lme4))
        control <- lmerControl(optimizer="bobyqa", optCtrl=list(rhobeg=.02, rhoend=1e-11, maxfun=1e6),
                               check.conv.singular="ignore", calc.derivs=FALSE)
        answer <- function(d) {
          form <- yield ~ treatment + (1|site) + (1|site:block) + (1|site:treatment)
          m <- lmer(form, d, control=control)
          m <- lmer(form, d, control=control, start=getME(m, "theta"))
          v <- as.data.frame(VarCorr(m)); s <- summary(m)$coefficients[-1, , drop=FALSE]
          data.frame(trial=d$trial[1], what=c("loglik", v$grp, rownames(s), paste0(rownames(s), ".se")),
                     value=c(REMLcrit(m), v$vcov, s[, 1], s[, 2]))
        }
        out <- do.call(rbind, lapply(split(data, data$trial), answer))
    """
    plots = pd.concat([plots.assign(trial=number) for number, plots in enumerate(trials)])
    answers = r_answers(tmp_path, script, plots, "lme4")
    assert answers["trial"].nunique() == len(trials)
    for number, plots in enumerate(trials):
        fit = fitted(plots)
        theirs = answers[answers["trial"] == number].set_index("what")["value"]
        assert fit.minus_2_log_likelihood == pytest.approx(theirs["loglik"], rel=1e-9)
        scale = theirs["Residual"]
        for ours, group in (("site", "site"), ("block", "site:block"), ("site_treatment", "site:treatment")):
            assert fit.components[ours] == pytest.approx(theirs[group], rel=2e-5, abs=1e-5 * scale)
        assert fit.components["residual"] == pytest.approx(scale, rel=1e-5)
        for term in fit.terms[1:].itertuples():
            assert term.estimate == pytest.approx(theirs[f"treatment{term.term}"], rel=1e-5, abs=1e-6)
            assert term.se == pytest.approx(theirs[f"treatment{term.term}.se"], rel=1e-5)


def dense_criterion(sums, ratios: np.ndarray) -> float:
    """Return -2 log restricted likelihood by its definition, with one matrix over all plots."""
    groups = [
        sums.garden,
        sums.garden * 1000 + sums.block,
        sums.garden * 1000 + sums.treatment,
    ]
    variance = np.eye(sums.response.size) + sum(
        ratio * (group[:, None] == group) for ratio, group in zip(ratios, groups, strict=True)
    )
    design = sums.design[sums.garden, sums.treatment]
    weight = np.linalg.inv(variance)
    information = design.T @ weight @ design
    error = sums.response - design @ np.linalg.solve(information, design.T @ weight @ sums.response)
    df = sums.response.size - design.shape[1]
    spread = error @ weight @ error / df
    determinants = np.linalg.slogdet(variance)[1] + np.linalg.slogdet(information)[1]
    return determinants + df * (1 + np.log(2 * np.pi * spread))


@given(
    seed=st.integers(0, 1000),
    ratios=st.tuples(*[st.one_of(st.just(0.0), st.floats(1e-3, 50)) for _ in range(3)]).map(np.array),
)
@settings(max_examples=25, deadline=None)
def test_the_likelihood_by_gardens_is_that_of_one_large_matrix(seed, ratios):
    plots = simulated(seed, gardens=5, lost=0.2)
    sums = trial_plots(plots, ["site"], "treatment", "t0", "yield", "block", None, "difference").sums
    found = likelihood(sums, sums.gram(), ratios)
    assert found.value == pytest.approx(dense_criterion(sums, ratios), rel=1e-9)


@given(seed=st.integers(0, 1000), ratios=st.tuples(*[st.floats(0.05, 20)] * 3).map(np.array))
@settings(max_examples=25, deadline=None)
def test_the_derivatives_are_those_of_the_likelihood(seed, ratios):
    plots = simulated(seed, gardens=5, lost=0.2)
    sums = trial_plots(plots, ["site"], "treatment", "t0", "yield", "block", None, "difference").sums
    gram = sums.gram()
    found = likelihood(sums, gram, ratios)
    for part in range(3):
        step = np.eye(3)[part] * 1e-4 * ratios[part]
        above, below = likelihood(sums, gram, ratios + step), likelihood(sums, gram, ratios - step)
        slope = (above.value - below.value) / (2 * step[part])
        curvature = (above.gradient - below.gradient) / (2 * step[part])
        assert found.gradient[part] == pytest.approx(slope, rel=1e-4, abs=1e-5)
        assert found.hessian[part] == pytest.approx(curvature, rel=1e-4, abs=1e-5)
    assert np.linalg.eigvalsh(found.expected)[0] >= -1e-9


# Source: expected mean squares of randomised blocks repeated in gardens (Searle, Casella & McCulloch 1992).
def test_a_balanced_trial_has_the_variances_of_its_analysis_of_variance():
    gardens, blocks, treatments = 9, 4, 3
    plots = simulated(11, gardens, treatments, blocks)
    cube = plots["yield"].to_numpy().reshape(gardens, blocks, treatments)
    site, block, cell = cube.mean((1, 2)), cube.mean(2), cube.mean(1)
    ms_site = blocks * treatments * site.var(ddof=1)
    ms_block = treatments * ((block - site[:, None]) ** 2).sum() / (gardens * (blocks - 1))
    interaction = cell - site[:, None] - cell.mean(0) + cell.mean()
    ms_cell = blocks * (interaction**2).sum() / ((gardens - 1) * (treatments - 1))
    error = cube - block[:, :, None] - cell[:, None, :] + site[:, None, None]
    ms_error = (error**2).sum() / (gardens * (blocks - 1) * (treatments - 1))
    fit = fitted(plots)
    assert fit.components == pytest.approx(
        {
            "site": (ms_site - ms_block - ms_cell + ms_error) / (blocks * treatments),
            "block": (ms_block - ms_error) / treatments,
            "site_treatment": (ms_cell - ms_error) / blocks,
            "residual": ms_error,
        },
        rel=1e-6,
    )
    assert fit.terms["estimate"].to_numpy()[1:] == pytest.approx((cell.mean(0) - cell.mean(0)[0])[1:])
    assert fit.terms["se"].to_numpy()[1:] == pytest.approx(np.sqrt(2 * ms_cell / (gardens * blocks)))
    assert fit.terms["df"].to_numpy()[1:] == pytest.approx((gardens - 1) * (treatments - 1))


# Source: the paired t test, to which one block per garden and two treatments reduce.
def test_one_block_everywhere_is_the_paired_t_test():
    plots = simulated(4, gardens=10, treatments=2, blocks=1)
    pairs = plots.pivot_table("yield", "site", "treatment")
    paired = stats.ttest_rel(pairs["t1"], pairs["t0"])
    fit = fitted(plots)
    term = fit.terms.iloc[1]
    assert term["p"] == pytest.approx(paired.pvalue, rel=1e-6)
    assert term["df"] == pytest.approx(9)
    assert (term["ci_low"], term["ci_high"]) == pytest.approx(tuple(paired.confidence_interval()), rel=1e-6)
    assert fit.components["block"] is None
    assert fit.components["site_treatment"] is None
    assert fit.unknown == {
        "block": "every garden has one block, so blocks are gardens",
        "site_treatment": (
            "no garden has two plots of one treatment, so how gardens differ in the effect is in the residual"
        ),
    }


def test_without_a_block_column_there_is_no_block_variance():
    fit = fitted(simulated(1), block=None)
    assert fit.components["block"] is None
    assert fit.unknown == {"block": "no block column was given"}


def test_a_blocks_name_counts_within_its_garden_only():
    plots = simulated(2, lost=0.1)
    renamed = plots.assign(block=plots["site"].astype(str) + "-" + plots["block"].map("north{}".format))
    pd.testing.assert_frame_equal(fitted(renamed).terms, fitted(plots).terms)


@given(seed=st.integers(0, 200), unit=st.floats(1e-3, 1e3), shift=st.floats(-1e3, 1e3))
@settings(max_examples=15, deadline=None)
def test_a_unit_and_a_shift_change_the_fit_as_they_must(seed, unit, shift):
    plots = simulated(seed, gardens=6, lost=0.15)
    plain = fitted(plots)
    other = fitted(plots.assign(**{"yield": plots["yield"] * unit + shift}))
    for column in ("estimate", "se", "ci_low", "ci_high"):
        assert other.terms[column][1:].to_numpy() == pytest.approx(
            plain.terms[column][1:].to_numpy() * unit, rel=1e-5, abs=1e-7 * unit
        )
    assert other.terms["df"][1:].to_numpy() == pytest.approx(plain.terms["df"][1:].to_numpy(), rel=1e-4)
    scale = plain.components["residual"] * unit**2
    for part, value in plain.components.items():
        assert other.components[part] == pytest.approx(value * unit**2, rel=1e-4, abs=1e-6 * scale)


@given(seed=st.integers(0, 200), data=st.data())
@settings(max_examples=10, deadline=None)
def test_neither_the_order_of_plots_nor_the_names_of_gardens_matter(seed, data):
    plots = simulated(seed, gardens=5, treatments=2, lost=0.1)
    order = data.draw(st.permutations(range(len(plots))))
    names = plots["site"].map(dict(enumerate(data.draw(st.permutations(["K1", "K2", "K3", "K4", "K5"])))))
    other = fitted(plots.assign(site=names).iloc[list(order)])
    plain = fitted(plots)
    assert other.terms["estimate"].to_numpy() == pytest.approx(plain.terms["estimate"].to_numpy(), rel=1e-6)
    assert other.terms["se"].to_numpy() == pytest.approx(plain.terms["se"].to_numpy(), rel=1e-6)


def test_the_ratio_is_the_fit_of_the_logarithms():
    plots = simulated(3, lost=0.1)
    logs = plots.assign(**{"yield": np.log(plots["yield"])})
    fit = fitted(plots, effect="ratio")
    assert fit.effect == "ratio"
    pd.testing.assert_frame_equal(fit.terms, fitted(logs).terms)


def test_garden_and_season_together_may_be_the_site():
    plots = simulated(5, gardens=6).assign(season=lambda rows: 2024 + rows["site"] % 2)
    plots["garden"] = plots["site"] // 2
    pd.testing.assert_frame_equal(fitted(plots, site=["garden", "season"]).terms, fitted(plots).terms)


def test_a_plot_without_a_response_is_left_out():
    plots = simulated(6)
    blanked = plots.assign(**{"yield": plots["yield"].mask(plots.index % 7 == 0)})
    fit = fitted(blanked)
    assert fit.plots == len(plots) - len(plots[::7])
    pd.testing.assert_frame_equal(fit.terms, fitted(blanked.dropna()).terms)


def test_a_variance_that_would_be_negative_is_zero():
    fit = fitted(
        values.data("yates_oats").assign(site=lambda rows: rows["block"], treatment="t0").pipe(_half_treated)
    )
    assert fit.components["site_treatment"] == 0.0
    assert fit.terms["df"].iloc[1] == pytest.approx(5, rel=1e-6)


def _half_treated(plots: pd.DataFrame) -> pd.DataFrame:
    return plots.assign(treatment=np.where(plots["nitrogen"] > 0.3, "t1", "t0"), block=plots["variety"])


# Source: the values that the plots were simulated with.
def test_five_hundred_gardens_give_back_what_they_were_made_with():
    fit = fitted(simulated(7, gardens=500, treatments=2, lost=0.05))
    term = fit.terms.iloc[1]
    assert abs(term["estimate"] - 0.5) < 4 * term["se"]
    made_with = {"site": 9.0, "block": 1.0, "site_treatment": 0.49, "residual": 2.25}
    assert fit.components == pytest.approx(made_with, rel=0.3)


def test_the_json_has_the_agreed_names_and_no_nan():
    entries = fitted(simulated(8, blocks=1)).mixed_model()
    assert [entry["treatment"] for entry in entries] == ["t1", "t2"]
    for entry in entries:
        assert {"treatment", "estimate", "se", "df", "p", "components"} <= entry.keys()
        assert entry["components"].keys() == {"site", "site_treatment", "block", "residual"}
        assert entry["components"]["block"] is None
        assert entry["df_rule"].startswith("Satterthwaite")


def plots_of(*rows):
    return pd.DataFrame(rows, columns=["site", "block", "treatment", "yield"])


REFUSALS = {
    "no control": (
        plots_of(("a", 1, "t1", 1.0), ("a", 1, "t2", 2.0), ("b", 1, "t1", 3.0)),
        {},
        "No plot with a response grew the control t0; treatments: t1, t2.",
    ),
    "one treatment": (
        plots_of(("a", 1, "t0", 1.0), ("b", 1, "t0", 2.0)),
        {},
        "Only t0 has plots with a response; there is nothing to compare it with.",
    ),
    "one garden": (
        plots_of(("a", 1, "t0", 1.0), ("a", 1, "t1", 2.0)),
        {},
        "A mixed model over gardens needs plots with a response from at least two gardens.",
    ),
    "few plots": (
        plots_of(("a", 1, "t0", 1.0), ("a", 1, "t1", 2.0), ("b", 1, "t1", 2.5)),
        {},
        "3 plots are too few for 2 terms and their error. Leave treatments out, or wait for more plots.",
    ),
    "blank key": (
        plots_of(("a", None, "t0", 1.0), ("a", 1, "t1", 2.0)),
        {},
        "Column block is blank for a plot that has a response; fill it in.",
    ),
    "infinite": (
        simulated(1).assign(**{"yield": np.inf}),
        {},
        "A response is infinite; fill in a number or leave it blank.",
    ),
    "all equal": (
        simulated(1).assign(**{"yield": 7.0}),
        {},
        "All plots have the same response, so nothing can be estimated from them.",
    ),
    "zero": (
        plots_of(("a", 1, "t0", 1.0), ("b", 1, "t1", 0.0), ("b", 1, "t0", -2.0)),
        {"effect": "ratio"},
        "2 of 3 plots have a response of 0 or below, the first in garden b. "
        "A ratio needs every response above 0: ask for the difference.",
    ),
    "gradient within": (
        simulated(1).assign(east=lambda rows: rows["block"]),
        {"gradient": "east"},
        "Column east differs between plots of one garden; give one value per garden.",
    ),
    "gradient level": (
        simulated(1).assign(east=3.0),
        {"gradient": "east"},
        "The gradient does not differ enough between the gardens of each treatment to give it a slope. "
        "Leave the gradient out, or the treatments that few gardens grew.",
    ),
    "block per treatment": (
        pd.concat([simulated(1), simulated(2)]).assign(block=lambda rows: rows["treatment"]),
        {},
        "The layout cannot tell the variances of site, block, site_treatment and plots apart, as where each "
        "block or each garden holds one treatment. Leave the block out, or such gardens.",
    ),
    "no error": (
        simulated(1, gardens=12, treatments=2, sd=(1.0, 1.0, 1.0, 0.0)),
        {},
        "Gardens, blocks and treatments leave no plot error to judge by: too few plots repeat a treatment in "
        "a garden, or values were copied from plot to plot. Leave the block out, or wait for more plots.",
    ),
}


@pytest.mark.parametrize("case", REFUSALS)
def test_plots_from_which_there_is_no_model_are_refused(case):
    plots, options, sentence = REFUSALS[case]
    with pytest.raises(InputError) as refusal:
        fitted(plots, **options)
    assert str(refusal.value) == sentence
