"""Checks of a whole season: one finding for each cause and garden or plot, whatever the order of rows.

Factors, days and shares are common practice, no source; a kilogram is 2.2046 pounds (international
avoirdupois pound, 1959).
"""

from datetime import date, timedelta

import numpy as np
import polars as pl
import pytest

from pipeline.checks.season.find import SEASON_CATALOGUE, find_season
from pipeline.checks.words import catalogue_words

GARDENS = 12
PLOTS = (("1", "1", "own-root"), ("2", "1", "grafted"), ("3", "2", "grafted"), ("4", "2", "own-root"))
FIRST, TODAY = date(2024, 7, 1), date(2024, 9, 30)
POUND = 0.45359237
MORE = {
    "gardens.csv": "".join(f"G{n:02},Garden {n},{-102 + n / 3},38.5,500\n" for n in range(3, GARDENS + 1)),
    "plots.csv": "".join(
        f"G{n:02},graft,{block},{plot},{treatment}\n"
        for n in range(3, GARDENS + 1)
        for plot, block, treatment in PLOTS
    ),
}


@pytest.fixture
def season(network):
    """Make the context of a dozen gardens, late in the season."""
    return lambda **known: network(more=MORE | known.pop("more", {}), today=TODAY, **known)


def picked(days=14, seed=1):
    """Return the pickings of all gardens, every five days: fruits of 300 g, more or less."""
    rng = np.random.default_rng(seed)
    rows = []
    for garden in range(1, GARDENS + 1):
        for day in range(days):
            for plot, _, _ in PLOTS:
                count = int(2 + rng.poisson(3))
                rows.append(
                    {
                        "site": f"G{garden:02}",
                        "season": "2024",
                        "plot": plot,
                        "date": FIRST + timedelta(days=5 * day + garden % 3),
                        "marketable_count": float(count),
                        "marketable_weight": round(count * 0.3 * float(np.exp(rng.normal(0, 0.1))), 2),
                    }
                )
    return pl.DataFrame(rows)


def planted():
    rows = [
        {"site": f"G{n:02}", "season": "2024", "plot": plot, "date": date(2024, 5, 15), "plants": 8.0}
        for n in range(1, GARDENS + 1)
        for plot, _, _ in PLOTS
    ]
    return pl.DataFrame(rows)


def found(context, harvest, **others):
    sheets = {"harvest": harvest, "planting": planted()} | others
    held = sheets.pop("held", None)
    return [
        (row["check"], row["site"], row["plot"])
        for row in find_season(sheets, context, held=held).filter(pl.col("level") != "note").to_dicts()
    ]


OF_G05 = pl.col("site") == "G05"


def changed(harvest, weight, where=OF_G05):
    return harvest.with_columns(
        pl.when(where).then(weight).otherwise("marketable_weight").alias("marketable_weight")
    )


def test_each_check_has_the_level_that_its_words_were_written_for():
    assert {(check.name, check.level) for check in SEASON_CATALOGUE} == {
        (check.name, catalogue_words()[check.name]["level"]) for check in SEASON_CATALOGUE
    }


def test_a_sound_season_is_left_alone(season):
    assert found(season(), picked()) == []


def test_nothing_sent_is_nothing_found(season):
    assert find_season({}, season()).is_empty()


@pytest.mark.parametrize("factor", [1 / POUND, POUND])
def test_a_scale_in_the_other_unit_all_season_is_seen_against_the_other_gardens(season, factor):
    harvest = changed(picked(), pl.col("marketable_weight") * factor)
    assert found(season(), harvest) == [("weight-kg-for-lb-season", "G05", None)]


def test_a_garden_whose_fruits_are_half_as_heavy_again_is_not_asked(season):
    assert found(season(), changed(picked(), pl.col("marketable_weight") * 1.5)) == []


