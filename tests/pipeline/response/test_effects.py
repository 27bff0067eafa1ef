import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.response.effects import difference, log_response_ratio, squared_cv_of_mean
from pipeline.response.garden_contrasts import arms
from pipeline.response.garden_model import fit_gardens
from sites.errors import InputError
from tests.reference import values
from tests.reference.groups import HELD

COLUMNS = {
    "antigua_maize": ("site", "yield", "t000"),
    "synthetic_gradient_demo": ("site", "yield", "control"),
    "dunnett1955_blood": (None, "count", "control"),
}


def arms_of(dataset):
    """Yield the reference's name of a contrast, and plots, mean and deviation of treatment and control."""
    site, response, control = COLUMNS[dataset]
    table = values.data(dataset).dropna(subset=[response])
    gardens = table[site] if site else pd.Series("", index=table.index)
    for garden, here in table.groupby(gardens):
        treatments = [control, *sorted(set(here["treatment"]) - {control})]
        code = pd.Index(treatments).get_indexer(here["treatment"])
        response_here, only = here[response].to_numpy(float), np.zeros(len(here), dtype=int)
        found = arms(response_here, only, code, fit_gardens(response_here, only, code))
        each = np.stack([found.plots[0], found.mean[0], found.sd[0]], axis=1)
        for treatment, arm in zip(treatments[1:], each[1:], strict=True):
            name = ".".join(filter(None, ("arm", garden, treatment)))
            if f"{name}.md" in values.expected(dataset):
                yield name, arm, each[0]


@pytest.mark.parametrize(("dataset", "pattern"), HELD["arms"])
def test_arms_and_their_ratio_and_difference_agree_with_the_reference(dataset, pattern):
    """Andrews & Herzberg 1985, maize at eight sites; Dunnett 1955; made-up gardens; values by R."""
    found = {}
    for name, (n_t, mean_t, sd_t), (n_c, mean_c, sd_c) in arms_of(dataset):
        own_arms = (mean_t, sd_t, n_t, mean_c, sd_c, n_c)
        ratio, variance = log_response_ratio(*own_arms)
        corrected, corrected_variance = log_response_ratio(*own_arms, bias_corrected=True)
        md, welch = difference(*own_arms)
        _, pooled = difference(*own_arms, arms="pooled")
        one_sd = np.sqrt(pooled / (1 / n_t + 1 / n_c))
        _, of_one_sd = log_response_ratio(mean_t, one_sd, n_t, mean_c, one_sd, n_c)
        quantities = {
            "n_t": n_t,
            "n_c": n_c,
            "mean_t": mean_t,
            "mean_c": mean_c,
            "sd_t": sd_t,
            "sd_c": sd_c,
            "md": md,
            "md_var_welch": welch,
            "md_var_pooled": pooled,
            "lnrr": ratio,
            "lnrr_var": variance,
            "lnrr_bc": corrected,
            "lnrr_bc_var": corrected_variance,
            "lnrr_var_pooledsd": of_one_sd,
        }
        found |= {f"{name}.{key}": float(value) for key, value in quantities.items() if np.isfinite(value)}
    assert values.compare(dataset, found, pattern) == []


def test_log_response_ratios_of_published_experiments():
    """Curtis & Wang 1998, the data that Hedges, Gurevitch & Curtis 1999 worked with; values by metafor."""
    ((dataset, pattern),) = HELD["arms_from_published_figures"]
    table = values.data(dataset)
    both = [table[f"{part}_{side}"] for side in ("elev", "amb") for part in ("mean", "sd", "n")]
    ratio, variance = log_response_ratio(*both)
    corrected, corrected_variance = log_response_ratio(*both, bias_corrected=True)
    quantities = {
        "lnrr": ratio,
        "lnrr_var": variance,
        "lnrr_bc": corrected,
        "lnrr_bc_var": corrected_variance,
    }
    found = {
        f"id{trial}.{key}": float(value[row])
        for key, value in quantities.items()
        for row, trial in enumerate(table["id"])
        if f"id{trial}.{key}" in values.expected(dataset)
    }
    assert values.compare(dataset, found, pattern) == []


