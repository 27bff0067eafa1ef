"""How sure a closed season's answer is: the other ways of working it out, one under the other."""

import numpy as np
import pandas as pd
import pytest

from dashboard.access.account import OPEN_ACCOUNT
from dashboard.data import View
from dashboard.differences import PERCENT, unit_of
from dashboard.figures.intervals import IntervalRows, intervals_figure
from dashboard.figures.template import Screen
from dashboard.pages.sureness import sureness_table, ways_of, ways_seen
from dashboard.router import route
from pipeline.publish import frames
from tests.dashboard.drawn import accepted
from tests.dashboard.framing import framed
from tests.dashboard.tree import find, text_of

YIELD = "marketable_kg_per_plant"
ABOUT = {"outcome": YIELD, "treatment": "corvane"}


def logs(*percents: float) -> dict[str, float]:
    """Return an estimate and its ends, given in percent, as log ratios."""
    names = ("estimate", "ci_low", "ci_high")
    return {name: float(np.log1p(percent / 100)) for name, percent in zip(names, percents, strict=True)}


@pytest.fixture
def seen(published) -> View:
    ways = pd.DataFrame(
        [
            ABOUT | {"way": "one stage", "gardens": None} | logs(15, 9, 22),
            ABOUT | {"way": "own variance", "gardens": 24} | logs(11, -2, 25),
            ABOUT | {"way": "a way of next year", "gardens": 24} | logs(14, 8, 21),
        ]
    )
    left_out = pd.DataFrame(
        [
            ABOUT | {"axis": "position_km", "scale": "ratio", "site": site, "mean_without": without}
            for site, without in (("G01", 13.0), ("G05", 16.5), ("G09", 12.0))
        ]
    )
    both = published.replacing(framed(frames.SENSITIVITY, ways), "sensitivity", "tomato-graft", "2024")
    return View(
        both.replacing(framed(frames.ESTIMATES, left_out), "estimates", "tomato-graft", "2024"), OPEN_ACCOUNT
    )


def section(view: View, query: str) -> list:
    return find(list(route(view, "/compare", query, Screen()).main), "Section", id="sureness")


def test_the_answer_stands_first_and_every_way_in_percent_below_it(seen, choose):
    selection = choose("/compare", "season=2024", over=seen)
    rows = ways_of(seen, selection, selection.trial)
    assert rows["is_answer"].tolist() == [True] + [False] * 5
    assert rows["label"].tolist()[1:] == [
        "All plots in one model",
        "Each garden’s own variance",
        "a way of next year",
        "Without G09, the least",
        "Without G05, the most",
    ]
    assert rows["middle"].tolist()[1:] == pytest.approx([15, 11, 14, 12, 16.5])
    assert rows["low"].tolist()[1:4] == pytest.approx([9, -2, 8])
    assert rows["low"].isna().tolist()[4:] == [True, True]


def test_the_caption_says_which_way_would_say_something_else(seen):
    words = text_of(section(seen, "?season=2024"))
    assert "Worked out in 3 other ways" in words
    assert "between 11.0%\u00a0more and 15.0%\u00a0more" in words
    assert "those that hold it: each garden’s own variance" in words
    assert "Without any one garden the answer would lie between 12.0%\u00a0more and 16.5%\u00a0more" in words


@pytest.mark.parametrize(
    ("ends", "said"),
    [
        ([(2, 9), (1, 8)], "Every interval lies above “same”."),
        ([(-9, -1), (-8, -2)], "Every interval lies below “same”."),
        ([(-1, 9), (-2, 8)], "Every interval holds “same”."),
    ],
)
def test_ways_that_agree_are_said_to_agree(ends, said):
    rows = pd.DataFrame(
        {
            "way": ["answer", "one stage"],
            "label": ["The answer", "All plots in one model"],
            "middle": [sum(pair) / 2 for pair in ends],
            "low": [low for low, _ in ends],
            "high": [high for _, high in ends],
            "is_answer": [True, False],
        }
    )
    assert ways_seen(rows, "Corvane stock", PERCENT).endswith(said)


def test_while_a_trial_runs_nothing_is_said_of_how_sure(seen):
    assert section(seen, "?season=2025") == []


def test_another_outcome_leads_to_the_one_that_was_planned(seen):
    part = section(seen, "?season=2024&outcome=mean_fruit_mass_g")
    assert "planned for" in text_of(part)
    assert [one.href for one in find(part, "A")] == [f"/compare?season=2024&outcome={YIELD}"]


def test_a_season_without_other_ways_says_so(view):
    assert "No other way could be worked out" in text_of(section(view, "?season=2024"))


def test_the_table_has_what_the_figure_draws(seen, choose):
    selection = choose("/compare", "season=2024", over=seen)
    drawn, table = (make(seen, selection, selection.trial) for make in (ways_of, sureness_table))
    assert table["way"].tolist() == drawn["label"].tolist()
    assert table["estimate"].tolist() == drawn["middle"].tolist()
    assert set(table["unit"]) == {"percent"}


@pytest.mark.parametrize("narrow", [False, True])
def test_every_estimate_is_drawn_with_its_interval_where_it_has_one(seen, choose, narrow):
    selection = choose("/compare", "season=2024", over=seen)
    rows = ways_of(seen, selection, selection.trial)
    figure = accepted(intervals_figure(IntervalRows(rows, 1, unit_of(YIELD)), Screen(narrow=narrow)))
    others, answer, marks = figure.data
    assert list(marks.x) == rows["middle"].tolist()
    assert len(answer.x) == 3
    assert len(others.x) == 3 * 3
    low, high = figure.layout.xaxis.range
    assert low < min(0, rows["low"].min())
    assert high > rows["high"].max()
