"""The plan of a trial: gardens, blocks, what one garden sees, and the simulation of small networks."""

import functools
import json

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from pipeline.response.planning import FORMULA_FROM, one_garden, plan, plants_factor
from pipeline.response.power import gardens_needed, network_power
from pipeline.response.simulated_power import knapp_hartung_p, simulated_power
from sites.errors import InputError


# Source: the noncentral t, exact for equally sure gardens with normal effects; 20,000 networks add 0.01.
@pytest.mark.parametrize(
    ("ratio", "gardens", "blocks", "cv", "tau"),
    [(1.2, 5, 4, 0.2, 0.1), (1.3, 9, 4, 0.25, 0.15), (0.8, 6, 1, 0.2, 0.1), (1.1, 3, 8, 0.1, 0.0)],
)
def test_simulated_networks_see_effects_as_often_as_the_formula_says(ratio, gardens, blocks, cv, tau):
    simulated = simulated_power(np.log(ratio), gardens, blocks, cv, tau)
    by_formula = float(network_power(np.log(ratio), gardens, 2 * cv**2 / blocks, tau**2))
    assert simulated == pytest.approx(by_formula, abs=0.012)


@pytest.mark.parametrize(("gardens", "blocks", "tau"), [(3, 4, 0.15), (6, 2, 0.0), (9, 1, 0.3)])
def test_without_an_effect_simulated_networks_err_five_times_in_a_hundred(gardens, blocks, tau):
    assert simulated_power(0.0, gardens, blocks, 0.25, tau) == pytest.approx(0.05, abs=0.006)


def test_the_simulation_repeats_itself_and_its_seed_matters():
    question = functools.partial(simulated_power, 0.2, 5, 3, 0.2, 0.1, networks=2000)
    assert question(seed=4) == question(seed=4)
    assert question(seed=4) != question(seed=5)


def test_the_simulation_takes_another_test():
    never = simulated_power(0.5, 4, 3, 0.2, 0.1, networks=500, test=lambda effects, _: np.ones(len(effects)))
    assert never == 0.0
    floored = functools.partial(knapp_hartung_p, interval="knapp-hartung-floor")
    plain = simulated_power(0.2, 4, 2, 0.3, 0.0)
    assert simulated_power(0.2, 4, 2, 0.3, 0.0, test=floored) < plain


# Source: SciPy's one-sample t test, to which Knapp and Hartung's reduces for equally sure gardens.
def test_equal_gardens_are_tested_by_the_t_test():
    effects = np.random.default_rng(3).normal(0.1, 0.2, (50, 6))
    found = knapp_hartung_p(effects, np.full(50, 0.01))
    assert found == pytest.approx(stats.ttest_1samp(effects, 0, axis=1).pvalue)


def test_the_floor_only_ever_makes_a_network_less_sure():
    effects = np.random.default_rng(3).normal(0.1, 0.1, (200, 5))
    plain = knapp_hartung_p(effects, np.full(200, 0.01))
    floored = knapp_hartung_p(effects, np.full(200, 0.01), "knapp-hartung-floor")
    assert (floored >= plain).all()
    assert (floored > plain).any()
    unknown = knapp_hartung_p(effects, np.full(200, np.nan), "knapp-hartung-floor")
    assert unknown == pytest.approx(plain)


def test_ten_gardens_or_more_come_from_the_formula():
    found = plan(cv=0.25, tau=0.15, ratio=1.2)
    assert found.needed.gardens == gardens_needed(np.log(1.2), 2 * 0.25**2 / 4, 0.15**2) == 15
    assert found.needed.method == "formula"
    assert found.needed.power == pytest.approx(float(network_power(np.log(1.2), 15, 0.03125, 0.0225)))


def test_fewer_gardens_come_from_the_simulation_and_one_less_is_too_few():
    found = plan(cv=0.2, tau=0.1, ratio=1.3)
    assert found.needed.method == "simulation"
    assert found.needed.gardens < FORMULA_FROM
    assert found.needed.power >= 0.8
    assert simulated_power(np.log(1.3), found.needed.gardens - 1, 4, 0.2, 0.1) < 0.8


@pytest.mark.parametrize("tau", [0.0, 0.15, 0.4])
def test_twice_the_gardens_see_at_least_as_much_as_twice_the_blocks(tau):
    found = plan(cv=0.25, tau=tau, ratio=1.2)
    assert found.doubled_gardens.gardens == 2 * found.needed.gardens
    assert found.doubled_blocks.blocks == 2 * found.needed.blocks
    assert found.doubled_gardens.mean_se <= found.doubled_blocks.mean_se
    assert found.doubled_gardens.power >= found.doubled_blocks.power


def test_a_loss_needs_as_many_gardens_as_the_gain_of_the_same_log_ratio():
    gain, loss = plan(cv=0.25, tau=0.15, ratio=1.25), plan(cv=0.25, tau=0.15, ratio=0.8)
    assert gain.needed.gardens == loss.needed.gardens
    assert loss.needed.smallest_ratio == pytest.approx(1 / gain.needed.smallest_ratio)


