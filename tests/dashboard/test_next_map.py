import pandas as pd
import pytest

from dashboard.access.account import OPEN_ACCOUNT
from dashboard.data import View, trial_seasons
from dashboard.figures.next_map import next_map, stretches
from dashboard.figures.template import Screen
from dashboard.pages.plan_gardens import next_map_rows
from dashboard.router import route
from pipeline.publish import frames
from tests.dashboard.drawn import accepted
from tests.dashboard.framing import framed
from tests.dashboard.tree import find, text_of


def options(*gains: float) -> pd.DataFrame:
    return pd.DataFrame({"position_km": range(0, 10 * len(gains), 10), "narrower_pct": gains})


@pytest.mark.parametrize(
    ("gains", "wanted"),
    [
        pytest.param((9.0, 5.0, 1.0), [(2, 0, 5), (1, 5, 15), (0, 15, 20)], id="best in the west"),
        pytest.param((1.0, 1.0, 9.0), [(0, 0, 15), (2, 15, 20)], id="neighbours alike are one stretch"),
        pytest.param((0.0, 0.0), [], id="nothing helps"),
        pytest.param((float("nan"), float("nan")), [], id="no slope yet"),
    ],
)
def test_the_region_is_parted_by_thirds_of_the_best_gain(gains, wanted):
    assert stretches(options(*gains)) == wanted


@pytest.fixture
def asked(published) -> View:
    gardens = published.frame("gardens")
    gardens.loc[gardens["site"] == "G07", "status"] = "asked"
    return View(published.replacing(framed(frames.GARDENS, gardens), "gardens"), OPEN_ACCOUNT)


def closed(view: View):
    return next(one for one in trial_seasons(view) if one.is_closed)


def test_a_garden_that_was_asked_brings_what_its_place_brings(asked):
    rows = next_map_rows(asked, closed(asked))
    garden = rows.asked.iloc[0]
    around = rows.options[(rows.options["position_km"] - garden["position_km"]).abs() <= 10]["narrower_pct"]
    assert garden["site"] == "G07"
    assert around.min() <= garden["narrower_pct"] <= around.max()


@pytest.mark.parametrize("narrow", [False, True])
def test_hatching_stays_inside_the_region_and_the_dashed_line_marks_the_best_place(asked, narrow):
    rows = next_map_rows(asked, closed(asked))
    drawn = accepted(next_map(rows, Screen(narrow=narrow)))
    region = rows.outlines[rows.outlines["outline"] == "region"]
    hatched = [one for one in drawn.data if one.name in ("helps some", "helps most")]
    assert hatched
    for trace in hatched:
        x = [one for one in trace.x if one is not None]
        assert region["x_km"].min() - 1e-6 <= min(x) <= max(x) <= region["x_km"].max() + 1e-6
    assert drawn.layout.shapes[0].x0 == rows.best_km
    assert next(one for one in drawn.data if one.name == "asked").text == ("<b>G07</b> asked",)


def test_the_page_says_what_the_asked_garden_would_bring(asked):
    parts = list(route(asked, "/plan", "?gain=20", Screen()).main)
    captions = [text_of(one) for one in find(parts, "Figcaption")]
    assert any("The garden that was asked, G07" in one and "narrower" in one for one in captions)


def test_without_a_garden_asked_the_page_says_where_to_look(view):
    parts = list(route(view, "/plan", "?gain=20", Screen()).main)
    assert any("No garden was asked yet" in text_of(one) for one in find(parts, "Figcaption"))