@pytest.mark.parametrize(
    ("arms", "ratio", "variance", "percent", "low", "high"),
    [
        ((5, 1.2, 8, 4, 1.0, 8), 0.22314, 0.0150125, 25.0, -1.7, 58.9),
        ((2.4, 0.9, 6, 3.0, 0.6, 6), -0.22314, 0.030104, -20.0, -43.1, 12.4),
    ],
)
def test_log_response_ratio_worked_by_hand(arms, ratio, variance, percent, low, high):
    """Hedges, Gurevitch & Curtis 1999, Ecology 80:1150-1156, equation 1, with a pocket calculator."""
    found, its_variance = log_response_ratio(*arms)
    assert found == pytest.approx(ratio, abs=1e-5)
    assert its_variance == pytest.approx(variance, abs=1e-6)
    back = [100 * np.expm1(found + margin * np.sqrt(its_variance)) for margin in (0, -1.96, 1.96)]
    assert back == pytest.approx([percent, low, high], abs=0.1)


def test_two_ratios_that_share_a_control_covary_by_its_squared_cv():
    """Lajeunesse 2011, Ecology 92:2049-2055: SD^2 / (n mean^2) of the control, here 1 / (8 x 16)."""
    assert squared_cv_of_mean(4, 1.0, 8) == pytest.approx(0.0078125, abs=1e-12)


def test_arrays_of_arms_give_arrays_of_ratios():
    ratio, variance = log_response_ratio([5, 2.4], [1.2, 0.9], [8, 6], [4, 3.0], [1.0, 0.6], [8, 6])
    assert ratio == pytest.approx([0.22314, -0.22314], abs=1e-5)
    assert variance == pytest.approx([0.0150125, 0.030104], abs=1e-6)


@pytest.mark.parametrize("mean", [0.0, -1.0, np.nan])
def test_there_is_no_ratio_to_a_mean_that_is_not_above_zero(mean):
    ratio, variance = log_response_ratio([5, 5], 1, 4, [mean, 5], 1, 4)
    assert np.isnan([ratio[0], variance[0]]).all()
    assert np.isfinite([ratio[1], variance[1]]).all()


def test_an_arm_without_a_standard_deviation_has_a_ratio_but_no_variance():
    ratio, variance = log_response_ratio(5, np.nan, 1, 4, 1, 4)
    assert np.isfinite(ratio)
    assert np.isnan(variance)


@pytest.mark.parametrize(("sd", "n", "said"), [(-1, 4, "below zero"), (1, 0, "at least one")])
def test_an_impossible_arm_is_refused(sd, n, said):
    with pytest.raises(InputError, match=said):
        log_response_ratio(5, sd, n, 4, 1, 4)


means = st.floats(0.1, 100)
deviations = st.floats(0.01, 50)
plots = st.integers(2, 50)


@given(means, deviations, plots, means, deviations, plots, st.floats(0.01, 100))
def test_the_unit_of_yield_does_not_matter_to_the_ratio(mt, st_, nt, mc, sc, nc, unit):
    in_kg = log_response_ratio(mt, st_, nt, mc, sc, nc)
    in_other = log_response_ratio(mt * unit, st_ * unit, nt, mc * unit, sc * unit, nc)
    assert in_other == pytest.approx(in_kg, rel=1e-9, abs=1e-12)


@given(means, deviations, plots, means, deviations, plots)
def test_swapping_the_arms_turns_the_ratio_round_and_keeps_its_variance(mt, st_, nt, mc, sc, nc):
    ratio, variance = log_response_ratio(mt, st_, nt, mc, sc, nc)
    swapped, its_variance = log_response_ratio(mc, sc, nc, mt, st_, nt)
    assert swapped == pytest.approx(-ratio)
    assert its_variance == pytest.approx(variance)
