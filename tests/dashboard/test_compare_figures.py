"""Plots, differences and curves of Compare hold the published numbers."""

from dataclasses import replace

import pandas as pd
import pytest

from dashboard.access.account import OPEN_ACCOUNT
from dashboard.data import View
from dashboard.figures.compare import compare_figure, means_of
from dashboard.figures.effects import effects_figure
from dashboard.figures.season import PANEL_PX, panels, season_figure
from dashboard.figures.template import Screen
from dashboard.pages.rows import compare_rows, effect_rows, season_rows
from tests.dashboard import synthetic
from tests.dashboard.drawn import accepted

WIDE, NARROW = Screen(), Screen("dark", narrow=True)
OUTCOME = "marketable_kg_per_plant"


@pytest.fixture
def chosen(choose):
    return choose("/compare", "?season=2024&garden=G08")


def traces(figure):
    return {trace.name: trace for trace in accepted(figure).data}


def values(trace, screen):
    return list(trace.x if screen.narrow else trace.y)


@pytest.mark.parametrize("screen", [WIDE, NARROW])
def test_every_plot_is_a_stroke_and_one_that_does_not_count_is_a_cross(view, chosen, published, screen):
    plots = published.frame("plot_seasons", synthetic.TRIAL, synthetic.CLOSED)
    drawn = traces(compare_figure(compare_rows(view, chosen, chosen.trial, screen), screen))
    for name, is_used in (("plots", True), ("plots that do not count", False)):
        assert sorted(values(drawn[name], screen)) == sorted(plots.loc[plots["used"] == is_used, OUTCOME])


@pytest.mark.parametrize("screen", [WIDE, NARROW])
def test_every_mark_is_the_mean_of_the_plots_that_count(view, chosen, published, screen):
    plots = published.frame("plot_seasons", synthetic.TRIAL, synthetic.CLOSED)
    means = plots[plots["used"]].groupby(["treatment", "site"])[OUTCOME].mean()
    drawn = traces(compare_figure(compare_rows(view, chosen, chosen.trial, screen), screen))
    for treatment, *_ in synthetic.TREATMENTS:
        mark = drawn[f"mean {treatment}"]
        assert values(mark, screen) == pytest.approx(means[treatment].loc[list(mark.customdata)].tolist())


def test_a_share_is_drawn_in_percent(view, choose, published):
    selection = choose("/compare", "?season=2024&outcome=marketable_share")
    rows = compare_rows(view, selection, selection.trial, WIDE)
    plots = published.frame("plot_seasons", synthetic.TRIAL, synthetic.CLOSED)
    assert sorted(rows.plots["value"]) == pytest.approx(sorted(100 * plots["marketable_share"]))


def test_a_scale_that_does_not_start_at_zero_says_so(view, chosen):
    rows = compare_rows(view, chosen, chosen.trial, WIDE)
    figure = accepted(compare_figure(rows, WIDE))
    low = figure.layout.yaxis.range[0]
    assert low > 0
    assert any("scale starts" in note.text.replace("<br>", " ") for note in figure.layout.annotations)


def test_treatments_stand_side_by_side_in_one_order_in_every_garden(view, chosen):
    drawn = traces(compare_figure(compare_rows(view, chosen, chosen.trial, WIDE), WIDE))
    at = pd.DataFrame(
        {
            name: dict(zip(drawn[f"mean {name}"].customdata, drawn[f"mean {name}"].x, strict=True))
            for name, *_ in synthetic.TREATMENTS
        }
    )
    assert (at["own-root"] < at["corvane"]).all()
    assert (at["corvane"] < at["tressel"]).all()


def test_means_leave_out_plots_that_do_not_count():
    plots = pd.DataFrame(
        {"site": "G01", "treatment": "a", "value": [1.0, 3.0, 50.0], "used": [True, True, False]}
    )
    assert means_of(plots)["value"].tolist() == [2.0]
    assert means_of(plots)["plots"].tolist() == [2]


@pytest.mark.parametrize("screen", [WIDE, NARROW])
def test_differences_and_the_networks_band_are_the_published_ones(view, chosen, published, screen):
    drawn = traces(effects_figure(effect_rows(view, chosen, chosen.trial, screen), screen))
    effects = published.frame("effects", synthetic.TRIAL, synthetic.CLOSED)
    effects = effects[(effects["outcome"] == OUTCOME) & (effects["treatment"] == "corvane")].set_index("site")
    marks = drawn["gardens 1"]
    assert list(marks.y) == effects.loc[list(marks.customdata), "percent"].tolist()
    network = published.frame("network", synthetic.TRIAL, synthetic.CLOSED)
    answer = network[(network["outcome"] == OUTCOME) & (network["treatment"] == "corvane")].iloc[0]
    assert set(drawn["mean 1"].y) == {answer["percent"]}
    assert set(drawn["mean band"].y) == {answer["percent_low"], answer["percent_high"]}
    assert set(drawn["new garden, upper"].y) == {answer["new_high_percent"]}


