import json
import math

import numpy as np
import pandas as pd
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from pipeline.response.network import pool
from pipeline.response.random_effects import random_effects
from pipeline.response.weighted_regression import intercept_only
from sites.errors import InputError

ANSWER = {
    "k",
    "estimate",
    "se",
    "df",
    "ci_low",
    "ci_high",
    "p",
    "pi_low",
    "pi_high",
    "tau2",
    "q",
    "q_df",
    "q_p",
}
ANSWER |= {"i2", "h2", "method", "interval", "gradient"}
REGRESSION = {"terms", "tau2", "r2", "f", "f_df1", "f_df2", "f_p", "qe", "qe_df", "qe_p"}
TERM = {"name", "coefficient", "se", "df", "ci_low", "ci_high", "p"}

EFFECT = [0.05, 0.45, 0.20, 0.60, 0.31]
VARIANCE = [0.01, 0.01, 0.02, 0.02, 0.03]
EAST = [0.0, 120.0, 260.0, 400.0, 610.0]


@pytest.mark.parametrize(
    ("effect", "variance", "tau2", "estimate", "se", "tolerance"),
    [
        ([0.05, 0.45, 0.20, 0.60], [0.01, 0.01, 0.02, 0.02], 0.04846, 0.3191, 0.1256, 1e-3),
        ([0.10, 0.30, 0.35], [0.01, 0.02, 0.04], 0.000536, 0.1945, 0.0771, 1e-4),
    ],
)
def test_dersimonian_and_laird_worked_by_hand(effect, variance, tau2, estimate, se, tolerance):
    """DerSimonian & Laird 1986, Controlled Clinical Trials 7:177-188, with a pocket calculator."""
    answer = pool(effect, variance, method="dersimonian-laird", interval="normal")
    assert [answer.tau2, answer.estimate, answer.se] == pytest.approx([tau2, estimate, se], abs=tolerance)


def test_the_common_effect_and_cochrans_q_worked_by_hand():
    """(0.05 + 0.45 + (0.20 + 0.60) / 2) / 3 = 0.30; Cochran 1954, Biometrics 10:101-129."""
    effect, variance = np.array([0.05, 0.45, 0.20, 0.60]), np.array([0.01, 0.01, 0.02, 0.02])
    common = random_effects(effect, variance, intercept_only(4), "dersimonian-laird").common
    assert common.coefficient[0] == pytest.approx(0.30)
    answer = pool(effect, variance, method="dersimonian-laird")
    assert answer.q == pytest.approx(13.5)
    assert (answer.q - answer.q_df) / answer.q == pytest.approx(0.778, abs=1e-3)


@pytest.mark.parametrize(("gardens", "se"), [(10, 0.0652), (20, 0.0461)])
def test_the_error_of_a_mean_over_gardens_of_four_blocks_at_a_cv_of_20_percent(gardens, se):
    """sqrt(tau^2/k + 2 CV^2/(r k)), tau 0.15, CV 0.20, r 4; Hedges & Pigott 2001, Psychol Methods 6:203."""
    within = 2 * 0.20**2 / 4
    spread = np.sqrt((0.15**2 + within) * (gardens - 1) / gardens)
    effect = 0.2 + spread * np.where(np.arange(gardens) % 2, 1, -1)
    answer = pool(effect, np.full(gardens, within), interval="normal")
    assert answer.tau2 == pytest.approx(0.15**2)
    assert answer.se == pytest.approx(se, abs=1e-4)


def test_a_slope_along_longitude_worked_by_hand():
    """Effects .40, .30, .20 at 120, 110, 100 degrees west fall by .010 per degree east, .30 at the centre."""
    effect, longitude = np.array([0.40, 0.30, 0.20]), np.array([-120.0, -110.0, -100.0])
    intercept, slope = pool(effect, np.full(3, 0.01), {"lon": longitude}).gradient.terms
    assert slope.coefficient == pytest.approx(-0.010, abs=1e-12)
    assert intercept.coefficient + slope.coefficient * -110 == pytest.approx(0.30, abs=1e-9)


def test_the_json_has_the_names_that_other_programs_read():
    answer = pool(EFFECT, VARIANCE, {"east_km": EAST}).to_json()
    assert set(answer) >= ANSWER
    assert set(answer["gradient"]) >= REGRESSION
    assert [set(term) for term in answer["gradient"]["terms"]] == [TERM, TERM]
    assert [term["name"] for term in answer["gradient"]["terms"]] == ["intercept", "east_km"]
    assert json.loads(json.dumps(answer, allow_nan=False)) == answer


def test_the_answer_names_what_was_used():
    answer = pool(EFFECT, VARIANCE, method="paule-mandel", interval="normal", prediction="t")
    assert (answer.method, answer.interval, answer.prediction) == ("paule-mandel", "normal", "t")
    assert answer.df is None


