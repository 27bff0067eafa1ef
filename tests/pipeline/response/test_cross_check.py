"""The model of all plots at once stands beside the answer, and what differs between the two is said."""

import numpy as np
import pytest

from pipeline.response.answer import How, trial_answer
from pipeline.response.cross_check import differences
from pipeline.response.network_answer import Pooled
from tests.reference.values import data

POOLED = Pooled(12, 0.20, se=0.05, df=11, ci_low=0.09, ci_high=0.31)


def entry(estimate, low, high):
    return {"estimate": estimate, "ci_low": low, "ci_high": high}


def test_two_answers_that_agree_need_no_word():
    assert differences(POOLED, entry(0.21, 0.10, 0.32), 0) == []


def test_estimates_far_apart_are_said_to_be_so():
    (said,) = differences(POOLED, entry(0.26, 0.15, 0.37), 0)
    assert said.startswith("The two estimates lie 1.2 standard errors apart.")


@pytest.mark.parametrize(
    ("pooled", "beside", "said"),
    [
        (POOLED, entry(0.19, -0.01, 0.39), "The interval of the answer leaves out no difference"),
        (
            Pooled(12, 0.2, se=0.1, ci_low=-0.02, ci_high=0.42),
            entry(0.19, 0.01, 0.37),
            "The interval of the model leaves out no difference",
        ),
    ],
)
def test_intervals_that_call_it_differently_are_named(pooled, beside, said):
    (found,) = differences(pooled, beside, 0)
    assert found.startswith(said)


def test_one_garden_and_a_model_without_numbers_have_nothing_to_compare():
    assert differences(Pooled(1, 0.2), entry(0.5, None, None), 0) == []
    assert differences(POOLED, entry(None, None, None), 0) == []


def test_plots_that_gave_nothing_are_counted_where_logarithms_leave_them_out():
    demo = data("synthetic_gradient_demo")
    value = demo["yield"].where(np.arange(len(demo)) % 20 != 0, 0.0)
    zeros = int((value == 0).sum())
    table = demo.assign(**{"yield": value})
    for how, said in (
        (How(), [f"The model leaves out {zeros} plots that gave nothing."]),
        (How("difference"), []),
    ):
        (first, *_) = trial_answer(table, "control", "yield", how).mixed_model
        assert [each for each in first["differs"] if "leaves out" in each and "plots" in each] == said


def test_every_treatment_is_judged_by_its_own_two_answers():
    found = trial_answer(data("synthetic_gradient_demo"), "control", "yield", How("difference"))
    grafted, mulched = (each.pooled for each in found.network)
    assert grafted.ci_low > 0 > mulched.ci_low
    assert found.mixed_model[0]["differs"] == []
    assert found.mixed_model[1]["ci_low"] > 0
    assert found.mixed_model[1]["differs"] == [
        "The interval of the model leaves out no difference, that of the answer holds it."
    ]