def test_without_an_interval_for_a_new_garden_no_dotted_line_is_drawn(chosen, published):
    network = published.frame("network", synthetic.TRIAL, synthetic.CLOSED)
    network[["new_low_percent", "new_high_percent"]] = float("nan")
    view = View(published.replacing(network, "network", synthetic.TRIAL, synthetic.CLOSED), OPEN_ACCOUNT)
    drawn = traces(effects_figure(effect_rows(view, chosen, chosen.trial, WIDE), WIDE))
    assert "mean band" in drawn
    assert not [name for name in drawn if name.startswith("new garden")]


@pytest.mark.parametrize("screen", [WIDE, NARROW])
def test_curves_end_at_the_published_totals_on_one_scale(view, chosen, published, screen):
    rows = season_rows(view, chosen, chosen.trial)
    placed = panels(rows, screen)
    curves = published.frame("harvest_curves", synthetic.TRIAL, synthetic.CLOSED)
    last = curves.sort_values("date").groupby(["treatment", "site"])["marketable_kg_per_plant"].last()
    drawn = traces(season_figure(rows, screen))
    assert len({panel.per_kg for panel in placed.values()}) == 1
    for treatment, *_ in synthetic.TREATMENTS:
        ends = drawn[f"totals {treatment}"]
        shown = [
            (placed[site].ground - y) / placed[site].per_kg
            for site, y in zip(ends.customdata, ends.y, strict=True)
        ]
        assert shown == pytest.approx(last[treatment].loc[list(ends.customdata)].tolist())


@pytest.mark.parametrize("screen", [WIDE, NARROW])
def test_no_curve_leaves_its_panel(view, chosen, screen):
    rows = season_rows(view, chosen, chosen.trial)
    placed = panels(rows, screen)
    curves = [trace for trace in accepted(season_figure(rows, screen)).data if trace.hoverinfo == "skip"][1:]
    assert sum(len(strokes(trace)) for trace in curves) == len(rows.curves)
    for trace in curves:
        for site, stroke in zip(trace.name.split()[1:], strokes(trace), strict=True):
            across, down = zip(*stroke, strict=True)
            panel = placed[site]
            assert min(across) >= panel.left
            assert max(across) <= panel.left + panel.width
            assert panel.ground - PANEL_PX <= min(down)
            assert max(down) <= panel.ground


@pytest.mark.parametrize(("screen", "said"), [(WIDE, "+131%"), (NARROW, "131%")])
def test_a_gain_of_three_digits_keeps_clear_of_the_gardens_name(view, chosen, screen, said):
    rows = season_rows(view, chosen, chosen.trial)
    site = rows.gardens["site"].iloc[0]
    large = replace(rows, gains={site: 131.0})
    words = [note.text for note in accepted(season_figure(large, screen)).layout.annotations]
    assert said in words


def strokes(trace) -> list[list[tuple[float, float]]]:
    """Return the places of each stroke of a line that lifts the pen between them."""
    found: list[list[tuple[float, float]]] = [[]]
    for x, y in zip(trace.x, trace.y, strict=True):
        if x is None:
            found.append([])
        else:
            found[-1].append((x, y))
    return found


def test_gardens_of_one_colour_share_a_line_that_lifts_the_pen_between_them(view, chosen):
    rows = season_rows(view, chosen, chosen.trial)
    same = replace(rows, gardens=rows.gardens.assign(colour="#000000"))
    drawn = [trace for trace in accepted(season_figure(same, WIDE)).data if trace.hoverinfo == "skip"][1:]
    assert len(drawn) == len(rows.treatments)
    singly = [trace for trace in accepted(season_figure(rows, WIDE)).data if trace.hoverinfo == "skip"][1:]
    assert sorted(stroke for trace in drawn for stroke in strokes(trace)) == sorted(
        stroke for trace in singly for stroke in strokes(trace)
    )


def test_gardens_that_stop_early_say_when(view, choose):
    selection = choose("/compare", "?season=2025")
    rows = season_rows(view, selection, selection.trial)
    words = [note.text for note in accepted(season_figure(rows, WIDE)).layout.annotations]
    assert sum(text.startswith("stops ") for text in words) == 3


def test_a_season_without_a_picking_has_no_curves(chosen, published):
    empty = published.frame("harvest_curves", synthetic.TRIAL, synthetic.CLOSED).iloc[:0]
    view = View(published.replacing(empty, "harvest_curves", synthetic.TRIAL, synthetic.CLOSED), OPEN_ACCOUNT)
    assert season_rows(view, chosen, chosen.trial) is None