def test_terms_come_in_the_order_of_the_columns():
    table = pd.DataFrame({"rain_mm": [3.0, 1, 4, 1, 5], "east_km": EAST})
    names = [term.name for term in pool(EFFECT, VARIANCE, table).gradient.terms]
    assert names == ["intercept", "rain_mm", "east_km"]


def test_one_garden_has_an_effect_and_nothing_else():
    answer = pool([0.3], [0.02])
    assert answer.estimate == 0.3
    assert {answer.se, answer.df, answer.ci_low, answer.p, answer.pi_low, answer.tau2, answer.i2} == {None}
    assert "how far gardens differ" in answer.unknown["se"]


def test_two_gardens_have_an_interval_with_one_degree_of_freedom():
    answer = pool([0.1, 0.5], [0.01, 0.01])
    assert answer.estimate == pytest.approx(0.3)
    assert answer.ci_high - answer.estimate == pytest.approx(12.7062 * 0.2, rel=1e-5)
    assert answer.pi_low is None


@pytest.mark.parametrize("prediction", ["t", "bootstrap"])
def test_an_interval_for_a_new_garden_needs_four_gardens(prediction):
    three = pool(EFFECT[:3], VARIANCE[:3], prediction=prediction)
    four = pool(EFFECT[:4], VARIANCE[:4], prediction=prediction)
    assert three.pi_low is None
    assert three.unknown["pi_low"]
    assert four.pi_low < four.ci_low < four.ci_high < four.pi_high


def test_equal_effects_have_that_mean_and_no_variance_between():
    answer = pool([0.25] * 6, [*VARIANCE, 0.05])
    assert answer.estimate == pytest.approx(0.25)
    assert (answer.tau2, answer.i2, answer.h2) == (0, 0, 1)
    assert answer.q == pytest.approx(0, abs=1e-20)
    assert answer.se == pytest.approx(np.sum(1 / np.array([*VARIANCE, 0.05])) ** -0.5)
    assert answer.pi_low <= answer.ci_low < 0.25 < answer.ci_high <= answer.pi_high


def test_equal_effects_without_any_error_known_have_no_interval_in_place_of_a_sure_one():
    answer = pool([0.25] * 6, None, {"east_km": [*EAST, 700.0]})
    assert answer.estimate == pytest.approx(0.25)
    assert {answer.se, answer.df, answer.ci_low, answer.ci_high, answer.p} == {None}
    assert "agree exactly" in answer.unknown["p"]
    slope = answer.gradient.terms[1]
    assert slope.coefficient == pytest.approx(0, abs=1e-15)
    assert {slope.se, slope.ci_low, slope.p, answer.gradient.f_p} == {None}


def test_without_any_error_known_the_mean_is_plain_and_t_has_k_minus_one_degrees_of_freedom():
    """Student 1908: 0.322 +- t(4) s / sqrt 5."""
    for variance in (None, [np.nan] * 5):
        answer = pool(EFFECT, variance)
        se = np.std(EFFECT, ddof=1) / np.sqrt(5)
        assert [answer.estimate, answer.se, answer.df] == pytest.approx([np.mean(EFFECT), se, 4])
        assert answer.ci_high == pytest.approx(np.mean(EFFECT) + 2.776445 * se)
        assert {answer.tau2, answer.i2, answer.q, answer.pi_low} == {None}
        assert "error" in answer.unknown["tau2"]


def test_without_any_error_known_the_slope_is_that_of_least_squares():
    slope = pool(EFFECT, None, {"east_km": EAST}).gradient.terms[1]
    centred = np.array(EAST) - np.mean(EAST)
    expected = centred @ EFFECT / (centred @ centred)
    residual = EFFECT - np.mean(EFFECT) - expected * centred
    assert slope.coefficient == pytest.approx(expected)
    assert slope.se == pytest.approx(np.sqrt(residual @ residual / 3 / (centred @ centred)))
    assert slope.df == 3


@pytest.mark.parametrize("variance", [None, VARIANCE])
def test_a_regression_has_no_interval_below_two_degrees_of_freedom(variance):
    def terms(k):
        part = None if variance is None else variance[:k]
        return pool(EFFECT[:k], part, {"east_km": EAST[:k]}).gradient

    assert terms(4).terms[1].ci_low is not None
    assert terms(3).terms[1].ci_low is None
    assert terms(3).terms[1].coefficient is not None
    assert terms(3).unknown["ci_low"]
    assert terms(2).terms[1].coefficient == pytest.approx((0.45 - 0.05) / 120)


def test_more_terms_than_gardens_leave_the_mean_and_no_regression():
    answer = pool(EFFECT[:2], VARIANCE[:2], pd.DataFrame({"a": [1.0, 2], "b": [2.0, 5]}))
    assert answer.estimate is not None
    assert {term.coefficient for term in answer.gradient.terms} == {None}


