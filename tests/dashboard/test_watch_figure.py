"""Tonight's figure: who needs somebody, and which weeks came in."""

import numpy as np
import pytest

from dashboard.figures.labels import HEIGHT_PX, Scene, place_labels
from dashboard.figures.strips import NEEDS
from dashboard.figures.template import Screen
from dashboard.figures.watch import watch_figure
from dashboard.pages.rows import watch_rows
from tests.dashboard import synthetic
from tests.dashboard.drawn import accepted

WIDE, NARROW = Screen(), Screen(narrow=True)


@pytest.fixture
def rows(view, choose):
    selection = choose("/watch")
    return watch_rows(view, selection, selection.trial)


def test_every_garden_is_on_the_map_in_the_colour_of_its_place(rows):
    marks = next(trace for trace in accepted(watch_figure(rows, WIDE)).data if trace.name == "gardens")
    assert list(marks.customdata) == rows.gardens["site"].tolist()
    assert list(marks.marker.color) == rows.gardens["colour"].tolist()


def test_gardens_that_need_somebody_are_named_with_their_reason(rows):
    words = [note.text for note in accepted(watch_figure(rows, WIDE)).layout.annotations]
    for site, (state, reason, _) in synthetic.STATES.items():
        named = [text for text in words if text.startswith(f"<b>{site} ")]
        assert bool(named) is (state in NEEDS)
        assert (reason in words) is (state in NEEDS)


def test_a_narrow_screen_shows_their_marks_without_names(rows):
    figure = accepted(watch_figure(rows, NARROW))
    assert not [note for note in figure.layout.annotations if "Slate Hollow" in note.text]
    paths = [shape for shape in figure.layout.shapes if shape.type == "path" and shape.xref == "x"]
    assert len(paths) >= len(rows.needing)


@pytest.mark.parametrize("screen", [WIDE, NARROW])
def test_the_grid_has_one_cell_for_each_garden_and_week(rows, screen, published):
    weeks = published.frame("weeks", synthetic.TRIAL, synthetic.RUNNING)
    drawn = {trace.name: trace for trace in accepted(watch_figure(rows, screen)).data}
    assert len(drawn["weeks"].x) == len(weeks)
    assert drawn["missing"].x.count(None) == (weeks["state"] == "missing").sum()
    assert drawn["part"].x.count(None) == (weeks["state"] == "part").sum()
    assert len(drawn["early"].x) == (weeks["state"] == "early").sum()
    assert len(drawn["absent"].x) == (weeks["state"] == "absent").sum()
    filled = sum(trace.x.count(None) for name, trace in drawn.items() if name.startswith("sent "))
    assert filled == weeks["state"].isin(["sent", "part"]).sum()


def test_a_season_without_weeks_has_the_map_alone(view, choose):
    selection = choose("/watch", "?season=2024")
    figure = accepted(watch_figure(watch_rows(view, selection, selection.trial), WIDE))
    assert "weeks" not in {trace.name for trace in figure.data}


def box(anchor, label):
    left, top = anchor[0] + label.left, anchor[1] + label.top
    return left, top, left + label.width, top + label.height


def overlap(one, other) -> float:
    wide = min(one[2], other[2]) - max(one[0], other[0])
    high = min(one[3], other[3]) - max(one[1], other[1])
    return max(wide, 0) * max(high, 0)


@pytest.mark.parametrize("seed", range(8))
def test_labels_lie_over_no_other_label_and_no_mark(seed):
    random = np.random.default_rng(seed)
    marks = [(float(x), float(y)) for x, y in random.uniform((40, 40), (980, 270), (20, 2))]
    anchors = sorted(marks)[::3]
    scene = Scene(anchors, marks, (0, 0, 1166, 310))
    placed = place_labels([scene], [170.0] * len(anchors), 8)
    boxes = [box(*pair) for pair in zip(anchors, placed, strict=True)]
    assert all(label.height == HEIGHT_PX for label in placed)
    for index, one in enumerate(boxes):
        assert all(overlap(one, other) == 0 for other in boxes[index + 1 :])
        assert all(overlap(one, (x - 6, y - 6, x + 6, y + 6)) == 0 for x, y in marks)


def test_a_lonely_label_stands_right_beside_its_garden():
    (label,) = place_labels([Scene([(500, 150)], [(500, 150)], (0, 0, 1000, 300))], [120.0], 8)
    assert (label.left, label.top, label.is_west) == (12, -17, False)
    assert not label.needs_leader


def test_at_the_eastern_edge_a_label_stands_west_of_its_garden():
    (label,) = place_labels([Scene([(980, 150)], [(980, 150)], (0, 0, 1000, 300))], [120.0], 8)
    assert label.is_west