def test_the_unit_that_the_sheet_names_must_explain_the_factor(season):
    harvest = changed(picked(), pl.col("marketable_weight") / POUND)
    sheet_says = harvest.with_columns(meant_marketable_weight=pl.lit("lb"))
    in_kilograms = sheet_says.with_columns(meant_marketable_weight=pl.lit("kg"))
    case = ("weight-kg-for-lb-season", "G05", None)
    assert case not in found(season(), sheet_says)
    assert case in found(season(), in_kilograms)


def test_a_scale_that_changed_in_mid_season_is_seen_on_its_day(season):
    day = date(2024, 8, 4)
    harvest = changed(picked(), pl.col("marketable_weight") * POUND, OF_G05 & (pl.col("date") >= day))
    (row,) = find_season({"harvest": harvest, "planting": planted()}, season()).to_dicts()
    assert (row["check"], row["site"]) == ("weight-scale-changed", "G05")
    first_after = harvest.filter(OF_G05 & (pl.col("date") >= day))["date"].min()
    assert f'"date":"{first_after}"' in row["details"]


def test_a_bucket_is_what_is_left_at_no_fruit(season):
    heavier = changed(picked(), pl.col("marketable_weight") + 0.8)
    assert found(season(), heavier) == [("bucket-in-weight", "G05", None)]
    assert found(season(), changed(picked(), pl.col("marketable_weight") + 0.1)) == []


def test_running_totals_only_go_up(season):
    totals = pl.col("marketable_weight").cum_sum().over("site", "plot")
    counts = pl.col("marketable_count").cum_sum().over("site", "plot")
    harvest = picked().with_columns(
        pl.when(OF_G05).then(totals).otherwise("marketable_weight").alias("marketable_weight"),
        pl.when(OF_G05).then(counts).otherwise("marketable_count").alias("marketable_count"),
    )
    assert found(season(), harvest) == [("weights-keep-growing", "G05", None)]


def test_four_pickings_that_grow_are_no_running_total(season):
    harvest = (
        picked(4)
        .sort("site", "plot", "marketable_weight")
        .with_columns(date=pl.col("date").sort().over("site", "plot"))
    )
    assert found(season(), harvest) == []


def test_weights_of_half_pounds_are_told_and_not_asked_about(season):
    rounded = ((pl.col("marketable_weight") / POUND * 2).round() / 2) * POUND
    findings = find_season({"harvest": changed(picked(), rounded), "planting": planted()}, season())
    assert findings.select("check", "level", "site").rows() == [("weights-rounded", "note", "G05")]


def test_a_plot_that_gives_more_than_plants_can_is_asked_about(season):
    # 8 plants, 6 kg at the top of the band: from 1.25 times that, 60 kg, on.
    of_plot = OF_G05 & (pl.col("plot") == "2")
    total = picked().filter(of_plot)["marketable_weight"].sum()
    more = changed(picked(), pl.col("marketable_weight") * (62 / total), of_plot)
    less = changed(picked(), pl.col("marketable_weight") * (58 / total), of_plot)
    assert ("plant-yield-high", "G05", "2") in found(season(), more)
    assert "plant-yield-high" not in {check for check, _, _ in found(season(), less)}


def test_more_fruits_than_plants_can_bear_are_asked_about(season):
    # 20 fruits a plant at the top of the band: from twice that, 320 for 8 plants, on.
    of_plot = OF_G05 & (pl.col("plot") == "2")
    harvest = picked().with_columns(
        pl.when(of_plot).then(24.0).otherwise("marketable_count").alias("marketable_count"),
        pl.when(of_plot).then(2.4).otherwise("marketable_weight").alias("marketable_weight"),
    )
    assert ("plant-fruits-high", "G05", "2") in found(season(), harvest)


def test_a_plot_that_never_yields_while_its_twin_does_is_asked_about(season):
    harvest = picked().filter(~(OF_G05 & (pl.col("plot") == "3")))
    assert found(season(), harvest) == [("plot-never-yields", "G05", "3")]