def test_one_garden_has_a_regression_of_unknown_terms():
    regression = pool([0.3], [0.02], {"east_km": [12.0]}).gradient
    assert [(term.name, term.coefficient) for term in regression.terms] == [
        ("intercept", None),
        ("east_km", None),
    ]
    assert set(regression.unknown) >= {"coefficient", "ci_low", "tau2", "f_p"}


def test_where_gardens_do_not_differ_the_share_explained_is_unknown():
    answer = pool([0.1, 0.11, 0.12, 0.11, 0.1], [1.0] * 5, {"east_km": EAST})
    assert answer.gradient.r2 is None
    assert answer.gradient.unknown["r2"]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (([], []), "no garden effect"),
        (([0.1, np.nan], [1, 1]), "effect of garden 2 of 2"),
        (([0.1, np.inf], [1, 1]), "effect of garden 2 of 2"),
        (([0.1, 1e300], [1, 1]), "effect of garden 2 of 2"),
        (([0.1, 0.2], [1, 0]), "variance of garden 2 of 2 .* not above zero"),
        (([0.1, 0.2], [-1, 1]), "variance of garden 1 of 2 .* not above zero"),
        (([0.1, 0.2], [1, np.nan]), "variance of garden 2 of 2"),
        (([0.1, 0.2], [1, np.inf]), "variance of garden 2 of 2"),
        (([0.1, 0.2, 0.3], [1, 1, 1e-20]), "variance of garden 3 of 3 .* so small"),
        (([0.1, 0.2], [1]), "2 effects but 1 variances"),
        ((["a", "b"], [1, 1]), "not a number"),
        ((EFFECT, VARIANCE, {"east_km": [7.0] * 5}), "east_km is the same in every garden"),
        ((EFFECT, VARIANCE, {"east_km": EAST[:4]}), "4 values of east_km"),
        ((EFFECT, VARIANCE, {"east_km": [*EAST[:4], np.nan]}), "east_km of garden 5"),
        ((EFFECT, VARIANCE, {"a": EAST, "b": [1 - 2 * x for x in EAST]}), "a, b say the same thing"),
        ((EFFECT, VARIANCE, None, "ml"), "There is no ml"),
        ((EFFECT, VARIANCE, None, "reml", "wald"), "There is no wald"),
    ],
)
def test_input_without_a_right_answer_is_refused_with_the_place(arguments, said):
    with pytest.raises(InputError, match=said):
        pool(*arguments)


gardens = st.lists(
    st.tuples(st.floats(-3, 3), st.floats(1e-4, 10), st.floats(-1000, 1000)), min_size=1, max_size=15
)


@given(
    gardens,
    st.sampled_from(["knapp-hartung", "knapp-hartung-floor", "normal"]),
    st.sampled_from(["t", "bootstrap"]),
)
def test_any_network_that_is_taken_gets_an_answer_in_order(rows, interval, prediction):
    effect, variance, east = zip(*rows, strict=True)
    try:
        answer = pool(effect, variance, {"east_km": east}, interval=interval, prediction=prediction).to_json()
    except InputError:
        assume(False)
    json.dumps(answer, allow_nan=False)
    assert min(effect) - 1e-9 <= answer["estimate"] <= max(effect) + 1e-9
    if answer["ci_low"] is not None:
        assert answer["ci_low"] <= answer["estimate"] <= answer["ci_high"]
    if answer["pi_low"] is not None:
        assert answer["pi_low"] <= answer["estimate"] <= answer["pi_high"]
    for key in ("i2", "p", "q_p"):
        assert answer[key] is None or 0 <= answer[key] <= 1


@given(gardens.filter(lambda rows: len(rows) > 4), st.randoms(use_true_random=False))
def test_the_order_of_gardens_does_not_change_the_answer(rows, random):
    def answer(order):
        effect, variance, _ = zip(*order, strict=True)
        found = pool(effect, variance).to_json()
        return [value for value in found.values() if isinstance(value, float)]

    assert answer(random.sample(rows, len(rows))) == pytest.approx(answer(rows), rel=1e-6, abs=1e-9)


@given(st.integers(0, 500), st.floats(0.01, 100))
def test_the_answer_follows_the_unit_of_the_effect(seed, unit):
    random = np.random.default_rng(seed)
    effect, variance = random.normal(0.2, 0.3, 8), random.gamma(3, 0.02, 8)
    plain, scaled = pool(effect, variance), pool(unit * effect, unit**2 * variance)
    for name in ("estimate", "se", "ci_low", "ci_high", "pi_low", "pi_high"):
        assert getattr(scaled, name) == pytest.approx(unit * getattr(plain, name), rel=1e-6, abs=1e-9 * unit)
    assert scaled.i2 == pytest.approx(plain.i2, abs=1e-8)
    assert math.isclose(scaled.p, plain.p, rel_tol=1e-6)
