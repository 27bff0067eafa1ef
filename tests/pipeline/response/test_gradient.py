import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.response.bands import bands
from pipeline.response.gradient import gradient
from pipeline.response.intervals import t_quantile
from pipeline.response.network import pool
from pipeline.response.random_effects import random_effects
from sites.errors import InputError
from tests.reference import values
from tests.reference.groups import HELD

OPTIONS = ("knapp-hartung", "bootstrap", 0.95)


def network(seed=0, gardens=12, slope=0.0005, tau=0.15, bend=0.0):
    random = np.random.default_rng(seed)
    east = np.sort(random.uniform(0, 600, gardens))
    variance = random.gamma(3, 0.01, gardens) + 0.002
    effect = 0.2 + slope * east + bend * ((east - 300) / 300) ** 2
    return effect + random.standard_normal(gardens) * np.sqrt(variance + tau**2), variance, east


def test_the_bands_on_published_trials_agree_with_metafor():
    """Latitude and the effect of a vaccine, Colditz et al. 1994; values by metafor."""
    table = values.data("bcg_latitude")
    a, b, c, d = (table[column].to_numpy(float) for column in ("tpos", "tneg", "cpos", "cneg"))
    effect, variance = np.log(a / (a + b) / (c / (c + d))), 1 / a - 1 / (a + b) + 1 / c - 1 / (c + d)
    design = np.vstack([np.ones(13), table["ablat"]])
    model = random_effects(effect, variance, design, "reml")
    places = {"20": 20, "33": 33.46153846, "50": 50}
    rows = np.array([[1, place] for place in places.values()])
    found = {}
    for name, (_, band) in zip(places, bands(model.fit, model, rows, *OPTIONS).iterrows(), strict=True):
        quantity = f"mr.reml.hk.pred_at_{name}"
        found |= {
            f"{quantity}.pred": band["mean"],
            f"{quantity}.se": (band["high"] - band["low"]) / (2 * t_quantile(13 - 2, 0.95)),
            f"{quantity}.ci_lb": band["low"],
            f"{quantity}.ci_ub": band["high"],
        }
    ((dataset, pattern),) = HELD["predicted"]
    assert values.compare(dataset, found, pattern) == []


def test_the_band_never_leaves_the_gardens_range():
    effect, variance, east = network()
    band = gradient(effect, variance, {"east_km": east}).band
    assert [band["axis"].min(), band["axis"].max()] == pytest.approx([east.min(), east.max()])


def test_the_band_for_a_new_garden_is_wider_than_that_for_the_mean():
    effect, variance, east = network()
    band = gradient(effect, variance, {"east_km": east}).band
    assert (band["new_low"] < band["low"]).all()
    assert (band["high"] < band["new_high"]).all()


@pytest.mark.parametrize("prediction", ["t", "bootstrap"])
def test_a_band_for_a_new_garden_needs_three_degrees_of_freedom(prediction):
    effect, variance, east = network(gardens=5)
    four = gradient(effect[:4], variance[:4], {"east_km": east[:4]}, prediction=prediction).band
    five = gradient(effect, variance, {"east_km": east}, prediction=prediction).band
    assert four["new_low"].isna().all()
    assert five["new_low"].notna().all()


def test_other_covariates_are_held_at_their_mean_along_the_band():
    effect, variance, east = network()
    rain = np.random.default_rng(1).uniform(300, 900, 12)
    found = gradient(effect, variance, {"east_km": east, "rain_mm": rain})
    intercept, slope, by_rain = (term.coefficient for term in found.regression.terms)
    expected = intercept + slope * found.band["axis"] + by_rain * rain.mean()
    assert found.band["mean"].to_numpy() == pytest.approx(expected.to_numpy())


def test_the_terms_are_those_of_the_pooled_answer():
    effect, variance, east = network()
    assert (
        gradient(effect, variance, {"east_km": east}).regression
        == pool(effect, variance, {"east_km": east}).gradient
    )


def test_a_gardens_estimate_lies_between_its_own_effect_and_the_line():
    effect, variance, east = network()
    gardens = gradient(effect, variance, {"east_km": east}).gardens
    between = (gardens["estimate"] - gardens["effect"]) * (gardens["estimate"] - gardens["fitted"])
    assert (between <= 0.01**2).all()
    assert (gardens["estimate_low"] < gardens["estimate"]).all()


def test_a_vague_garden_is_pulled_more_than_a_precise_one():
    effect, variance, east = network()
    variance[:2] = 0.001, 0.5
    effect[:2] = effect[:2].mean() + 0.5
    gardens = gradient(effect, variance, {"east_km": east}).gardens
    pull = (gardens["effect"] - gardens["estimate"]) / (gardens["effect"] - gardens["fitted"])
    assert pull[0] < 0.2 < 0.8 < pull[1]


def test_the_true_effect_of_a_garden_lies_in_its_interval_as_often_as_it_says():
    random = np.random.default_rng(8)
    held = []
    for _ in range(60):
        east, variance = np.linspace(0, 600, 15), random.uniform(0.02, 0.08, 15)
        true = 0.2 + 0.0005 * east + 0.15 * random.standard_normal(15)
        effect = true + random.standard_normal(15) * np.sqrt(variance)
        gardens = gradient(effect, variance, {"east_km": east}).gardens
        held += list((gardens["estimate_low"] < true) & (true < gardens["estimate_high"]))
    assert np.mean(held) == pytest.approx(0.95, abs=0.03)


