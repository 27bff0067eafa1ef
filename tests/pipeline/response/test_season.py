"""A season's answer: every outcome on its scale, along every axis, and the other ways of reckoning."""

import numpy as np
import pandas as pd
import pytest

from pipeline.response.network import pool
from pipeline.response.season import season_answer
from pipeline.response.sensitivity import CHOICES
from pipeline.settings import Answer
from tests.pipeline.response.invented_seasons import invented_place, invented_plots

YIELD = "marketable_kg_per_plant"


@pytest.fixture(scope="module")
def closed():
    return season_answer(invented_plots(), invented_place(), "bare soil", Answer(), is_closed=True)


def row_of(found, outcome, treatment="straw"):
    return next(row for row in found.network if (row["outcome"], row["treatment"]) == (outcome, treatment))


def test_a_ratio_is_told_in_percent_and_no_difference(closed):
    row = row_of(closed, YIELD)
    assert row["percent_low"] < 100 * np.expm1(0.2) < row["percent_high"]
    assert row["difference"] is None
    assert row["percent"] == pytest.approx(100 * np.expm1(row["estimate"]))


def test_shares_and_days_are_told_as_differences_and_no_percent(closed):
    # The invented plots have 20 points more and a first picking 5 days earlier.
    assert row_of(closed, "survival")["difference"] == pytest.approx(0.2, abs=0.03)
    assert row_of(closed, "days_to_first_harvest")["difference"] == pytest.approx(-5, abs=0.5)
    assert row_of(closed, "survival")["percent"] is None


def test_a_gardens_difference_has_its_own_interval(closed):
    survival = next(rows for rows in closed.effects if rows["outcome"].iloc[0] == "survival")
    assert (survival["difference_low"] < survival["difference"]).all()
    assert (survival["difference"] < survival["difference_high"]).all()
    assert survival["percent"].isna().all()


def test_climate_and_soil_are_axes_of_the_outcome_that_was_named_before(closed):
    axes = {(row["outcome"], row["axis"]) for row in closed.gradient}
    assert (YIELD, "rain_mm_per_day") in axes
    assert ("survival", "rain_mm_per_day") not in axes
    assert ("survival", "position_km") in axes


def test_an_axis_without_values_has_no_line(closed):
    assert "ph" not in {row["axis"] for row in closed.gradient}


def test_axes_that_move_together_are_named(closed):
    along = {row["axis"]: row["moves_with"] for row in closed.gradient if row["outcome"] == YIELD}
    assert along["position_km"] == "degree_days_c_per_day"
    assert along["rain_mm_per_day"] == ""


def test_every_slope_has_a_p_value_that_assumes_no_distribution(closed):
    slopes = [row for row in closed.gradient if row["term"] != "intercept"]
    assert all(0 < row["p_permutation"] <= 1 for row in slopes)
    assert all(row["p_permutation"] is None for row in closed.gradient if row["term"] == "intercept")


def test_every_garden_is_shown_with_the_answer_without_it(closed):
    rows = closed.estimates[0]
    assert len(rows) == 12
    row = row_of(closed, YIELD)
    assert rows["mean_without"].between(row["percent_low"], row["percent_high"]).all()


def test_before_the_close_there_are_values_and_nothing_else():
    found = season_answer(invented_plots(), invented_place(), "bare soil", Answer(), is_closed=False)
    effects = pd.concat(found.effects)
    assert effects["log_ratio"].notna().any()
    hidden = ["log_ratio_variance", "percent_low", "difference_se", "difference_low"]
    assert effects[hidden].isna().all(axis=None)
    assert not any((found.network, found.gradient, found.bands, found.estimates, found.sensitivity))


def test_plots_that_swapped_are_also_reckoned_as_they_were_assigned():
    plots = invented_plots()
    pair = (
        (plots["site"] == "G00") & (plots["block"] == "0") & plots["treatment"].isin(["straw", "bare soil"])
    )
    plots.loc[pair, "assigned"] = plots.loc[pair, "treatment"].to_numpy()[::-1]
    found = season_answer(plots, invented_place(), "bare soil", Answer(), is_closed=True)
    ways = {row["way"]: row["estimate"] for row in found.sensitivity if row["treatment"] == "straw"}
    assert ways["as assigned"] < row_of(found, YIELD)["estimate"]


