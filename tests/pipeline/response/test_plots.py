"""A plot's season is the sum of its pickings, with dead plants in the denominator and blanks never zero."""

import numpy as np
import pandas as pd
import pytest

from pipeline.response.plots import harvest_curves, plot_seasons, without_last_pickings

LAYOUT = pd.DataFrame(
    {
        "site": "G01",
        "block": ["1", "1", "2", "2"],
        "plot": ["1", "2", "3", "4"],
        "in_ground": ["control", "grafted", "grafted", "control"],
        "plants_per_plot": 4,
    }
)
PLANTING = pd.DataFrame(
    {
        "site": "G01",
        "plot": ["1", "2"],
        "date": pd.to_datetime("2024-05-20"),
        "event": ["", None],
        "plants": [6.0, 4.0],
    }
).astype({"event": "str"})


def harvest(*rows):
    table = pd.DataFrame(
        rows, columns=["plot", "date", "marketable_count", "marketable_weight", "cull_weight"]
    )
    table = table.assign(site="G01", date=pd.to_datetime(table["date"]))
    return table.astype(
        {
            "marketable_count": "float64",
            "marketable_weight": "float64",
            "cull_weight": "float64",
            "date": "datetime64[us]",
        }
    )


def seasons(*rows, **options):
    return plot_seasons(LAYOUT, harvest(*rows), PLANTING, control="control", **options).set_index("plot")


FULL = [(plot, day, 4, 1.5, 0.5) for plot in "1234" for day in ("2024-07-20", "2024-07-30")]


def test_yield_is_per_planted_plant_whoever_died():
    # 6 planted, 12.0 kg picked: 2.0 kg per planted plant; computed from the definition.
    plots = seasons(("1", "2024-07-20", 20, 12.0, None), *FULL[2:])
    assert plots.loc["1", "marketable_kg_per_plant"] == pytest.approx(2.0)


def test_without_a_planting_row_the_plan_counts():
    assert seasons(*FULL).loc["3", "plants"] == 4


def test_a_blank_weight_is_a_visit_and_never_a_zero():
    # A log of 0, blank and 0.8 kg totals 0.8 kg with two weighed days of three; computed from the definition.
    rows = [
        ("1", "2024-07-20", 0, 0.0, None),
        ("1", "2024-07-25", 3, None, None),
        ("1", "2024-07-30", 2, 0.8, None),
    ]
    plots = seasons(
        *rows,
        *[(plot, day, 4, 1.0, None) for plot in "234" for day in ("2024-07-20", "2024-07-25", "2024-07-30")],
    )
    assert plots.loc["1", "marketable_kg"] == pytest.approx(0.8)
    assert (plots.loc["1", "pickings_received"], plots.loc["1", "pickings_expected"]) == (2, 3)


def test_a_plot_that_was_never_picked_has_no_total():
    plots = seasons(*[row for row in FULL if row[0] != "4"])
    assert np.isnan(plots.loc["4", "marketable_kg_per_plant"])
    assert plots.loc["4", "why_not"] == "no weight recorded"


def test_a_season_total_is_never_scaled_up():
    plots = seasons(*FULL[:7])
    assert plots.loc["4", "marketable_kg"] == pytest.approx(1.5)


def test_a_plot_with_too_few_weighed_days_does_not_enter():
    plots = seasons(*FULL[:7])
    assert not plots.loc["4", "used"]
    assert plots.loc["4", "why_not"] == "weighed on fewer than 80% of picking days"


def test_a_block_without_a_complete_control_does_not_enter():
    plots = seasons(*FULL[:7])
    assert plots.loc["3", "why_not"] == "no complete control plot in its block"
    assert plots.loc[["1", "2"], "used"].all()


def test_early_yield_is_that_of_the_first_three_weeks_of_the_garden():
    rows = [
        (plot, day, 4, 1.0, None)
        for plot in "1234"
        for day in ("2024-07-20", "2024-08-09", "2024-08-10", "2024-09-01")
    ]
    assert seasons(*rows).loc["3", "early_kg_per_plant"] == pytest.approx(2 * 1.0 / 4)