@pytest.mark.parametrize("alive", [0.0, 4.0])
def test_a_plot_that_died_need_not_yield(season, alive):
    dead = pl.DataFrame(
        {"site": ["G05"], "season": ["2024"], "plot": ["3"], "date": [date(2024, 6, 20)], "alive": [alive]}
    )
    harvest = picked().filter(~(OF_G05 & (pl.col("plot") == "3")))
    expected = [] if alive == 0 else [("plot-never-yields", "G05", "3")]
    assert found(season(), harvest, condition=dead) == expected


def missing(harvest, days):
    dates = sorted(harvest.filter(OF_G05)["date"].unique())
    gone = OF_G05 & (pl.col("plot") == "3") & pl.col("date").is_in([dates[day] for day in days])
    return harvest.filter(~gone), harvest.filter(gone)


def test_a_plot_left_out_on_two_days_is_asked_about_once(season):
    assert found(season(), missing(picked(), [2, 5])[0]) == [("plot-missing-from-block", "G05", "3")]
    assert found(season(), missing(picked(), [2])[0]) == []


def test_a_row_that_waits_says_that_somebody_picked(season):
    harvest, gone = missing(picked(), [2, 5])
    assert found(season(), harvest, held=gone) == []


def test_nobody_asks_for_rows_of_days_of_absence(season):
    harvest, gone = missing(picked(), [2, 5])
    away = f"G05,{gone['date'].min()},{gone['date'].max()},\n"
    assert found(season(more={"absences.csv": away}), harvest) == []


def test_two_plots_that_trade_places_are_one_question(season):
    # Plots that differ by a factor of four, in a garden whose pickings are even.
    base = {"1": 0.4, "2": 1.6, "3": 0.8, "4": 0.8}
    even = pl.col("plot").replace_strict(base) * (1 + 0.02 * (pl.col("marketable_count") % 3))
    harvest = picked().with_columns(
        pl.when(OF_G05).then(even).otherwise("marketable_weight").alias("marketable_weight"),
        pl.when(OF_G05).then(None).otherwise("marketable_count").alias("marketable_count"),
    )
    days = sorted(harvest.filter(OF_G05)["date"].unique())
    traded = harvest.with_columns(
        pl.when(OF_G05 & (pl.col("date") >= days[7]))
        .then(pl.col("plot").replace({"1": "2", "2": "1"}))
        .otherwise("plot")
        .alias("plot")
    )
    findings = find_season({"harvest": traded, "planting": planted()}, season())
    (row,) = findings.filter(pl.col("check") == "plots-cross-over").to_dicts()
    assert (row["site"], row["plot"]) == ("G05", "2")
    assert f'"date":"{days[7]}","plot_b":"1"' in row["details"]
    assert (
        "plots-cross-over" not in find_season({"harvest": harvest, "planting": planted()}, season())["check"]
    )


def test_plots_of_one_block_at_different_stages_are_asked_about_once_a_garden(season):
    harvest = picked().with_columns(
        stage=pl.when(OF_G05 & (pl.col("plot") == "2")).then(pl.lit("ripe")).otherwise(pl.lit("mature"))
    )
    assert found(season(), harvest) == [("stages-mixed", "G05", None)]
    assert found(season(), harvest.with_columns(stage=pl.lit("ripe"))) == []


def test_the_same_picking_of_a_plot_over_four_files_is_asked_about(season):
    days = sorted(picked().filter(OF_G05)["date"].unique())
    copied = OF_G05 & (pl.col("plot") == "2") & pl.col("date").is_in(days[3:7])
    harvest = picked().with_columns(
        pl.when(copied).then(4.0).otherwise("marketable_count").alias("marketable_count"),
        pl.when(copied).then(1.23).otherwise("marketable_weight").alias("marketable_weight"),
    )
    assert found(season(), harvest) == [("copied-down", "G05", "2")]


def test_pickings_without_a_planting_sheet_are_asked_about_after_two_weeks(season):
    rows = planted().filter(~OF_G05)
    case = ("planting-sheet-missing", "G05", None)
    assert case in found(season(), picked(), planting=rows)
    away = season(more={"absences.csv": "G05,2024-09-29,2024-10-03,\n"})
    assert case not in found(away, picked(), planting=rows)


