"""The ruler's stakes: whose names are written, which gardens are linked to, and where each stands."""

import re
from urllib.parse import unquote

import pandas as pd
import pytest

from dashboard.components.stakes import MOST_LINKS, NEAREST, drawing, stakes_of, strip_drawing
from dashboard.data import outlines
from dashboard.figures.crowd import MOST_MARKS
from dashboard.figures.template import LIGHT

NO_OUTLINES = pd.DataFrame({"x_km": pd.Series(dtype="float64")})


def row_of(count: int, late: tuple[int, ...] = ()):
    gardens = pd.DataFrame(
        {
            "site": [f"G{index:03d}" for index in range(count)],
            "name": [f"Garden {index}" for index in range(count)],
            "county": pd.Series(["Ellis"] * count, dtype="str"),
            "position_km": [float(index) for index in range(count)],
            "state": ["late" if index in late else "in step" for index in range(count)],
            "colour": ["#8A2E1C"] * count,
        }
    )
    return stakes_of(gardens, NO_OUTLINES, LIGHT)


def test_the_ruler_writes_every_name_while_all_fit():
    assert row_of(20).written(None, 1016) == list(range(20))


def test_a_long_row_writes_the_chosen_garden_and_those_out_of_step():
    assert row_of(80, late=(3, 40)).written("G010", 1016) == [3, 10, 40]


def test_a_long_row_of_late_gardens_writes_the_chosen_one_alone():
    stakes = row_of(80, late=tuple(range(80)))
    assert stakes.written("G010", 1016) == [10]
    assert stakes.written(None, 1016) == []


def test_where_the_chosen_garden_is_one_too_many_it_alone_is_written():
    # Names of four letters are 4 x 8 + 11 px wide, and 1,016 px hold 23.6 gaps of that, so 24 names.
    late = tuple(range(24))
    assert row_of(80, late=late).written("G010", 1016) == list(late)
    assert row_of(80, late=late).written("G079", 1016) == [79]
    assert row_of(80, late=late[:-1]).written("G079", 1016) == [*late[:-1], 79]


@pytest.mark.parametrize(
    ("count", "chosen", "near"),
    [
        (MOST_LINKS, "G003", (0, MOST_LINKS)),
        (300, None, (0, NEAREST)),
        (300, "G150", (150 - NEAREST // 2, 150 + NEAREST // 2)),
        (300, "G299", (300 - NEAREST, 300)),
    ],
)
def test_a_long_row_links_to_the_gardens_around_the_chosen_one(count, chosen, near):
    assert row_of(count).near(chosen) == range(*near)


def test_a_garden_without_a_place_has_no_stake():
    gardens = pd.DataFrame(
        {
            "site": ["G01", "G02"],
            "name": ["Prairie", "Creek"],
            "county": pd.Series([None, "Ellis"], dtype="str"),
            "position_km": [5.0, None],
            "state": ["late", "late"],
            "colour": ["#8A2E1C"] * 2,
        }
    )
    stakes = stakes_of(gardens, NO_OUTLINES, LIGHT)
    assert [stake.site for stake in stakes.gardens] == ["G01"]
    assert (stakes.gardens[0].county, stakes.counties) == ("", 0)
    assert stakes.place_of("G02") is None


def test_the_drawing_shows_each_stake_at_its_place(view, choose):
    gardens = choose("/watch").gardens
    stakes = stakes_of(gardens, outlines(view), LIGHT)
    places = [stakes.row.fraction(km) for km in gardens["position_km"]]
    svg = unquote(drawing(stakes, dict(enumerate(places)), LIGHT))
    drawn = re.findall(r'd="M([\d.]+) 8.0V27.0" stroke="(#[0-9A-F]{6})" stroke-width="5"', svg)
    assert [colour for _, colour in drawn] == gardens["colour"].tolist()
    assert [float(x) for x, _ in drawn] == pytest.approx([1000 * place for place in places], abs=0.01)


def test_of_a_crowd_only_the_chosen_garden_is_drawn_for_itself():
    many = row_of(MOST_MARKS + 1)
    assert unquote(drawing(many, many.names([7], 1016), LIGHT)).count('stroke-width="5"') == 1
    assert unquote(strip_drawing(many, "G007", LIGHT)).count('stroke-width="3.6"') == 1
    for is_narrow in (False, True):
        assert many.grounds[is_narrow].crowd.startswith('url("data:image/svg+xml,')
        assert row_of(MOST_MARKS).grounds[is_narrow].crowd == ""
