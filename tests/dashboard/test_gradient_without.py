"""Leaving one garden out, by choosing it."""

import pandas as pd
import pytest

from dashboard.access.account import OPEN_ACCOUNT
from dashboard.data import View
from dashboard.figures.template import Screen
from dashboard.router import route
from pipeline.publish import frames
from tests.dashboard.framing import framed
from tests.dashboard.tree import text_of

ROW = {"outcome": "marketable_kg_per_plant", "treatment": "corvane", "axis": "position_km", "scale": "ratio"}


@pytest.fixture
def seen(published) -> View:
    # 0.0002 per km in logarithms is exp(0.02) - 1 = 2.02% over 100 km.
    rows = pd.DataFrame([ROW | {"site": "G07", "mean_without": 12.34, "slope_without": 0.0002}])
    estimates = framed(frames.ESTIMATES, rows)
    return View(published.replacing(estimates, "estimates", "tomato-graft", "2024"), OPEN_ACCOUNT)


def words(view: View, query: str) -> str:
    return text_of(list(route(view, "/gradient", query, Screen()).chosen.below))


def test_the_garden_that_was_chosen_is_left_out_in_words(seen):
    said = words(seen, "?season=2024&garden=G07")
    assert "Without G07" in said
    assert "would be 12.3%\u00a0more instead of" in said
    assert "it would change by +2.0% instead of" in said


@pytest.mark.parametrize("query", ["?season=2024", "?season=2024&garden=G09", "?season=2025&garden=G07"])
def test_nothing_is_left_out_where_nobody_chose_or_nothing_is_known(seen, query):
    assert "Without" not in words(seen, query)
