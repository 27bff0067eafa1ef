"""Plots that hold little: the right answer, or a sentence that says why there is none. Worked by hand."""

import json

import numpy as np
import pandas as pd
import pytest

from pipeline.commands.answer_document import answer_document
from pipeline.response.answer import How, trial_answer
from sites.errors import InputError

DIFFERENCE = How(effect="difference")


def plots(gardens=6, blocks=4, treatments=("bare", "mulch")):
    random = np.random.default_rng(5)
    rows = [
        (f"G{garden}", block, name, 4 * np.exp(0.1 * (name != "bare") + 0.15 * random.standard_normal()))
        for garden in range(gardens)
        for block in range(blocks)
        for name in treatments
    ]
    table = pd.DataFrame(rows, columns=["site", "block", "treatment", "kg"])
    return table.assign(east_km=table["site"].str[1:].astype(float) * 40)


def answer(table, how=None, **options):
    """Return the document, which must be JSON without NaN."""
    found = answer_document(trial_answer(table, "bare", "kg", how, **options), "bare", "kg")
    return json.loads(json.dumps(found, allow_nan=False))


ALL = plots()
OF_CONTROL = ALL["treatment"] == "bare"
EXACT = ALL.assign(kg=np.where(OF_CONTROL, 2.0, 3.0))


@pytest.mark.parametrize(
    ("table", "options", "said"),
    [
        (ALL.assign(kg=0.0), {}, "the mean of its plots is not above zero, so no ratio exists"),
        (ALL.assign(kg=ALL["kg"].where(~OF_CONTROL, 0.0)), {}, "the mean of its control is not above zero"),
        (ALL.assign(kg=ALL["kg"].where(OF_CONTROL, 0.0)), {}, "the mean of this treatment is not above zero"),
        (ALL.assign(kg=0.0), {"how": How(scale="log")}, "no plot has a value"),
        (ALL[ALL["block"] == 0].drop_duplicates("site"), {}, "only one plot has a value"),
        (ALL.assign(kg=np.nan), {}, "no plot has a value"),
        (ALL.assign(kg=ALL["kg"].where(OF_CONTROL)), {}, "only plots of the control have a value"),
        (ALL.assign(kg=np.inf), {}, "Plot row 1 has an infinite 'kg'"),
        (ALL.iloc[:0], {}, "There is no plot"),
        (ALL[~OF_CONTROL], {}, "No plot has the control 'bare'. The treatments are: mulch"),
        (ALL[OF_CONTROL], {}, "only plots of the control have a value"),
        (ALL.assign(east_km=5.0), {"gradients": ["east_km"]}, "east_km is the same in every garden"),
        (
            ALL.assign(east_km=ALL["east_km"].where(ALL["site"] != "G2")),
            {"gradients": ["east_km"]},
            "east_km is blank in garden G2. Fill it in, or leave it out.",
        ),
        (ALL.assign(site=ALL["site"].where(ALL.index != 3)), {}, "Plot row 4 has a blank 'site'"),
        (ALL.assign(treatment=ALL["treatment"].where(ALL.index != 3)), {}, "row 4 has a blank 'treatment'"),
        (ALL.assign(block=ALL["block"].where(ALL.index != 3)), {}, "Garden G0 names the block of some plots"),
    ],
    ids=[
        *("zeros", "control-zero", "treatment-zero", "zeros-log", "one-plot-each", "all-nan", "treated-nan"),
        *("infinite", "no-plot", "no-control", "only-control", "constant-covariate", "blank-covariate"),
        *("blank-site", "blank-treatment", "blank-block"),
    ],
)
def test_where_there_is_no_answer_a_sentence_says_why(table, options, said):
    with pytest.raises(InputError, match=said.replace(".", r"\.")):
        answer(table, **options)


