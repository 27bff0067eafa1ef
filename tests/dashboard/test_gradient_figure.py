"""The gradient figure holds the published numbers, and lines up with the ruler."""

import itertools

import numpy as np
import pandas as pd
import pytest

from dashboard.access.account import OPEN_ACCOUNT
from dashboard.components.stakes import stakes_of
from dashboard.data import View, outlines
from dashboard.figures.gradient import gradient_figure, stack_of
from dashboard.figures.place import soil_runs
from dashboard.figures.response import percent_axis, reach, runs_out, whiskers
from dashboard.figures.response_strip import NARROWEST_PX, key_rows
from dashboard.figures.row import Row
from dashboard.figures.template import Screen
from dashboard.pages.rows import gradient_rows
from tests.dashboard import synthetic
from tests.dashboard.drawn import accepted

WIDE, NARROW = Screen(), Screen("dark", narrow=True)
OUTCOME, TREATMENT = "marketable_kg_per_plant", "corvane"


@pytest.fixture
def rows_at(view, choose):
    def rows(query: str = "", screen: Screen = WIDE):
        selection = choose("/gradient", query, screen)
        return gradient_rows(view, selection, selection.trial, screen)

    return rows


def traces(figure):
    return {trace.name: trace for trace in accepted(figure).data}


def published_effects(published, season: str, treatment: str = TREATMENT) -> pd.DataFrame:
    effects = published.frame("effects", synthetic.TRIAL, season)
    return effects[(effects["outcome"] == OUTCOME) & (effects["treatment"] == treatment)].set_index("site")


@pytest.mark.parametrize("screen", [WIDE, NARROW])
@pytest.mark.parametrize("season", [synthetic.CLOSED, synthetic.RUNNING])
def test_each_mark_is_a_gardens_published_difference_at_its_kilometre(rows_at, published, season, screen):
    marks = traces(gradient_figure(rows_at(f"?season={season}", screen), screen))["gardens 1"]
    expected = published_effects(published, season).loc[list(marks.customdata)]
    assert list(marks.y) == expected["percent"].tolist()
    assert list(marks.x) == expected["position_km"].tolist()
    assert len(marks.customdata) == len(expected)


def test_each_thin_line_is_a_gardens_published_interval(rows_at, published):
    drawn = traces(gradient_figure(rows_at(), WIDE))
    for site, row in published_effects(published, synthetic.CLOSED).iterrows():
        assert list(drawn[f"interval {site}"].y) == [row["percent_low"], row["percent_high"]]


def test_lines_and_bands_are_the_published_ones(rows_at, published):
    bands = published.frame("gradient_band", synthetic.TRIAL, synthetic.CLOSED)
    bands = bands[(bands["outcome"] == OUTCOME) & (bands["axis"] == "position_km")]
    drawn = traces(gradient_figure(rows_at(), WIDE))
    for order, name in ((1, "corvane"), (2, "tressel")):
        line = bands[bands["treatment"] == name]
        assert list(drawn[f"mean {order}"].x) == line["at"].tolist()
        assert list(drawn[f"mean {order}"].y) == line["percent"].tolist()
    focus = bands[bands["treatment"] == TREATMENT]
    assert list(drawn["mean band"].y)[:50] == focus["mean_low"].tolist()
    assert list(drawn["mean band"].y)[50:100][::-1] == focus["mean_high"].tolist()
    assert list(drawn["new garden, lower"].y) == focus["new_low"].tolist()
    assert list(drawn["new garden, upper"].y) == focus["new_high"].tolist()


def test_a_running_season_is_drawn_without_line_band_or_interval(rows_at):
    names = set(traces(gradient_figure(rows_at("?season=2025"), WIDE)))
    assert not [name for name in names if name.startswith(("mean", "new garden", "interval"))]
    assert {"gardens 1", "gardens 2"} <= names


