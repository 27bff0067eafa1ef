"""A running trial shows the interim analyses that it named, each with its limit, and nothing else."""

import pandas as pd
import pytest

from dashboard.access.account import OPEN_ACCOUNT
from dashboard.data import View
from dashboard.figures.template import Screen
from dashboard.pages.interim_looks import interim_table
from dashboard.router import route
from pipeline.publish import frames
from tests.dashboard.framing import framed
from tests.dashboard.tree import find, text_of

LOOKS = pd.DataFrame(
    [
        {
            "outcome": "survival", "treatment": "corvane", "date": pd.Timestamp("2025-07-25"), "gardens": 22,
            "estimate": 0.038, "ci_low": 0.004, "ci_high": 0.072, "p": 0.0002, "level": 0.0003,
            "is_called": True, "why_not": "",
        },
        {
            "outcome": "survival", "treatment": "tressel", "date": pd.Timestamp("2025-07-25"), "gardens": 22,
            "estimate": -0.01, "ci_low": -0.06, "ci_high": 0.04, "p": 0.31, "level": 0.0003,
            "is_called": False, "why_not": "",
        },
        {
            "outcome": "early_kg_per_plant", "treatment": "", "date": pd.Timestamp("2025-07-25"),
            "is_called": False, "why_not": "not complete at this date",
        },
    ]
)  # fmt: skip


@pytest.fixture
def seen(published) -> View:
    rows = framed(frames.INTERIM, LOOKS)
    both = published.replacing(rows, "interim", "tomato-graft", "2025")
    return View(both.replacing(rows, "interim", "tomato-graft", "2024"), OPEN_ACCOUNT)


def words(view: View, path: str, season: str) -> str:
    main = route(view, path, f"?season={season}", Screen()).main
    return text_of(find(list(main), "Section", id="interim"))


@pytest.mark.parametrize("path", ["/compare", "/gradient"])
def test_each_look_is_stamped_and_says_its_limit_and_whether_it_was_crossed(seen, path):
    said = words(seen, path, "2025")
    assert said.startswith("Interim analyses INTERIM")
    assert "Nothing else is compared before Sep\u00a030, 2025." in said
    assert (
        "Limit crossed: a difference is called.   3.8\u00a0points\u00a0higher in 22\u00a0gardens, interval "
        "of this look 0.4 to 7.2\u00a0points; p\u00a00.0002, limit\u00a00.0003." in said
    )
    assert "limit\u00a00.0003. So it stood on Jul\u00a025; it is not the season’s answer." in said
    assert "Limit not crossed: no difference is called yet.   1.0\u00a0point" in said


@pytest.mark.parametrize("path", ["/compare", "/gradient"])
def test_an_outcome_that_is_not_complete_waits_without_a_number(seen, path):
    assert "Early weight   Jul\u00a025 It waits: not every garden’s early days were over" in words(
        seen, path, "2025"
    )


@pytest.mark.parametrize(("season", "path"), [("2024", "/compare"), ("2024", "/gradient")])
def test_once_closed_the_whole_season_speaks_instead(seen, season, path):
    assert words(seen, path, season) == ""


def test_a_trial_that_named_no_look_shows_none(view):
    assert words(view, "/compare", "2025") == ""


def test_the_table_tells_shares_in_points(seen, choose):
    selection = choose("/compare", "season=2025", over=seen)
    table = interim_table(seen, selection, selection.trial).set_index(["outcome", "treatment"])
    assert table.loc[("survival", "corvane"), "estimate"] == pytest.approx(3.8)
    assert table.loc[("survival", "corvane"), "unit"] == "points"