@pytest.mark.parametrize("how", [None, DIFFERENCE], ids=["ratio", "difference"])
def test_plots_that_agree_exactly_have_an_effect_and_no_claim_of_being_sure(how):
    found = answer(EXACT, how, gradients=["east_km"])
    (network,) = found["network"]
    assert network["estimate"] == pytest.approx(np.log(1.5) if how is None else 1.0)
    assert [network[name] for name in ("se", "ci_low", "ci_high", "p", "p_adjusted", "tau2")] == [None] * 6
    assert network["sentence"] == (
        "All 6 gardens show exactly the same, so we cannot tell what chance does and how sure this is."
    )
    assert found["mixed_model"] == []
    assert "leave no plot error" in found["mixed_model_unknown"]


def test_zeros_everywhere_have_a_difference_of_zero_and_no_claim_of_being_sure():
    (network,) = answer(ALL.assign(kg=0.0), DIFFERENCE)["network"]
    assert (network["estimate"], network["p"], network["ci_low"]) == (0, None, None)


def test_gardens_that_show_one_effect_with_plots_that_scatter_have_no_variance_between():
    one = ALL[ALL["site"] == "G0"]
    table = pd.concat([one.assign(site=f"G{garden}", east_km=40.0 * garden) for garden in range(6)])
    (network,) = answer(table, gradients=["east_km"])["network"]
    assert (network["tau2"], network["i2"]) == (0, 0)
    assert network["q"] == pytest.approx(0, abs=1e-20)
    assert network["ci_low"] < network["estimate"] < network["ci_high"]
    slope = network["gradient"]["terms"][1]
    assert slope["coefficient"] == pytest.approx(0, abs=1e-12)
    assert slope["ci_low"] < 0 < slope["ci_high"]


def test_a_garden_of_one_plot_is_left_out_and_named():
    lone = pd.DataFrame([("Lone", 0, "mulch", 3.0, 9.0)], columns=ALL.columns)
    found = answer(pd.concat([ALL, lone]))
    assert found["network"][0]["k"] == 6
    assert found["left_out"] == [
        {"site": "Lone", "season": None, "treatment": None, "why": "only one plot has a value"}
    ]


@pytest.mark.parametrize("gardens", [1, 2, 3])
@pytest.mark.parametrize("blocks", [1, 4])
def test_few_gardens_have_what_they_can_have_and_are_called_few(gardens, blocks):
    (network,) = answer(plots(gardens, blocks), gradients=["east_km"])["network"]
    gardens_text = "1 garden" if gardens == 1 else f"{gardens} gardens"
    assert network["sentence"] == (f"Only {gardens_text} so far. That is too few to speak for other gardens.")
    assert (network["se"] is None) == (gardens == 1)
    assert (network["tau2"] is None) == (gardens == 1 or blocks == 1)
    assert network["pi_low"] is None
    assert network["unknown"]["pi_low"]
    slope = network["gradient"]["terms"][1]
    assert (slope["coefficient"] is None) == (gardens == 1)
    assert slope["ci_low"] is None
    assert network["gradient"]["unknown"]["ci_low"] == "too few gardens for so many terms"


def test_four_gardens_of_one_block_have_an_interval_from_how_they_differ():
    (network,) = answer(plots(4, 1))["network"]
    assert (network["df"], network["tau2"], network["pi_low"]) == (3, None, None)
    assert network["unknown"]["tau2"] == "no garden has plots enough to show its own error"
    assert network["ci_low"] < network["estimate"] < network["ci_high"]


def test_plots_without_a_value_change_nothing_of_the_others():
    blank = pd.DataFrame([("G1", 9, "bare", np.nan, 40.0)], columns=ALL.columns)
    assert answer(pd.concat([ALL, blank]))["network"] == answer(ALL)["network"]


def test_gardens_that_agree_exactly_over_seasons_make_no_claim_of_being_sure():
    table = pd.concat([EXACT.assign(season=season) for season in ("2024", "2025")])
    (network,) = answer(table, season="season")["network"]
    assert network["estimate"] == pytest.approx(np.log(1.5))
    assert (network["se"], network["p"]) == (None, None)
