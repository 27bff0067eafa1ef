"""A trial over several seasons: gardens that came back are one garden each."""

import numpy as np
import pandas as pd
import pytest

from pipeline.response.over_seasons import over_seasons
from pipeline.response.season import season_answer
from pipeline.settings import Answer
from tests.pipeline.response.invented_seasons import invented_place, invented_plots

YIELD = "marketable_kg_per_plant"


def several(seasons, gardens=10):
    """Return plots and places of the same gardens in several seasons."""
    plots = [invented_plots(gardens, seed=10 + at).assign(season=name) for at, name in enumerate(seasons)]
    place = [invented_place(gardens).assign(season=name) for name in seasons]
    return pd.concat(plots, ignore_index=True), pd.concat(place, ignore_index=True)


def row_of(found, outcome=YIELD, treatment="straw"):
    return next(row for row in found.network if (row["outcome"], row["treatment"]) == (outcome, treatment))


def test_gardens_count_once_however_often_they_came_back():
    row = row_of(over_seasons(*several(("2023", "2024", "2025")), "bare soil", Answer()))
    assert (row["gardens"], row["garden_seasons"]) == (10, 30)
    assert row["df"] == 9


def test_several_seasons_say_more_than_one():
    plots, place = several(("2023", "2024", "2025"))
    row = row_of(over_seasons(plots, place, "bare soil", Answer()))
    one = row_of(
        season_answer(plots[plots["season"] == "2023"], place[:10], "bare soil", Answer(), is_closed=True)
    )
    assert row["se"] < one["se"]
    assert row["ci_low"] < 0.2 < row["ci_high"]


def test_with_one_season_the_answer_is_that_of_the_season():
    plots, place = several(("2023",))
    over = row_of(over_seasons(plots, place, "bare soil", Answer()))
    alone = row_of(season_answer(plots, place, "bare soil", Answer(), is_closed=True))
    for name in ("estimate", "se", "ci_low", "pi_high", "tau2"):
        assert over[name] == pytest.approx(alone[name], rel=1e-9)


def test_a_line_runs_through_gardens_at_their_mean_place_over_seasons():
    plots, place = several(("2023", "2024"))
    place.loc[place["season"] == "2024", "rain_mm_per_day"] += 1.0
    found = over_seasons(plots, place, "bare soil", Answer())
    band = next(
        band
        for band in found.bands
        if (band["outcome"].iloc[0], band["axis"].iloc[0]) == (YIELD, "rain_mm_per_day")
    )
    rain = place.groupby("site")["rain_mm_per_day"].mean()
    np.testing.assert_allclose([band["at"].min(), band["at"].max()], [rain.min(), rain.max()])


def test_the_lines_of_a_trial_count_gardens():
    found = over_seasons(*several(("2023", "2024")), "bare soil", Answer())
    slope = next(row for row in found.gradient if row["term"] == "position_km")
    assert (slope["gardens"], slope["df"]) == (10, 8)
