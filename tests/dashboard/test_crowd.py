"""Hundreds of gardens in one strip."""

import json
import re
from urllib.parse import unquote

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboard.access.account import OPEN_ACCOUNT
from dashboard.components.sight import sight
from dashboard.data import View
from dashboard.figures import crowd
from dashboard.figures.crowd import MOST_MARKS, Field
from dashboard.figures.gradient import gradient_figure
from dashboard.figures.row import Row
from dashboard.figures.template import Screen
from dashboard.figures.watch import watch_figure
from dashboard.pages.rows import gradient_rows, watch_rows
from dashboard.router import route
from tests.dashboard.drawn import accepted
from tests.dashboard.repeated import Repeated
from tests.dashboard.tree import find, walk

FIELD = Field((0.0, 100.0), (0.0, 10.0), 200, 50, (0.0, 1.0))


@pytest.fixture
def many(published) -> View:
    return View(Repeated(published), OPEN_ACCOUNT)


def gardens(count: int) -> pd.DataFrame:
    km = np.linspace(1, 99, count)
    return pd.DataFrame({"x": km, "position_km": km, "y": np.full(count, 5.0), "colour": "#123456"})


def paths(strokes: str) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in re.findall(r"M(-?\d+),(-?\d+)", strokes)]


def test_a_mark_stands_at_its_place_in_the_strip():
    rows = pd.DataFrame({"x": [25.0, 100.0], "y": [10.0, 2.0], "colour": ["#aaaaaa", "#bbbbbb"]})
    assert paths(crowd.dots(rows, "x", "y", FIELD, 5)) == [(50, 0), (200, 40)]


def test_marks_keep_their_garden_s_colour():
    rows = pd.DataFrame({"x": [25.0, 75.0], "y": [5.0, 5.0], "colour": ["#aaaaaa", "#bbbbbb"]})
    drawn = crowd.dots(rows, "x", "y", FIELD, 5)
    assert re.findall(r'd="M(\d+),\d+h0" stroke="(#\w+)"', drawn) == [("50", "#aaaaaa"), ("150", "#bbbbbb")]


def test_two_marks_on_one_pixel_are_drawn_once():
    rows = pd.DataFrame({"x": [25.0, 25.1], "y": [5.0, 5.0], "colour": ["#aaaaaa", "#aaaaaa"]})
    assert len(paths(crowd.dots(pd.concat([rows] * 30), "x", "y", FIELD, 5))) <= crowd.SHADES


def test_a_mark_beyond_its_strip_is_not_drawn():
    rows = pd.DataFrame({"x": [50.0], "y": [11.0], "colour": ["#aaaaaa"]})
    assert crowd.dots(rows, "x", "y", FIELD, 5) == ""


def test_treatments_have_marks_of_different_shape():
    drawn = {crowd.dots(gardens(3), "x", "y", FIELD, 5, order) for order in (1, 2, 3)}
    assert len(drawn) == 3


def test_a_picture_lies_over_its_strip():
    image = crowd.picture(crowd.dots(gardens(3), "x", "y", FIELD, 5), FIELD)
    assert (image["x"], image["y"], image["sizex"], image["sizey"]) == (0, 1.0, 1, 1.0)
    assert unquote(image["source"]).startswith("data:image/svg+xml,<svg ")


@given(st.integers(MOST_MARKS + 1, 3000))
def test_stretches_hold_every_garden(count):
    rows = gardens(count).assign(gardens=1)
    summed = crowd.stretches(rows, Row(0.0, 100.0), {"gardens": "sum"})
    assert summed["gardens"].sum() == count
    assert summed["position_km"].is_monotonic_increasing


def test_a_column_is_filled_by_its_share():
    cells = pd.DataFrame({"x": [50.0], "top": [10.0], "share": [0.25], "colour": ["#aaaaaa"]})
    drawn = crowd.columns(cells, "share", "x", "top", FIELD, 4, 16)
    assert 'd="M100,16v-4"' in drawn


@pytest.mark.parametrize("query", ["?season=2024", "?season=2024&axis=rain_mm", "?season=2025"])
def test_a_crowd_on_the_gradient_is_pictures_and_no_marks(many, choose, query):
    rows = gradient_rows(many, choose("/gradient", query, over=many), _trial(many, choose, query), Screen())
    figure = accepted(gradient_figure(rows, Screen()))
    assert len(rows.gardens) > MOST_MARKS
    marks = [trace for trace in figure.data if getattr(trace, "mode", "bar") in ("markers", "bar")]
    assert max(len(trace.x) for trace in marks) < 130
    assert len(figure.layout.images) >= 5


def test_a_crowd_s_weeks_are_summed_up_over_stretches(many, choose):
    chosen = choose("/watch", "?season=2025", over=many)
    figure = accepted(watch_figure(watch_rows(many, chosen, chosen.trial), Screen()))
    assert len(figure.layout.images) == 2
    assert not [trace for trace in figure.data if str(trace.name).startswith("sent")]


def test_a_crowd_is_found_by_where_its_marks_stand(many, choose):
    query = "?season=2024"
    rows = gradient_rows(many, choose("/gradient", query, over=many), _trial(many, choose, query), Screen())
    (over,) = sight(gradient_figure(rows, Screen()))
    places = json.loads(getattr(over, "data-places"))
    assert places["crowd"]
    assert len(places["sites"]) == len(places["at"]) == len(places["up"]) == len(places["further"])


def test_the_chosen_garden_of_a_crowd_is_ringed_on_the_map_and_at_its_difference(many, choose):
    query = "?season=2024&garden=G05"
    rows = gradient_rows(many, choose("/gradient", query, over=many), _trial(many, choose, query), Screen())
    figure = gradient_figure(rows, Screen())
    (over,) = sight(figure)
    rings = {getattr(mark, "data-heights"): mark for mark in over.children if mark.className == "ring"}
    assert not any(ring.hidden for ring in rings.values())
    assert rings["up"].style["top"] == f"{figure.sight.places['G05'][1]:.1f}px"
    assert rings["further"].style["top"] == f"{figure.sight.further['G05']:.1f}px"


@pytest.mark.parametrize("path", ["/watch", "/gradient", "/compare", "/garden"])
def test_a_page_of_a_crowd_has_no_more_parts_than_stay_quick(many, path):
    routed = route(many, path, "?season=2024", Screen())
    whole = [routed.masthead, routed.chosen.ruler, routed.main]
    parts = [part for part in walk(whole) if not isinstance(part, str)]
    assert len(parts) < 900


def test_the_caption_says_that_intervals_are_left_out(many):
    routed = route(many, "/gradient", "?season=2024", Screen())
    (caption,) = find(routed.main, "Figcaption")
    assert "too many for an interval each" in " ".join(
        str(part) for part in walk(caption) if isinstance(part, str)
    )


def _trial(view, choose, query):
    return choose("/gradient", query, over=view).trial
