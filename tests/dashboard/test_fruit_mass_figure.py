"""How heavy fruits are: a mark for every plot of a few gardens; of many gardens the plots are counted."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboard.figures.crowd import MOST_MARKS
from dashboard.figures.fruit_mass import FruitMassRows, fruit_mass_figure, is_counted, middle_half
from dashboard.figures.template import Screen
from tests.dashboard.drawn import accepted

TREATMENTS = pd.DataFrame({"treatment": ["own", "graft"], "order": [0, 1], "label": ["own-root", "grafted"]})


def rows_of(masses: list[float], gardens: int) -> FruitMassRows:
    """Return plots of both treatments with these weights, spread over so many gardens."""
    at = np.arange(2 * len(masses))
    return FruitMassRows(
        pd.DataFrame(
            {
                "site": [f"G{one % gardens:04d}" for one in at],
                "plot": [str(one) for one in at],
                "treatment": np.repeat(["own", "graft"], len(masses)),
                "mass_g": [*masses, *(mass + 20 for mass in masses)],
                "colour": "#444444",
            }
        ),
        TREATMENTS,
    )


FEW = rows_of([100.0, 110.0, 130.0], 3)
MANY = rows_of(np.linspace(80.0, 200.0, 2 * MOST_MARKS).tolist(), MOST_MARKS + 1)


def test_plots_of_a_few_gardens_have_a_mark_each():
    assert not is_counted(FEW)
    drawn = accepted(fruit_mass_figure(FEW, Screen())).data
    assert sorted(mass for trace in drawn for mass in trace.x) == sorted(FEW.plots["mass_g"])


@pytest.mark.parametrize("narrow", [False, True])
def test_plots_of_many_gardens_are_counted_and_none_is_lost(narrow):
    assert is_counted(MANY)
    drawn = accepted(fruit_mass_figure(MANY, Screen(narrow=narrow))).data
    counted = [sum(int(words.split("\u00a0")[0]) for words in trace.text) for trace in drawn]
    assert counted == [2 * MOST_MARKS, 2 * MOST_MARKS]


@given(st.lists(st.floats(5, 900), min_size=MOST_MARKS + 1, max_size=MOST_MARKS + 60))
def test_whatever_the_weights_every_plot_lies_within_its_bar_on_its_treatments_line(masses):
    rows = rows_of(masses, MOST_MARKS + 1)
    drawn = accepted(fruit_mass_figure(rows, Screen())).data
    for line, trace in enumerate(drawn):
        plots = rows.plots.loc[rows.plots["treatment"] == trace.name, "mass_g"].to_numpy()
        middles = np.array(trace.x)
        assert all(np.abs(middles - mass).min() <= trace.width / 2 + 1e-6 for mass in plots)
        heights = np.array(trace.y)
        assert np.array(trace.base) + heights / 2 == pytest.approx(np.full(len(heights), -line), abs=1e-9)
        assert heights.max() < 1


def test_quartiles_are_those_of_numpy():
    halves = middle_half(MANY).set_index("treatment")
    own = MANY.plots.loc[MANY.plots["treatment"] == "own", "mass_g"]
    assert halves.loc["own", ["low", "median", "high"]].tolist() == pytest.approx(
        np.quantile(own, [0.25, 0.5, 0.75]).tolist()
    )
