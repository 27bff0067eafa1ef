"""The whole answer of a trial, from its plots."""

import numpy as np
import pandas as pd
import pytest

from pipeline.response.answer import How, trial_answer
from sites.errors import InputError
from tests.reference.values import compare, data, expected

#: Twelve made-up gardens west to east, a control and two treatments, two to four blocks, seven plots missing;
#: tests/reference/README.md.
DEMO = data("synthetic_gradient_demo")


def answer(plots=DEMO, **how):
    return trial_answer(plots, "control", "yield", How(**how))


def test_every_treatment_has_an_answer_over_the_network():
    found = answer()
    assert [each.treatment for each in found.network] == ["grafted", "mulched"]
    assert [each.pooled.k for each in found.network] == [12, 12]


def test_a_p_value_that_allows_for_two_treatments_lies_between_one_and_twice_its_own():
    # Dunnett 1955: the adjustment is milder than Bonferroni's, since the treatments share a control.
    for each in answer().network:
        assert each.pooled.p < each.p_adjusted < 2 * each.pooled.p


def test_with_one_treatment_nothing_is_adjusted():
    found = answer(DEMO[DEMO["treatment"] != "mulched"])
    assert found.network[0].p_adjusted == pytest.approx(found.network[0].pooled.p)


def test_on_the_log_scale_garden_effects_are_those_of_the_model_of_logarithms():
    # blocked_log.*: lm(log(yield) ~ block + treatment) in R 4.2.2; tests/reference/README.md.
    plots = data("antigua_maize")
    how = How(scale="log", variance="garden")
    effects = trial_answer(plots, "t000", "yield", how).gardens.effects
    found = {}
    for row in effects.itertuples():
        name = f"blocked_log.{row.site}.{row.treatment}"
        found |= {f"{name}.lr": row.difference, f"{name}.se": row.difference_se, f"{name}.df": row.df}
    # The reference keeps to some of the treatments; all of those must be met.
    known = {name: value for name, value in found.items() if name in expected("antigua_maize")}
    assert compare("antigua_maize", known, r"blocked_log\..*\.(lr|se|df)") == []


def test_the_ratio_of_means_and_the_mean_of_log_ratios_agree_closely():
    by_means, by_logs = (answer(scale=scale).network[0].percent[0] for scale in ("means", "log"))
    assert by_means == pytest.approx(by_logs, abs=1.5)


def test_gradients_come_with_the_answer():
    found = trial_answer(DEMO, "control", "yield", How(), gradients=["longitude"])
    assert [term.name for term in found.network[0].pooled.gradient.terms] == ["intercept", "longitude"]


def test_a_gradient_with_two_values_in_a_garden_is_refused():
    moved = DEMO.assign(longitude=DEMO["longitude"] + (DEMO["block"].astype(str) == "1"))
    with pytest.raises(InputError, match="longitude has several values in garden G01"):
        trial_answer(moved, "control", "yield", How(), gradients=["longitude"])


def test_gardens_that_come_back_are_one_garden():
    twice = pd.concat(
        [DEMO.assign(season="2024"), DEMO.assign(season="2025", **{"yield": DEMO["yield"] * 1.1})]
    )
    found = trial_answer(twice, "control", "yield", How(), season="season")
    assert found.network[0].pooled.k == 12
    assert len(found.gardens.effects) == 48


def test_a_garden_whose_control_gave_nothing_is_left_out_of_the_ratio_and_named():
    empty = DEMO["yield"].where(~((DEMO["site"] == "G03") & (DEMO["treatment"] == "control")), 0.0)
    found = answer(DEMO.assign(**{"yield": empty}))
    assert found.gardens.left_out["site"].tolist() == ["G03"]
    assert [each.pooled.k for each in found.network] == [11, 11]
    assert answer(DEMO.assign(**{"yield": empty}), effect="difference").network[0].pooled.k == 12


def test_one_block_everywhere_gives_the_mean_of_the_gardens_with_t():
    single = DEMO[DEMO["block"].astype(str) == "1"]
    pooled = answer(single).network[0].pooled
    effects = answer(single).gardens.effects
    ratios = effects.loc[effects["treatment"] == "grafted", "log_ratio"]
    assert set(effects["variance_from"]) == {"none"}
    assert pooled.estimate == pytest.approx(ratios.mean())
    assert pooled.se == pytest.approx(ratios.std() / np.sqrt(len(ratios)))
    assert (pooled.tau2, pooled.i2, pooled.pi_low) == (None, None, None)


def test_the_model_of_all_plots_stands_beside_the_two_stages():
    found = answer(effect="difference")
    for two_stage, one_stage in zip(found.network, found.mixed_model, strict=True):
        assert one_stage["treatment"] == two_stage.treatment
        assert one_stage["estimate"] == pytest.approx(two_stage.pooled.estimate, abs=two_stage.pooled.se)


def test_a_trial_without_its_control_has_no_answer():
    with pytest.raises(InputError, match="control"):
        answer(DEMO[DEMO["treatment"] != "control"])