def test_bands_of_a_running_season_are_not_drawn_even_if_the_night_wrote_some(choose, published):
    bands = published.frame("gradient_band", synthetic.TRIAL, synthetic.CLOSED)
    early = published.replacing(bands, "gradient_band", synthetic.TRIAL, synthetic.RUNNING)
    view = View(early, OPEN_ACCOUNT)
    selection = choose("/gradient", "?season=2025", over=view)
    assert gradient_rows(view, selection, selection.trial, WIDE).bands.empty


@pytest.mark.parametrize("column", ["rain_mm", "hot_days", "degree_days_c"])
def test_weather_strips_hold_the_published_weather(rows_at, published, column):
    strip = traces(gradient_figure(rows_at(), WIDE))[column]
    known = published.frame("attributes", synthetic.TRIAL, synthetic.CLOSED).set_index("site")
    assert list(strip.y) == known.loc[list(strip.customdata), column].tolist()


@pytest.mark.parametrize("screen", [WIDE, NARROW])
def test_all_strips_share_the_axis_of_the_ruler(rows_at, screen):
    rows = rows_at(screen=screen)
    figure = accepted(gradient_figure(rows, screen))
    assert tuple(figure.layout.xaxis.range) == (rows.row.low, rows.row.high)
    assert (figure.layout.margin.l, figure.layout.margin.r) == screen.gutters
    assert {trace.xaxis for trace in figure.data} == {None}


def test_names_in_the_ruler_stand_near_their_gardens(choose, view):
    gardens = choose("/gradient").gardens
    stakes = stakes_of(gardens, outlines(view), WIDE.tokens)
    written = stakes.written(None, WIDE.plot_width)
    assert len(written) == len(gardens)
    labels = list(stakes.names(written, WIDE.plot_width).values())
    true = [stakes.row.fraction(km) for km in gardens["position_km"]]
    assert np.abs(np.subtract(labels, true)).max() < 0.15
    assert labels == sorted(labels)


@pytest.mark.parametrize("axis", ["rain_mm", "degree_days_c"])
def test_another_axis_moves_every_strip_and_keeps_the_kilometres_in_sight(rows_at, published, axis):
    drawn = traces(gradient_figure(rows_at(f"?axis={axis}"), WIDE))
    known = published.frame("attributes", synthetic.TRIAL, synthetic.CLOSED).set_index("site")
    for name in ("gardens 1", "gardens", "hot_days"):
        assert list(drawn[name].x) == known.loc[list(drawn[name].customdata), axis].tolist()
    assert list(drawn["gardens"].y) == known.loc[list(drawn["gardens"].customdata), "position_km"].tolist()
    assert axis not in drawn
    assert "topsoil" not in drawn


@pytest.mark.parametrize("screen", [WIDE, NARROW])
def test_strips_do_not_overlap(rows_at, screen):
    rows = rows_at(screen=screen)
    figure = accepted(gradient_figure(rows, screen))
    stack = stack_of(rows, screen)
    domains = [getattr(figure.layout, stack.layout_key(strip.name)).domain for strip in stack.strips]
    for upper, lower in itertools.pairwise(domains):
        assert lower[1] <= upper[0] + 1e-9


@pytest.mark.parametrize("screen", [WIDE, NARROW])
def test_the_line_of_sight_runs_through_the_marks_of_every_garden(rows_at, screen):
    rows = rows_at("?garden=G05", screen)
    drawn = gradient_figure(rows, screen)
    marks, figure = traces(drawn)["gardens"], accepted(drawn)
    assert drawn.sight.chosen == "G05"
    low, high = figure.layout.yaxis.range
    bottom, top = figure.layout.yaxis.domain
    area = figure.layout.height - figure.layout.margin.t - figure.layout.margin.b
    for site, x, y in zip(marks.customdata, marks.x, marks.y, strict=True):
        fraction, ring = drawn.sight.places[site]
        assert fraction == pytest.approx(rows.row.fraction(x))
        up = bottom + (y - low) / (high - low) * (top - bottom)
        assert ring == pytest.approx(figure.layout.margin.t + (1 - up) * area)


