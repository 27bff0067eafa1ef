"""The names at the ends of a garden's lines."""

from datetime import datetime
from itertools import pairwise

import pytest

from dashboard.figures.plot_curves import NAME_SHARE, PlotCurves, plot_curves_figure
from dashboard.figures.template import Screen
from dashboard.plot_curves import PlotCurve
from tests.dashboard.drawn import accepted


@pytest.fixture
def figure():
    totals = {"1": 1.0, "2": 1.01, "3": 5.38, "4": 5.39, "5": 5.4}
    days = (datetime(2025, 8, 1), datetime(2025, 8, 2))
    curves = [PlotCurve(plot, "own-root", 0, days, (kg, 2 * kg)) for plot, kg in totals.items()]
    return accepted(plot_curves_figure(PlotCurves(curves, "#444444", "lb"), Screen()))


def test_every_plot_has_its_name_within_the_figure(figure):
    names = figure.layout.annotations
    most = figure.layout.yaxis.range[1]
    assert {name.text.split(",")[0] for name in names} == {f"plot {plot}" for plot in "12345"}
    assert all(0 <= name.y <= most for name in names)


def test_no_name_stands_over_another(figure):
    heights = sorted(name.y for name in figure.layout.annotations)
    apart = NAME_SHARE * figure.layout.yaxis.range[1]
    assert all(upper - lower >= apart * 0.999 for lower, upper in pairwise(heights))
