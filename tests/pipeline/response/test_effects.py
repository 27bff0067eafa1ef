import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.response.effects import difference, log_response_ratio, squared_cv_of_mean
from sites.errors import InputError
from tests.reference import values

ARMS = {
    name.rsplit(".", 1)[0]
    for name in values.expected("antigua_maize")
    if name.startswith("arm.") and name.endswith(".lnrr_var")
}


def arm(dataset, name):
    """Return mean, standard deviation and plots of treatment and control as the reference gives them."""
    reference = values.expected(dataset)
    return tuple(reference[f"{name}.{part}_{side}"] for side in "tc" for part in ("mean", "sd", "n"))


@pytest.mark.parametrize("name", sorted(ARMS))
def test_ratio_and_difference_of_two_arms_agree_with_the_reference(name):
    """Andrews & Herzberg 1985, maize at eight sites; values by R."""
    arms = arm("antigua_maize", name)
    ratio, variance = log_response_ratio(*arms)
    corrected, corrected_variance = log_response_ratio(*arms, bias_corrected=True)
    estimate, own = difference(*arms)
    _, pooled = difference(*arms, arms="pooled")
    found = {
        "lnrr": ratio,
        "lnrr_var": variance,
        "lnrr_bc": corrected,
        "lnrr_bc_var": corrected_variance,
        "md": estimate,
        "md_var_welch": own,
        "md_var_pooled": pooled,
    }
    assert (
        values.compare("antigua_maize", {f"{name}.{key}": float(value) for key, value in found.items()}) == []
    )


@pytest.mark.parametrize("trial", [1, 2, 3, 10, 50, 102])
def test_log_response_ratios_of_published_experiments(trial):
    """Curtis & Wang 1998, the data that Hedges, Gurevitch & Curtis 1999 worked with; values by metafor."""
    row = values.data("co2_biomass_rr").iloc[trial - 1]
    arms = [row[f"{part}_{side}"] for side in ("elev", "amb") for part in ("mean", "sd", "n")]
    ratio, variance = log_response_ratio(*arms)
    corrected, corrected_variance = log_response_ratio(*arms, bias_corrected=True)
    found = {"lnrr": ratio, "lnrr_var": variance, "lnrr_bc": corrected, "lnrr_bc_var": corrected_variance}
    assert (
        values.compare("co2_biomass_rr", {f"id{row['id']}.{key}": float(v) for key, v in found.items()}) == []
    )


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
