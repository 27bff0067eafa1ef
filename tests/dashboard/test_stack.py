"""Strips stacked in one figure."""

import pytest

from dashboard.figures.stack import Stack, Strip

STACK = Stack((Strip("map", 200, 10), Strip("rain", 50, 30), Strip("soil", 20, 0)), 8, 40)


def test_pixels_of_strips_air_and_margins_add_up_to_the_figure():
    assert STACK.height == 8 + 10 + 200 + 30 + 50 + 20 + 40


@pytest.mark.parametrize("name", ["map", "rain", "soil"])
def test_a_domain_gives_back_the_strips_pixels(name):
    low, high = STACK.domain(name)
    assert (high - low) * STACK.area == pytest.approx(STACK.pixels(name))
    assert STACK.top_margin + (1 - high) * STACK.area == pytest.approx(STACK.top(name))


def test_the_last_strip_ends_at_the_foot_of_the_plot_area():
    assert STACK.domain("soil")[0] == pytest.approx(0)


def test_axes_are_numbered_from_top_to_bottom():
    assert [STACK.axis(name) for name in ("map", "rain", "soil")] == ["y", "y2", "y3"]
    assert STACK.layout_key("rain") == "yaxis2"


def test_an_unknown_strip_is_refused():
    with pytest.raises(KeyError):
        STACK.top("moon")