def quiet(days=14):
    harvest = picked(19)
    last = TODAY - timedelta(days=days)
    return harvest.filter(~OF_G05 | (pl.col("date") <= last))


def test_a_garden_that_is_quiet_while_others_pick_is_asked(season):
    assert found(season(), quiet(20)) == [("no-picking-lately", "G05", None)]
    assert found(season(), quiet(8)) == []


def test_a_garden_that_never_picked_is_asked_where_others_do(season):
    assert ("no-picking-lately", "G05", None) in found(
        season(), picked(19).filter(~OF_G05), planting=planted()
    )


def test_a_garden_that_is_away_is_not_late(season):
    now = season(more={"absences.csv": "G05,2024-09-25,2024-10-03,\n"})
    before = season(more={"absences.csv": "G05,2024-09-15,2024-09-25,\n"})
    assert found(now, quiet(20)) == []
    assert found(before, quiet(20)) == []


def test_where_nobody_picks_nobody_is_late(season):
    assert found(season(), picked(12)) == []


def test_a_network_says_after_how_many_days_a_garden_is_late(season):
    assert found(season(late_days=30), quiet(20)) == []


def test_a_control_far_from_what_others_give_is_asked_about(season):
    low = pl.col("marketable_weight") * 0.15
    of_control = OF_G05 & pl.col("plot").is_in(["1", "4"])
    harvest = changed(picked(), low, of_control).with_columns(
        pl.when(of_control).then(None).otherwise("marketable_count").alias("marketable_count")
    )
    assert found(season(), harvest) == [("control-far-off", "G05", None)]


def test_heat_that_explains_a_control_is_taken_into_account(season):
    of_control = pl.col("plot").is_in(["1", "4"])
    number = pl.col("site").str.slice(1).cast(pl.Float64)
    steep = pl.col("marketable_weight") * (0.45 * (number - 6.5)).exp()
    harvest = changed(picked(), steep, of_control).with_columns(marketable_count=pl.lit(None, pl.Float64))
    weather = pl.DataFrame(
        {
            "site": [f"G{n:02}" for n in range(1, GARDENS + 1)],
            "season": ["2024"] * GARDENS,
            "heat": [float(n) for n in range(1, GARDENS + 1)],
        }
    )
    odd = changed(harvest, pl.col("marketable_weight") * 0.05, OF_G05 & of_control)
    asked = [case for case in found(season(weather=weather), odd) if case[0] == "control-far-off"]
    assert asked == [("control-far-off", "G05", None)]
    assert not [case for case in found(season(weather=weather), harvest) if case[0] == "control-far-off"]


def test_a_finding_points_at_its_row_where_one_row_shows_it(season):
    harvest = (
        picked()
        .with_columns(file=pl.lit(3, pl.UInt32), tab=pl.lit(None, pl.String))
        .with_row_index("line", 2)
    )
    days = sorted(harvest.filter(OF_G05)["date"].unique())
    copied = OF_G05 & (pl.col("plot") == "2") & pl.col("date").is_in(days[3:7])
    harvest = harvest.with_columns(
        pl.when(copied).then(4.0).otherwise("marketable_count").alias("marketable_count"),
        pl.when(copied).then(1.23).otherwise("marketable_weight").alias("marketable_weight"),
    )
    (row,) = find_season({"harvest": harvest, "planting": planted()}, season()).to_dicts()
    assert (row["file"], row["line"]) == (3, harvest.filter(copied)["line"].min())


def test_the_order_of_rows_changes_nothing(season):
    harvest = changed(picked(), pl.col("marketable_weight") + 0.8)
    harvest = harvest.filter(~((pl.col("site") == "G07") & (pl.col("plot") == "3")))
    context = season()
    one = find_season({"harvest": harvest, "planting": planted()}, context)
    two = find_season({"harvest": harvest.reverse(), "planting": planted().reverse()}, context)
    assert not one.is_empty()
    assert one.drop("row").equals(two.drop("row"))