def test_gardens_picked_at_different_stages_are_also_left_out():
    plots = invented_plots()
    plots["stages_differ"] = plots["site"].isin(["G00", "G01"])
    found = season_answer(plots, invented_place(), "bare soil", Answer(), is_closed=True)
    assert row_of(found, YIELD)["gardens"] == 12
    assert {row["gardens"] for row in found.sensitivity if row["way"] == "same stage"} == {10}


def test_the_last_picking_is_also_left_out():
    plots = invented_plots()
    plots["last_share"] = np.where(plots["treatment"] == "straw", 0.5, 0.1)
    found = season_answer(plots, invented_place(), "bare soil", Answer(), is_closed=True)
    without = next(
        row for row in found.sensitivity if (row["way"], row["treatment"]) == ("no last picking", "straw")
    )
    # Half of what straw gave came with the last picking, a tenth of what the control gave. Gardens' weights
    # change a little, since plots that differ more from each other are less sure.
    expected = row_of(found, YIELD)["estimate"] + np.log(0.5 / 0.9)
    assert without["estimate"] == pytest.approx(expected, abs=0.01)


def test_nothing_is_reckoned_again_where_nothing_would_change(closed):
    others = set(CHOICES) - {"REML", "Knapp-Hartung", "moderated variance"}
    assert {row["way"] for row in closed.sensitivity} == {"one stage", "mean of log ratios", *others}


@pytest.mark.parametrize("way", ["DerSimonian-Laird", "Paule-Mandel"])
def test_another_estimator_gives_what_it_gives_by_itself(closed, way):
    effects = pd.concat(closed.effects)
    own = effects[(effects["outcome"] == YIELD) & (effects["treatment"] == "straw")]
    alone = pool(own["log_ratio"].to_numpy(), own["log_ratio_variance"].to_numpy(), method=way.lower())
    row = next(one for one in closed.sensitivity if (one["way"], one["treatment"]) == (way, "straw"))
    assert row["estimate"] == pytest.approx(alone.estimate)
    assert (row["ci_low"], row["ci_high"]) == pytest.approx((alone.ci_low, alone.ci_high))


def test_a_garden_whose_control_gave_nothing_is_counted():
    plots = invented_plots()
    plots.loc[(plots["site"] == "G03") & (plots["treatment"] == "bare soil"), YIELD] = 0.0
    row = row_of(season_answer(plots, invented_place(), "bare soil", Answer(), is_closed=True), YIELD)
    assert (row["gardens"], row["gave_nothing"]) == (11, 1)


@pytest.mark.parametrize("gardens", [1, 2, 3])
def test_few_gardens_give_what_they_can_and_no_line(gardens):
    found = season_answer(
        invented_plots(gardens), invented_place(gardens), "bare soil", Answer(), is_closed=True
    )
    row = row_of(found, YIELD)
    assert row["gardens"] == gardens
    assert (row["tau2"] is None) == (gardens == 1)
    assert row["pi_low"] is None
    assert not found.gradient


def test_one_block_everywhere_has_an_answer_and_no_interval_for_a_new_garden():
    found = season_answer(invented_plots(blocks=1), invented_place(), "bare soil", Answer(), is_closed=True)
    row = row_of(found, YIELD)
    assert row["percent_low"] < row["percent"] < row["percent_high"]
    assert row["pi_low"] is None
    assert row["df"] == 12 - 1


def test_no_plot_at_all_is_an_empty_answer():
    found = season_answer(invented_plots().iloc[:0], invented_place(), "bare soil", Answer(), is_closed=True)
    assert not found.effects
    assert not found.network


def test_gardens_without_a_single_dead_plant_are_no_more_certain_than_the_others():
    plots = invented_plots()
    plots["survival"] = 1.0
    plots.loc[plots["site"].isin(["G01", "G05", "G07"]) & (plots["block"] == "1"), "survival"] = [
        0.5,
        1.0,
        0.75,
    ] * 3
    row = row_of(season_answer(plots, invented_place(), "bare soil", Answer(), is_closed=True), "survival")
    # Every garden weighs the same, so the answer is the plain mean of twelve differences.
    assert row["difference"] == pytest.approx(3 * (0.5 / 3) / 12)