def test_fruit_mass_leaves_out_pickings_that_were_not_weighed_or_counted():
    rows = [
        ("1", "2024-07-20", 4, 2.0, None),
        ("1", "2024-07-30", 10, None, None),
        ("1", "2024-08-04", None, 3.0, None),
    ]
    assert seasons(*rows, *FULL[2:]).loc["1", "mean_fruit_mass_g"] == pytest.approx(500.0)


def test_days_to_first_harvest_count_from_planting_to_the_first_fruit():
    rows = [("1", "2024-07-19", 0, 0.0, None), ("1", "2024-07-29", 1, 0.3, None)]
    plots = seasons(*rows, *FULL[2:])
    assert plots.loc["1", "days_to_first_harvest"] == 70
    assert np.isnan(plots.loc["3", "days_to_first_harvest"])


def test_the_marketable_share_is_of_weighed_culls_only():
    plots = seasons(*FULL)
    assert plots.loc["1", "marketable_share"] == pytest.approx(0.75)
    assert np.isnan(seasons(("1", "2024-07-20", 4, 1.0, None), *FULL[2:]).loc["1", "marketable_share"])


def test_curves_end_at_the_mean_of_the_plots():
    plots = plot_seasons(LAYOUT, harvest(*FULL), PLANTING, control="control")
    curves = harvest_curves(plots, harvest(*FULL))
    last = curves.groupby("treatment")["marketable_kg_per_plant"].last()
    expected = plots.groupby("treatment")["marketable_kg_per_plant"].mean()
    pd.testing.assert_series_equal(last, expected)


def test_no_harvest_at_all_is_no_error():
    plots = seasons()
    assert not plots["used"].any()
    assert plots["pickings_expected"].sum() == 0


def last_pickings(plots, stages=("", "", "", "")):
    """Return two routine pickings of every plot and a last one of some, with stages by plot."""
    rows = harvest(*FULL, *[(plot, "2024-09-30", 2, 1.0, None) for plot in plots])
    is_last = rows["date"] == "2024-09-30"
    return rows.assign(
        event=np.where(is_last, "last", ""), stage=rows["plot"].map(dict(zip("1234", stages, strict=True)))
    )


def test_a_last_picking_counts_for_a_whole_block_on_one_day_only():
    plots = plot_seasons(LAYOUT, last_pickings("123"), PLANTING, control="control").set_index("plot")
    assert plots.loc[["1", "2"], "marketable_kg"].tolist() == [4.0, 4.0]
    assert plots.loc[["3", "4"], "marketable_kg"].tolist() == [3.0, 3.0]


def test_the_answer_without_the_last_picking_has_the_routine_ones():
    plots = plot_seasons(LAYOUT, last_pickings("12"), PLANTING, control="control")
    without = without_last_pickings(plots).set_index("plot")
    assert without.loc["2", "marketable_kg_per_plant"] == pytest.approx(3.0 / 4)
    assert without.loc["3", "marketable_kg_per_plant"] == pytest.approx(3.0 / 4)


def test_a_garden_whose_treatments_are_picked_at_different_stages_is_flagged():
    mixed = last_pickings("", stages=("ripe", "", "", "ripe"))
    plots = plot_seasons(LAYOUT, mixed, PLANTING, control="control", harvest_stage="mature")
    assert plots["stages_differ"].all()
    assert plots.set_index("plot")["stage"].to_dict() == {
        "1": "ripe",
        "2": "mature",
        "3": "mature",
        "4": "ripe",
    }


def test_a_blank_stage_is_the_trials_own():
    same = last_pickings("", stages=("mature", "", "", "mature"))
    assert not plot_seasons(LAYOUT, same, PLANTING, control="control")["stages_differ"].any()


def test_early_yield_is_missing_where_its_days_were_not_recorded():
    rows = [
        (plot, day, 4, 1.0, None)
        for plot in "1234"
        for day in ("2024-07-20", "2024-08-20", "2024-08-25", "2024-08-30", "2024-09-05", "2024-09-10")
        if (plot, day) != ("2", "2024-07-20")
    ]
    plots = seasons(*rows)
    assert plots.loc["2", "used"]
    assert np.isnan(plots.loc["2", "early_kg_per_plant"])
    assert plots.loc["1", "early_kg_per_plant"] == pytest.approx(1.0 / 6)
