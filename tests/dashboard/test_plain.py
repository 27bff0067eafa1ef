"""Figures as plain data."""

import pytest

from dashboard.figures.plain import Figure, bar, scatter
from tests.dashboard.drawn import accepted


def test_arranging_an_axis_changes_only_what_is_named():
    figure = Figure({"xaxis": {"range": [0, 1], "showline": True}, "height": 100})
    figure.arrange(xaxis={"range": [0, 9]}, height=200)
    assert figure.layout == {"xaxis": {"range": [0, 9], "showline": True}, "height": 200}


def test_what_is_added_last_lies_on_top():
    figure = Figure({})
    figure.add(bar(x=[1], y=[2], name="below"))
    figure.add(scatter(x=[1], y=[2], name="above"))
    assert [trace.name for trace in accepted(figure).data] == ["below", "above"]


def test_words_and_shapes_add_to_those_that_are_there():
    figure = Figure({"annotations": [{"text": "one"}]})
    figure.write(text="two")
    figure.outline(type="line", x0=0, x1=1)
    assert [words.text for words in accepted(figure).layout.annotations] == ["one", "two"]
    assert len(accepted(figure).layout.shapes) == 1


def test_plotly_refuses_a_property_that_it_does_not_know():
    figure = Figure({})
    figure.add(scatter(x=[1], y=[2], colour="red"))
    with pytest.raises(ValueError, match="colour"):
        accepted(figure)
