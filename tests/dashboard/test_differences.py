"""Differences in the unit of their outcome: percent for ratios, points for shares, days for dates."""

import numpy as np
import pandas as pd
import pytest

from dashboard.differences import PERCENT, shown_answer, shown_band, shown_effects, unit_of
from dashboard.figures.template import Screen
from dashboard.pages import tables
from dashboard.router import route
from tests.dashboard.drawn import accepted
from tests.dashboard.tree import find, text_of

SHARE, DAYS = unit_of("survival"), unit_of("days_to_first_harvest")


@pytest.mark.parametrize(
    ("unit", "value", "said"),
    [
        (PERCENT, 12.4, "12%\u00a0more"),
        (PERCENT, -3, "3%\u00a0less"),
        (PERCENT, 0.2, "the same"),
        (SHARE, 4.96, "5.0\u00a0points\u00a0higher"),
        (SHARE, -0.4, "0.4\u00a0points\u00a0lower"),
        (DAYS, 2, "2.0\u00a0days\u00a0later"),
        (DAYS, -1.5, "1.5\u00a0days\u00a0earlier"),
        (DAYS, float("nan"), "not recorded"),
    ],
)
def test_a_difference_is_said_in_its_unit(unit, value, said):
    assert unit.said(value) == said


@pytest.mark.parametrize(
    ("unit", "value", "said"),
    [
        (PERCENT, 20, "+20%"),
        (SHARE, -10, "\u221210\u00a0points"),
        (SHARE, 2.5, "+2.5\u00a0points"),
        (DAYS, 1, "+1\u00a0day"),
    ],
)
def test_an_axis_has_whole_numbers_without_a_decimal(unit, value, said):
    assert unit.at_axis(value) == said


def test_ratios_come_from_logarithms_and_shares_are_told_out_of_a_hundred():
    assert PERCENT.of_scale(np.log(1.2)) == pytest.approx(20)
    assert SHARE.of_scale(0.05) == pytest.approx(5)
    assert DAYS.of_scale(-2.0) == pytest.approx(-2)


def test_a_share_stands_in_the_columns_that_figures_draw():
    rows = pd.DataFrame({"percent": [np.nan], "difference": [0.05], "difference_low": [-0.01]})
    shown = shown_effects(rows.assign(difference_high=0.11, percent_low=np.nan, percent_high=np.nan), SHARE)
    assert shown[["percent", "percent_low", "percent_high"]].iloc[0].tolist() == pytest.approx([5, -1, 11])
    band = pd.DataFrame(
        {name: [0.02] for name in ("percent", "mean_low", "mean_high", "new_low", "new_high")}
    )
    assert shown_band(band, SHARE)["percent"].tolist() == pytest.approx([2.0])


def test_no_answer_stays_none():
    assert shown_answer(None, SHARE) is None


@pytest.mark.parametrize("path", ["/compare", "/gradient"])
@pytest.mark.parametrize("narrow", [False, True])
def test_a_share_has_its_figure_of_differences_in_points(view, published, path, narrow):
    effects = published.frame("effects", "tomato-graft", "2024").set_index(["outcome", "treatment"])
    expected = 100 * effects.loc[("marketable_share", "corvane"), "difference"]
    main = list(route(view, path, "?season=2024&outcome=marketable_share", Screen(narrow=narrow)).main)
    name = {"/compare": "effects", "/gradient": "strips"}[path]
    graph = next(one for one in find(main, "Graph") if one.id["name"] == name)
    gardens = next(trace for trace in accepted(graph.figure).data if trace.name == "gardens 1")
    assert sorted(gardens.y) == pytest.approx(sorted(expected))
    assert any("points" in words for words in gardens.text)
    assert "are higher than own-root" in text_of(main)


def test_compare_says_the_answer_of_a_share_in_points(view, published):
    network = published.frame("network", "tomato-graft", "2024").set_index(["outcome", "treatment"])
    answer = network.loc[("marketable_share", "corvane")]
    main = list(route(view, "/compare", "?season=2024&outcome=marketable_share", Screen()).main)
    graph = next(one for one in find(main, "Graph") if one.id["name"] == "effects")
    words = " ".join(note.text for note in accepted(graph.figure).layout.annotations)
    assert SHARE.said(100 * answer["difference"]) in words
    assert SHARE.between(100 * answer["difference_low"], 100 * answer["difference_high"]) in words


def test_the_table_of_a_share_names_its_unit(view, choose, published):
    selection = choose("/compare", "season=2024&outcome=marketable_share")
    table = tables.effects(view, selection, selection.trial)
    effects = published.frame("effects", "tomato-graft", "2024")
    own = effects[(effects["outcome"] == "marketable_share") & (effects["treatment"] == "corvane")]
    assert "percent" not in table
    assert sorted(table["difference_points"]) == pytest.approx(sorted(100 * own["difference"]))


@pytest.mark.parametrize("season", ["2024", "2025"])
def test_gradient_offers_every_outcome_that_has_a_difference(choose, season):
    assert {"marketable_share", "days_to_first_harvest"} <= set(
        choose("/gradient", f"season={season}").outcomes
    )


def test_equal_shares_lie_neither_above_nor_below():
    rows = pd.DataFrame({"difference": [0.1 + 0.2 - 0.3], "difference_low": [-0.1], "difference_high": [0.1]})
    assert shown_effects(rows, SHARE)["percent"].tolist() == [0.0]