def test_every_garden_is_left_out_in_turn():
    effect, variance, east = network(gardens=7)
    gardens = gradient(effect, variance, {"east_km": east}).gardens
    for i in range(7):
        rest = np.arange(7) != i
        without = pool(effect[rest], variance[rest], {"east_km": east[rest]})
        assert gardens["mean_without"][i] == pytest.approx(without.estimate)
        assert gardens["slope_without"][i] == pytest.approx(without.gradient.terms[1].coefficient)


def test_a_garden_that_carries_the_slope_alone_has_no_slope_without_it():
    effect, variance, _ = network(gardens=6)
    gardens = gradient(effect, variance, {"east_km": [0.0, 0, 0, 0, 0, 100]}).gardens
    assert np.isnan(gardens["slope_without"][5])
    assert gardens["slope_without"][:5].notna().all()


def test_the_gardens_keep_their_names():
    effect, variance, east = network(gardens=4)
    found = gradient(effect, variance, {"east_km": east}, gardens=["Elm", "Oak", "Ash", "Fir"]).gardens
    assert found["garden"].tolist() == ["Elm", "Oak", "Ash", "Fir"]


def test_covariates_that_move_together_are_shown():
    """With two covariates of correlation r the variance of each slope grows by 1 / (1 - r^2)."""
    effect, variance, east = network(gardens=24)
    height = 300 + 1.4 * (600 - east) + np.random.default_rng(2).normal(0, 60, 24)
    found = gradient(effect, variance, {"east_km": east, "elevation_m": height})
    r = np.corrcoef(east, height)[0, 1]
    assert found.correlations.to_numpy().tolist() == [["east_km", "elevation_m", pytest.approx(r)]]
    assert found.inflation["inflation"].to_numpy() == pytest.approx([1 / (1 - r**2)] * 2)
    assert r < -0.95


def test_one_covariate_moves_with_no_other():
    effect, variance, east = network()
    found = gradient(effect, variance, {"east_km": east})
    assert found.correlations.empty
    assert found.inflation["inflation"].tolist() == pytest.approx([1])


@pytest.mark.parametrize(
    ("gardens", "covariates", "enough"), [(10, 1, True), (9, 1, False), (19, 2, False), (20, 2, True)]
)
def test_ten_gardens_are_asked_for_each_covariate(gardens, covariates, enough):
    """Cochrane Handbook, section 10.11, from memory."""
    effect, variance, east = network(gardens=gardens)
    other = np.random.default_rng(3).uniform(0, 1, gardens)
    table = pd.DataFrame({"east_km": east, "other": other}).iloc[:, :covariates]
    assert gradient(effect, variance, table).enough_gardens is enough


def test_a_bend_is_looked_for_only_where_gardens_are_enough():
    few, many = network(gardens=29), network(gardens=30)
    assert gradient(few[0], few[1], {"east_km": few[2]}).curve is None
    assert gradient(many[0], many[1], {"east_km": many[2]}).curve is not None


def test_a_bend_is_seen_where_there_is_one():
    straight, bent = (network(seed=5, gardens=60, bend=bend) for bend in (0.0, 1.0))
    tests = [gradient(one[0], one[1], {"east_km": one[2]}).curve.test for one in (straight, bent)]
    assert (tests[0].df1, tests[0].df2) == (2, 56)
    assert tests[1].p < 1e-4 < 0.05 < tests[0].p


def test_the_curve_follows_a_straight_line_exactly():
    _, variance, east = network(gardens=40)
    curve = gradient(0.1 + 0.002 * east, variance, {"east_km": east}).curve
    assert curve.band["mean"].to_numpy() == pytest.approx((0.1 + 0.002 * curve.band["axis"]).to_numpy())


def test_without_any_error_known_there_is_a_line_and_no_band_for_a_new_garden():
    effect, _, east = network()
    found = gradient(effect, None, {"east_km": east})
    assert found.band[["mean", "low", "high"]].notna().all(axis=None)
    assert found.band["new_low"].isna().all()
    assert found.gardens["estimate"].isna().all()
    assert found.gardens["slope_without"].notna().all()


@pytest.mark.parametrize(
    ("gardens", "covariates", "said"),
    [(12, {}, "at least one covariate"), (3, {"east_km": [0, 1, 2]}, "at least 4")],
)
def test_a_gradient_that_cannot_be_shown_is_refused(gardens, covariates, said):
    effect, variance, _ = network(gardens=gardens)
    with pytest.raises(InputError, match=said):
        gradient(effect, variance, covariates)


@given(st.integers(0, 200), st.floats(-1e4, 1e4), st.floats(0.01, 100))
def test_neither_the_origin_nor_the_unit_of_the_axis_changes_what_is_seen(seed, origin, unit):
    effect, variance, east = network(seed, gardens=8)
    plain = gradient(effect, variance, {"axis": east})
    moved = gradient(effect, variance, {"axis": origin + unit * east})
    columns = ["mean", "low", "high", "new_low", "new_high"]
    assert moved.band[columns].to_numpy() == pytest.approx(plain.band[columns].to_numpy(), rel=1e-4, abs=1e-6)
    assert moved.tests["p"][0] == plain.tests["p"][0]


def test_gardens_that_lie_on_a_line_exactly_have_the_line_and_no_band():
    east = np.linspace(0, 600, 40)
    found = gradient(0.1 + 0.0005 * east, None, {"east_km": east})
    assert found.regression.terms[1].coefficient == pytest.approx(0.0005)
    assert (found.regression.terms[1].se, found.regression.f_p, found.curve) == (None, None, None)
    assert found.band["mean"].to_numpy() == pytest.approx(0.1 + 0.0005 * found.band["axis"].to_numpy())
    assert found.band[["low", "high", "new_low", "new_high"]].isna().all(axis=None)
