"""A trial over its closed seasons: their common answer beside each season's, and their common line."""

import pandas as pd
import pytest

from dashboard.access.account import OPEN_ACCOUNT
from dashboard.data import View
from dashboard.differences import unit_of
from dashboard.figures.template import Screen
from dashboard.pages.over_seasons import answers_of, seasons_seen, seasons_table
from dashboard.pages.rows import gradient_rows
from dashboard.router import route
from pipeline.publish import frames
from tests.dashboard.framing import framed
from tests.dashboard.invented import TRIAL
from tests.dashboard.tree import find, text_of

YIELD = "marketable_kg_per_plant"
ABOUT = {"outcome": YIELD, "treatment": "corvane", "scale": "ratio"}


@pytest.fixture
def seen(published) -> View:
    """Give a third, earlier season, closed, and the answer over both closed ones."""
    trials = published.frame("trials")
    earlier = trials[trials["season"] == "2024"].assign(
        season="2023", start=pd.Timestamp("2023-05-10"), close=pd.Timestamp("2023-09-30")
    )
    made = published.replacing(framed(frames.TRIALS, pd.concat([earlier, trials])), "trials")
    for name in ("network", "attributes"):
        made = made.replacing(published.frame(name, TRIAL, "2024"), name, TRIAL, "2023")
    answer = ABOUT | {
        "gardens": 24, "plots": 430, "estimate": 0.15, "ci_low": 0.11, "ci_high": 0.19, "percent": 16.2,
        "season_tau2": 0.0025, "garden_seasons": 48,
    }  # fmt: skip
    made = made.replacing(framed(frames.NETWORK, pd.DataFrame([answer])), "network", TRIAL, "")
    band = published.frame("gradient_band", TRIAL, "2024").assign(percent=11.0)
    made = made.replacing(band, "gradient_band", TRIAL, "")
    estimates = pd.DataFrame(
        [
            ABOUT | {"axis": "position_km", "site": f"G{at:02}", "effect": 10.0 + at, "mean_without": 15.0}
            for at in range(1, 25)
        ]
    )
    made = made.replacing(framed(frames.ESTIMATES, estimates), "estimates", TRIAL, "")
    said = ABOUT | {"place": "network", "language": "en", "sentence": "Over both.", "sure": "Two seasons."}
    made = made.replacing(framed(frames.SENTENCES, pd.DataFrame([said])), "sentences", TRIAL, "")
    return View(made, OPEN_ACCOUNT)


def test_the_seasons_together_stand_first_and_each_season_below_it(seen, choose):
    selection = choose("/compare", "season=2024", over=seen)
    rows = answers_of(seen, selection, selection.trial)
    assert rows["label"].tolist() == ["All closed seasons", "2023 alone", "2024 alone"]
    assert rows["is_answer"].tolist() == [True, False, False]
    assert rows["middle"].iloc[0] == pytest.approx(16.18, abs=0.01)
    table = seasons_table(seen, selection, selection.trial)
    assert table["estimate"].tolist() == rows["middle"].tolist()


def test_compare_says_the_answer_over_the_seasons_and_how_far_it_varied(seen):
    part = find(list(route(seen, "/compare", "?season=2024", Screen()).main), "Section", id="seasons")
    words = text_of(part)
    assert "Over 2\u00a0closed seasons, Corvane stock lies 16.2%\u00a0more against own-root" in words
    # A standard deviation of 0.05 in logarithms is exp(0.05) - 1 = 5.1%.
    assert "varied by about 5.1\u00a0points of percent" in words


def test_a_trial_of_one_closed_season_has_nothing_over_seasons(view):
    for path in ("/compare", "/gradient"):
        main = list(route(view, path, "?season=2024", Screen()).main)
        assert find(main, "Section", id="seasons") == []
        assert "all closed seasons" not in text_of(main)


def test_too_few_gardens_say_so():
    rows = pd.DataFrame(
        {"middle": [3.0, 4.0], "low": [None, 1.0], "high": [None, 9.0], "is_answer": [True, False]}
    )
    said = seasons_seen(rows, "Corvane stock", "own-root", unit_of(YIELD))
    assert said == "Over 1\u00a0closed season there are too few gardens for a likely range."


def test_gradient_draws_the_seasons_together_where_that_was_chosen(seen, choose):
    selection = choose("/gradient", "season=2024&over=all", over=seen)
    rows = gradient_rows(seen, selection, selection.trial, Screen())
    drawn = rows.effects.set_index("site")["percent"]
    assert drawn["G07"] == pytest.approx(17.0)
    assert set(rows.bands["percent"]) == {11.0}
    words = text_of(list(route(seen, "/gradient", "?season=2024&over=all", Screen()).main))
    assert "Over both." in words
    assert "Each mark is a garden over its closed seasons" in words
    assert "so far" not in words


def test_seasons_together_are_laid_out_by_place_alone(seen, choose):
    assert choose("/gradient", "season=2024&over=all", over=seen).axes == ["position_km"]
    assert len(choose("/gradient", "season=2024", over=seen).axes) > 1


def test_a_running_season_is_never_mixed_in(seen, choose):
    selection = choose("/gradient", "season=2025&over=all", over=seen)
    assert not gradient_rows(seen, selection, selection.trial, Screen()).is_closed
    assert "all closed seasons" not in text_of(
        list(route(seen, "/gradient", "?season=2025&over=all", Screen()).main)
    )