def test_more_plants_a_plot_make_the_plots_more_alike_but_never_free_of_soil():
    factors = [plants_factor(plants) for plants in (1, 3, 5, 10, 1000)]
    assert factors == sorted(factors, reverse=True)
    assert factors[2] == pytest.approx(1.0)
    assert factors[-1] == pytest.approx(np.sqrt(0.5), rel=0.01)
    assert plan(cv=0.25, tau=0.15, ratio=1.3, plants=10).plot_cv == pytest.approx(0.25 * factors[3])


@given(plants=st.integers(1, 100), usual=st.integers(1, 20))
@settings(deadline=None)
def test_where_all_variance_is_between_plants_it_falls_as_their_number_rises(plants, usual):
    assert plants_factor(plants, 1.0, usual) ** 2 == pytest.approx(usual / plants)
    assert plants_factor(plants, 0.0, usual) == 1.0
    assert plants_factor(None, 0.7, usual) == 1.0


@given(cv=st.floats(0.05, 0.6), blocks=st.integers(2, 20), ratio=st.floats(1.02, 3))
@settings(max_examples=50, deadline=None)
def test_a_garden_is_said_to_see_an_effect_only_if_it_does(cv, blocks, ratio):
    found = one_garden(cv, blocks, ratio)
    sees = 100 * (ratio - 1) >= found.minimum_detectable_difference_pct
    assert (" can see " in found.sentence) == sees
    assert found.least_significant_difference_pct < found.minimum_detectable_difference_pct


# Source: as in test_power, 45.0 and 58.8 percent for four blocks and CV 20 percent.
def test_the_sentence_of_one_garden_says_what_it_cannot_see():
    found = one_garden(0.2, 4, 1.2)
    assert found.least_significant_difference_pct == pytest.approx(45.0, abs=0.1)
    assert found.minimum_detectable_difference_pct == pytest.approx(58.8, abs=0.2)
    assert found.sentence == (
        "One garden with 4 blocks cannot see a difference of 20% by itself: "
        "it takes 59% to be found 80% of the time."
    )


def test_a_single_block_tells_no_error_of_its_own():
    found = plan(cv=0.2, tau=0.1, ratio=1.5, blocks=1)
    assert found.one_garden.least_significant_difference_pct is None
    assert found.one_garden.sentence == "One garden with a single block has no measure of its own error."
    assert found.sentence.startswith(f"{found.needed.gardens} gardens with one block each see 50% more yield")


def test_the_sentence_of_the_plan():
    assert plan(cv=0.25, tau=0.15, ratio=1.2).sentence == (
        "15 gardens with 4 blocks each see 20% more yield 81% of the time; "
        "twice the blocks would make it 92%, twice the gardens 99%."
    )


def test_the_plan_says_what_it_assumes():
    assert plan(cv=0.25, tau=0.15, ratio=1.3, plants=8).assumptions == (
        "Two treatments side by side in complete blocks, and no plot lost.",
        "Below 10 gardens powers are simulated (20000 networks, seed 1), "
        "from there on they follow the noncentral t.",
        "The coefficient of variation holds for plots of 5 plants, and differences between plants make up "
        "50% of its square.",
    )


def test_the_json_is_plain_and_has_the_answer_on_top():
    answer = json.loads(json.dumps(plan(cv=0.25, tau=0.15, ratio=1.2).to_json()))
    assert (answer["gardens"], answer["blocks"]) == (15, 4)
    assert answer["power"] == answer["needed"]["power"]
    assert [row["gardens"] for row in answer["table"]] == sorted({row["gardens"] for row in answer["table"]})
    powers = [row["power"] for row in answer["table"]]
    assert powers == sorted(powers)


@pytest.mark.parametrize(
    ("options", "sentence"),
    [
        ({"cv": 25}, "cv is 25. Give a fraction above 0, such as 0.25 for 25%."),
        ({"cv": 0}, "cv is 0. Give a fraction above 0, such as 0.25 for 25%."),
        ({"tau": -1}, "tau is -1. Give a standard deviation of log ratios, 0 or above, such as 0.15."),
        ({"ratio": 1}, "ratio is 1. Give a ratio above 0 and not 1, such as 1.2 for 20% more."),
        ({"ratio": -2}, "ratio is -2. Give a ratio above 0 and not 1, such as 1.2 for 20% more."),
        ({"blocks": 0}, "blocks is 0. Give a whole number from 1 up."),
        ({"plants": 0}, "plants is 0. Give a whole number from 1 up."),
        ({"power": 0.02}, "power is 0.02. Give a fraction above alpha and below 1, such as 0.8."),
        ({"alpha": 5}, "alpha is 5. Give a fraction between 0 and 1, such as 0.05."),
        ({"cv": float("nan")}, "cv is nan. Give a fraction above 0, such as 0.25 for 25%."),
        (
            {"plants": 4, "share_of_plants": 1.5},
            "The plants' share of the plots' variance is between 0 and 1, for plots of 1 plant or more.",
        ),
    ],
)
def test_a_plan_of_the_impossible_is_refused(options, sentence):
    with pytest.raises(InputError) as refusal:
        plan(**{"cv": 0.25, "tau": 0.15, "ratio": 1.2} | options)
    assert str(refusal.value) == sentence