def test_the_line_of_sight_is_whole_when_wide_and_spares_the_titles_when_narrow(rows_at):
    def spans(screen: Screen) -> int:
        return len(gradient_figure(rows_at(screen=screen), screen).sight.spans)

    assert (spans(WIDE), spans(NARROW)) == (1, 7)


def test_no_trace_makes_a_legend_or_its_own_colours(rows_at):
    for screen in (WIDE, NARROW):
        figure = accepted(gradient_figure(rows_at(screen=screen), screen))
        assert figure.layout.template.layout.showlegend is False
        allowed = set(screen.tokens.values()) | set(rows_at(screen=screen).gardens["colour"])
        for trace in figure.data:
            colours = trace.marker.color if trace.marker.color is not None else []
            assert set([colours] if isinstance(colours, str) else colours) <= allowed


def test_treatments_differ_by_shape_and_line_and_not_by_colour(rows_at):
    drawn = traces(gradient_figure(rows_at(), WIDE))
    assert drawn["mean 1"].line.color == drawn["mean 2"].line.color == WIDE.tokens["ink"]
    assert drawn["mean 1"].line.dash != drawn["mean 2"].line.dash
    assert drawn["mark 2"].marker.symbol != drawn["gardens 1"].marker.symbol


def test_the_strip_reaches_every_mark_and_band_and_says_when_a_whisker_runs_out():
    marks = pd.DataFrame(
        {"percent": [5.0] * 20, "percent_low": [0.0] * 20, "percent_high": [10.0] * 19 + [900.0]}
    )
    band = pd.DataFrame({"percent": [4.0], "new_low": [-30.0], "new_high": [40.0]})
    low, high = reach(marks, band)
    assert low < -30
    assert 40 < high < 200
    assert runs_out(marks, (low, high))
    assert not runs_out(marks.head(19), (low, high))


def test_many_whiskers_become_one_trace_in_grey(rows_at):
    rows = rows_at()
    many = pd.concat([rows.effects] * 3, ignore_index=True)
    drawn = whiskers(many, "x", "y", WIDE.tokens)
    assert len(drawn) == 1
    assert drawn[0]["line"]["color"] == WIDE.tokens["ink3"]
    assert len(drawn[0]["x"]) == 3 * len(many)


def test_neighbouring_gardens_with_one_topsoil_share_one_stretch():
    gardens = pd.DataFrame({"position_km": [10.0, 20.0, 40.0], "texture": ["loam", "loam", "clay"]})
    assert soil_runs(gardens, Row(0, 100)) == [("loam", 0, 30.0), ("clay", 30.0, 100)]


@pytest.mark.parametrize(
    "label", ["grafting", "grafting on Tressel", "plastic mulch under drip lines and row cover"]
)
def test_the_key_of_a_narrow_screen_fits_320_pixels_and_loses_no_word(label):
    labels = ["grafting on Corvane", label, "straw mulch"]
    rows = key_rows(pd.DataFrame({"order": [1, 2, 3], "label": labels}), NARROW)
    # A letter takes 7 pixels on average in the bundled typeface at 13; measured in Chromium.
    assert all(left + 34 + 7 * len(words) <= NARROWEST_PX for row in rows for _, words, left in row)
    assert " ".join(words for row in rows for _, words, _ in row) == " ".join(labels)
    assert [order for row in rows for order, _, _ in row if order is not None] == [1, 2, 3]


def test_numbers_at_a_narrow_axis_keep_to_their_gutter():
    assert percent_axis((-30.0, 70.0), 216, short=True)["ticktext"][-1] == "+50%"
    assert percent_axis((-30.0, 170.0), 216, short=True)["ticktext"][-1] == "150%"
    assert percent_axis((-30.0, 170.0), 400, short=False)["ticktext"][-1] == "150%\xa0more"
