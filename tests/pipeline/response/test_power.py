"""Power formulas against R and printed tables, and against what must hold for any of them."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate, special, stats

from pipeline.response.power import (
    blocked_variance,
    gardens_needed,
    least_significant_difference,
    mean_effect_se,
    minimum_detectable_difference,
    network_power,
    paired_power,
    pairs_needed,
    slope_power,
    smallest_effect,
    t_power,
    two_sample_plots,
    two_sample_power,
)
from sites.errors import InputError
from tests.reference import values
from tests.reference.groups import HELD

LONGITUDES = {gardens: np.linspace(-10, 10, gardens) for gardens in (6, 12, 24, 60)}


def two_groups() -> dict[str, float]:
    found = {
        "two_sample.n20_d1_sd1.power": float(two_sample_power(20, 1, 1, counted="right side")),
        "two_sample.power90_d1_sd1.n_per_group": two_sample_plots(1, 1, 0.9, counted="right side"),
    }
    for number, difference in ((4, 1), (6, 0.5), (12, 0.5), (30, 0.5), (64, 0.5)):
        for name, power in (("two_sample", two_sample_power), ("paired", paired_power)):
            key = f"{name}.n{number}_delta{difference:g}_sd1"
            found[f"{key}.power_one_tail_r_default"] = float(
                power(number, difference, 1, counted="right side")
            )
            found[f"{key}.power_strict"] = float(power(number, difference, 1))
    for difference, target in ((0.5, 0.8), (0.25, 0.8), (0.8, 0.9)):
        for name, plots in (("two_sample", two_sample_plots), ("paired", pairs_needed)):
            exact = plots(difference, 1, target, counted="right side")
            key = f"{name}.delta{difference:g}_sd1_power{target:g}"
            found |= {f"{key}.n_exact": exact, f"{key}.n_ceiling": np.ceil(exact)}
    return found


def networks() -> dict[str, float]:
    found = {}
    for theta, gardens, v, tau2 in (
        (0.1, 3, 0.02, 0.01), (0.1, 6, 0.02, 0.01), (0.1, 12, 0.02, 0.01), (0.1, 24, 0.02, 0.01),
        (0.1, 60, 0.02, 0.01), (0.15, 12, 0.0225, 0.0064), (0.2, 8, 0.04, 0),
    ):  # fmt: skip
        key = f"re_sites.theta{theta:g}_k{gardens}_v{v:g}_tau2{tau2:g}"
        found[f"{key}.power_z"] = float(network_power(theta, gardens, v, tau2, reference="normal"))
        found[f"{key}.power_t_hk"] = float(network_power(theta, gardens, v, tau2))
    for theta, v, tau2, target in (
        (0.1, 0.02, 0.01, 0.8), (0.15, 0.0225, 0.0064, 0.8), (0.15, 0.0225, 0.0064, 0.9), (0.2, 0.04, 0, 0.8),
    ):  # fmt: skip
        key = f"re_sites.theta{theta:g}_v{v:g}_tau2{tau2:g}_power{target:g}"
        found[f"{key}.k_z"] = gardens_needed(theta, v, tau2, target, reference="normal")
        found[f"{key}.k_t_hk"] = gardens_needed(theta, v, tau2, target)
    for gardens, blocks, difference, s2, tau2 in (
        (10, 2, 3, 16, 9), (20, 1, 3, 16, 9), (10, 4, 3, 16, 9), (40, 1, 2, 16, 4),
    ):  # fmt: skip
        key = f"plot_level.k{gardens}_b{blocks}_delta{difference}_s2{s2}_tau2{tau2}"
        variance = float(blocked_variance(s2, blocks))
        se = float(mean_effect_se(gardens, variance, tau2))
        found |= {
            f"{key}.var_effect": se**2,
            f"{key}.se": se,
            f"{key}.power_t": float(network_power(difference, gardens, variance, tau2)),
            f"{key}.mde80_t": smallest_effect(gardens, variance, tau2),
        }
    for gardens, longitude in LONGITUDES.items():
        key = f"slope.b0.02_k{gardens}_lon-10to10_v0.02_tau20.01"
        found[f"{key}.sxx"] = np.sum((longitude - longitude.mean()) ** 2)
        found[f"{key}.power_t"] = slope_power(0.02, longitude, 0.02, 0.01)
    return found


# Source: tests/reference, R's power.t.test and the noncentral t written out in R.
def test_powers_and_numbers_meet_the_reference_values():
    ((dataset, pattern),) = HELD["planning"]
    assert values.compare(dataset, two_groups() | networks(), pattern) == []


# Source: Cohen 1988, Statistical Power Analysis, table 2.3, from memory.
def test_a_medium_effect_takes_64_plots_of_each_treatment():
    assert np.ceil(two_sample_plots(0.5, 1.0, 0.8)) == 64


# Source: computed in R with qt(), rounded to 0.1; two treatments.
ONE_GARDEN_PCT = {
    10: {3: (35.1, 43.8), 4: (22.5, 29.4), 5: (17.6, 23.5), 6: (14.8, 20.2), 8: (11.8, 16.3)},
    20: {3: (70.3, 87.6), 4: (45.0, 58.8), 5: (35.1, 47.0), 6: (29.7, 40.3), 8: (23.6, 32.6)},
    30: {3: (105.4, 131.4), 4: (67.5, 88.3), 5: (52.7, 70.5), 6: (44.5, 60.5), 8: (35.5, 48.9)},
}


@pytest.mark.parametrize("cv", ONE_GARDEN_PCT)
def test_one_garden_sees_these_differences_in_percent_of_its_mean(cv):
    blocks = list(ONE_GARDEN_PCT[cv])
    significant, detectable = np.transpose(list(ONE_GARDEN_PCT[cv].values()))
    assert least_significant_difference(cv, blocks) == pytest.approx(significant, abs=0.06)
    assert minimum_detectable_difference(cv, blocks) == pytest.approx(detectable, abs=0.06)


# Source: by hand, sqrt(0.15^2 / k + 2 x 0.2^2 / (4 k)).
@pytest.mark.parametrize(("gardens", "se"), [(10, 0.0652), (20, 0.0461)])
def test_the_standard_error_of_a_network_of_four_blocks(gardens, se):
    found = float(mean_effect_se(gardens, blocked_variance(0.2**2, 4), 0.15**2))
    assert found == pytest.approx(se, abs=1e-4)


# Source: by hand with (t(0.975) + t(0.8)) x SE, rounded to whole percent.
@pytest.mark.parametrize(
    ("gardens", "blocks", "percent"), [(5, 4, 41), (10, 4, 23), (20, 4, 15), (10, 8, 20)]
)
def test_more_gardens_see_smaller_effects_sooner_than_more_blocks(gardens, blocks, percent):
    effect = smallest_effect(gardens, float(blocked_variance(0.2**2, blocks)), 0.15**2)
    assert 100 * np.expm1(effect) == pytest.approx(percent, abs=1.0)


# Source: the definition, integrated over the distribution of the standard deviation's ratio by SciPy.
@pytest.mark.parametrize("df", [1, 2.5, 9, 80])
@pytest.mark.parametrize("shift", [0.0, 0.7, 3.0, 12.0])
def test_the_power_is_that_of_the_noncentral_t(df, shift):
    bound = special.stdtrit(df, 0.975)
    density = stats.chi(df, scale=1 / np.sqrt(df)).pdf

    def rejected(ratio: float, sign: int) -> float:
        return float(special.ndtr(sign * shift - bound * ratio) * density(ratio))

    right = integrate.quad(rejected, 0, np.inf, args=(1,), epsabs=1e-13, limit=200)[0]
    wrong = integrate.quad(rejected, 0, np.inf, args=(-1,), epsabs=1e-13, limit=200)[0]
    assert float(t_power(shift, df)) == pytest.approx(right + wrong, abs=1e-8)
    assert float(t_power(shift, df, counted="right side")) == pytest.approx(right, abs=1e-8)


@given(df=st.floats(1, 1e6), alpha=st.floats(1e-4, 0.5))
@settings(deadline=None)
def test_without_an_effect_the_power_is_alpha_and_with_a_sure_one_it_is_one(df, alpha):
    assert float(t_power(0.0, df, alpha)) == pytest.approx(alpha, rel=1e-6)
    assert float(t_power(np.inf, df, alpha)) == pytest.approx(1.0, abs=1e-12)


@given(df=st.integers(1, 2000), alpha=st.sampled_from([0.01, 0.05, 0.2]))
@settings(deadline=None, max_examples=30)
def test_power_rises_with_the_effect_on_either_side(df, alpha):
    shifts = np.concatenate([np.linspace(0, 40, 81), [1e3, 1e6]])
    power = t_power(shifts, df, alpha)
    assert (np.diff(power) >= -1e-9).all()
    assert ((power >= alpha * (1 - 1e-9)) & (power <= 1)).all()
    assert t_power(-shifts, df, alpha) == pytest.approx(power)


@given(
    effect=st.floats(0.05, 1),
    variance=st.floats(0.001, 0.2),
    tau2=st.floats(0, 0.1),
    power=st.floats(0.5, 0.95),
)
@settings(deadline=None, max_examples=30)
def test_one_garden_less_than_needed_is_too_few(effect, variance, tau2, power):
    gardens = gardens_needed(effect, variance, tau2, power)
    assert float(network_power(effect, gardens, variance, tau2)) >= power
    if gardens > 2:
        assert float(network_power(effect, gardens - 1, variance, tau2)) < power
    assert smallest_effect(gardens, variance, tau2, power) <= effect * (1 + 1e-9)


def test_a_huge_effect_still_takes_two_plots():
    assert two_sample_plots(100.0, 1.0, 0.8) == 2.0
    assert gardens_needed(100.0, 0.02, 0.01) == 2


def test_powers_are_vectorised():
    power = network_power(0.1, [[6], [12]], [0.02, 0.03, 0.04], 0.01)
    assert power.shape == (2, 3)
    assert power[1, 0] == pytest.approx(float(network_power(0.1, 12, 0.02, 0.01)))


def test_a_single_block_has_no_smallest_difference():
    assert np.isnan(least_significant_difference(0.2, 1))
    assert np.isnan(minimum_detectable_difference(0.2, 1))


def test_an_effect_that_is_practically_none_is_refused():
    with pytest.raises(InputError) as refusal:
        gardens_needed(1e-6, 0.02, 0.01)
    assert str(refusal.value) == (
        "The effect is so small that more than a million gardens are needed. Ask for a larger one."
    )
    with pytest.raises(InputError) as refusal:
        two_sample_plots(1e-6, 1.0, 0.8)
    assert str(refusal.value) == "The difference is so small that more than a million plots are needed."


@pytest.mark.parametrize("position", [[1.0, 2.0], [3.0, 3.0, 3.0]])
def test_a_slope_without_a_spread_of_gardens_is_refused(position):
    with pytest.raises(InputError) as refusal:
        slope_power(0.02, position, 0.02, 0.01)
    assert str(refusal.value) == "A slope needs at least three gardens, not all at one place."
