from types import SimpleNamespace

import pandas as pd
import pytest

from pipeline.publish.watching import double_scores, planting_week, score_agreement

TRIAL = SimpleNamespace(start=pd.Timestamp("2025-05-10"), close=pd.Timestamp("2025-10-05"))
DAY = pd.Timestamp("2025-07-01")


def looks(*rows: tuple) -> pd.DataFrame:
    columns = ["row_id", "site", "plot", "date", "recorded_by", "severity_pct", "height_cm", "alive"]
    known = pd.DataFrame([(index, *row) for index, row in enumerate(rows)], columns=columns)
    return known.astype({"severity_pct": "float64", "height_cm": "float64", "alive": "float64"})


def test_two_people_who_score_one_plot_on_one_day_are_a_pair():
    pairs = double_scores(
        looks(("G01", "1", DAY, "Ana", 10, None, 2), ("G01", "1", DAY, "Ben", 15, None, None))
    )
    assert pairs[
        ["measure", "person_one", "person_other", "score_one", "score_other"]
    ].to_numpy().tolist() == [["severity_pct", "Ana", "Ben", 10.0, 15.0]]


@pytest.mark.parametrize(
    "other",
    [
        ("G01", "1", DAY + pd.Timedelta(days=1), "Ben", 15, None, None),
        ("G01", "2", DAY, "Ben", 15, None, None),
        ("G02", "1", DAY, "Ben", 15, None, None),
        ("G01", "1", DAY, "Ana", 15, None, None),
        ("G01", "1", DAY, None, 15, None, None),
    ],
)
def test_another_day_plot_garden_or_no_other_person_is_no_pair(other):
    assert double_scores(looks(("G01", "1", DAY, "Ana", 10, None, None), other)).empty


def test_agreement_is_told_measure_by_measure():
    rows = [
        ("G01", str(plot), DAY, person, 10 * plot + shift, None, None)
        for plot in range(6)
        for person, shift in (("Ana", 0), ("Ben", 2))
    ]
    found = score_agreement(double_scores(looks(*rows)))
    assert found[["measure", "pairs", "mean_difference", "largest_difference"]].to_numpy().tolist() == [
        ["severity_pct", 6, 2.0, 2.0]
    ]


def planting_frames() -> tuple[pd.DataFrame, ...]:
    plots = pd.DataFrame({"site": ["G01", "G01", "G02"], "plot": ["1", "2", "1"]})
    planting = pd.DataFrame({"site": ["G01"], "plot": ["1"], "date": [pd.Timestamp("2025-05-14")]})
    deliveries = pd.DataFrame(
        {"site": ["G01", "G02"], "date": pd.to_datetime(["2025-05-08", "2024-05-08"]), "usable": [9.0, 9.0]}
    )
    pictures = pd.DataFrame({"site": ["G02"], "day": [pd.Timestamp("2025-05-20")]})
    return plots, planting, deliveries, pictures


def test_the_planting_week_counts_plots_and_days_of_each_garden():
    week = planting_week(*planting_frames(), TRIAL).set_index("site")
    first = week.loc["G01"]
    assert (first["plots_planted"], first["plots"]) == (1, 2)
    assert first["arrived_on"] == pd.Timestamp("2025-05-08")
    assert pd.isna(first["picture_on"])


def test_plants_of_another_season_have_not_arrived_for_this_one():
    second = planting_week(*planting_frames(), TRIAL).set_index("site").loc["G02"]
    assert pd.isna(second["arrived_on"])
    assert second["plots_planted"] == 0
    assert second["picture_on"] == pd.Timestamp("2025-05-20")
