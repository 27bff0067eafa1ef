"""A curve beside the straight line on Gradient, where the night could fit one."""

import pytest

from dashboard.access.account import OPEN_ACCOUNT
from dashboard.data import View
from dashboard.figures.template import Screen
from dashboard.pages.gradient_line import FEWEST_GARDENS
from dashboard.router import route
from pipeline.publish import frames
from tests.dashboard.drawn import accepted
from tests.dashboard.framing import framed
from tests.dashboard.invented import TRIAL
from tests.dashboard.tree import find, text_of


def with_curve(published, p: float) -> View:
    """Return the closed season with a curve 3 percent above the line, and how sure its bend is."""
    bands = published.frame("gradient_band", TRIAL, "2024")
    curve = bands.assign(percent=bands["percent"] + 3)
    made = published.replacing(framed(frames.GRADIENT_CURVE, curve), "gradient_curve", TRIAL, "2024")
    lines = published.frame("gradient", TRIAL, "2024").assign(bend_p=p, gardens=40)
    return View(made.replacing(framed(frames.GRADIENT, lines), "gradient", TRIAL, "2024"), OPEN_ACCOUNT)


def traces(view: View, query: str) -> dict:
    main = list(route(view, "/gradient", query, Screen()).main)
    graph = next(one for one in find(main, "Graph") if one.id["name"] == "strips")
    return {str(trace.name): trace for trace in accepted(graph.figure).data}


def words(view: View, query: str) -> str:
    return text_of(list(route(view, "/gradient", query, Screen()).main))


def test_the_curve_is_drawn_with_the_straight_line_beside_it(published):
    view = with_curve(published, 0.01)
    line, curve = (traces(view, f"?season=2024{more}") for more in ("", "&line=curve"))
    assert "straight" not in line
    assert list(curve["straight"].y) == list(line["mean 1"].y)
    assert list(curve["mean 1"].y) == pytest.approx([value + 3 for value in line["mean 1"].y])
    assert list(curve["mean 2"].y) == list(line["mean 2"].y)


@pytest.mark.parametrize(
    ("p", "said"),
    [
        (0.0004, "A curve follows these gardens better than the line"),
        (0.42, "We cannot tell that the gain bends"),
    ],
)
def test_the_comparison_is_said_by_the_chance_that_a_line_looks_so_bent(published, p, said):
    assert said in words(with_curve(published, p), "?season=2024")


def test_without_gardens_enough_there_is_no_choice_and_the_reason_is_said(view, published):
    lines = published.frame("gradient", TRIAL, "2024").assign(gardens=24, bend_p=float("nan"))
    few = View(published.replacing(framed(frames.GRADIENT, lines), "gradient", TRIAL, "2024"), OPEN_ACCOUNT)
    said = words(few, "?season=2024&line=curve")
    assert f"a curve takes {FEWEST_GARDENS} gardens, and there are 24\u00a0gardens" in said
    assert "a straight line a curve" not in said


def test_before_the_close_nothing_is_said_of_lines(published):
    said = words(with_curve(published, 0.01), "?season=2025&line=curve")
    assert "curve" not in said
    assert "straight line" not in said
