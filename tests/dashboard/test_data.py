"""Queries over a snapshot, and frames made fit to draw."""

import numpy as np
import pandas as pd
import pytest

from dashboard import data
from pipeline.publish import frames
from tests.dashboard import synthetic


def test_every_frame_of_the_synthetic_snapshot_has_the_declared_columns(published):
    for (name, *_), rows in published.frames.items():
        declared = next(frame for frame in frames.FRAMES if frame.name == name)
        assert list(rows.columns) == declared.column_names
        assert rows.dtypes.astype(str).tolist() == declared.empty().dtypes.astype(str).tolist()


@pytest.fixture
def patchy() -> pd.DataFrame:
    return pd.DataFrame(
        {
            "site": ["G01", "G02", "G03"],
            "texture": pd.Series(["loam", None, "clay"], dtype="str"),
            "plots": pd.Series([6, None, 4], dtype="Int64"),
            "is_late": pd.Series([True, None, False], dtype="boolean"),
            "percent": [1.5, 2.5, np.nan],
        }
    )


def test_rows_drawn_and_rows_declared_missing_are_all_the_rows(patchy):
    drawn = data.drawable(patchy, ["percent"])
    assert drawn.rows["site"].tolist() == ["G01", "G02"]
    assert drawn.missing["site"].tolist() == ["G03"]


def test_blank_text_and_flags_are_said_to_be_not_recorded(patchy):
    rows = data.drawable(patchy, []).rows
    assert rows["texture"].tolist() == ["loam", "not recorded", "clay"]
    assert rows["is_late"].tolist() == ["yes", "not recorded", "no"]


def test_nothing_nullable_reaches_a_figure(patchy):
    rows = data.drawable(patchy, []).rows
    assert rows["plots"].dtype == "float64"
    assert np.isnan(rows["plots"][1])


def test_gardens_come_west_to_east_with_the_colour_of_the_paper(view):
    for paper, column in (("light", "colour_light"), ("dark", "colour_dark")):
        gardens = data.row_of_gardens(view, data.trial_seasons(view)[0], paper)
        assert gardens["position_km"].is_monotonic_increasing
        registry = view.published.frame("gardens").set_index("site")
        assert gardens["colour"].tolist() == registry.loc[gardens["site"], column].tolist()


def test_without_a_trial_the_row_shows_the_whole_registry(view):
    gardens = data.row_of_gardens(view, None, "light")
    assert len(gardens) == len(synthetic.GARDENS)
    assert set(gardens["state"]) == {""}


def test_rows_of_a_garden_that_nobody_knows_are_left_out(view):
    rows = pd.DataFrame({"site": ["G05", "nowhere"], "value": [1.0, 2.0]})
    assert data.placed(view, rows, "light")["site"].tolist() == ["G05"]


def test_the_newest_season_comes_first(view):
    assert [one.season for one in data.trial_seasons(view)] == [synthetic.RUNNING, synthetic.CLOSED]


def test_only_a_closed_season_has_an_answer(view):
    running, closed = data.trial_seasons(view)
    about = ("marketable_kg_per_plant", "corvane")
    assert data.answer(view, running, *about) is None
    answer = data.answer(view, closed, *about)
    frame = view.published.frame("network", synthetic.TRIAL, synthetic.CLOSED)
    row = frame[(frame["outcome"] == about[0]) & (frame["treatment"] == about[1])].iloc[0]
    assert answer["percent"] == row["percent"]


def test_a_sentence_about_the_treatment_goes_before_one_about_all(published, view):
    closed = data.trial_seasons(view)[1]
    rows = pd.DataFrame(
        [
            {
                "outcome": "",
                "treatment": "",
                "place": "watch",
                "language": "en",
                "sentence": "all",
                "sure": "",
            },
            {
                "outcome": "",
                "treatment": "tressel",
                "place": "watch",
                "language": "en",
                "sentence": "one",
                "sure": "s",
            },
            {
                "outcome": "",
                "treatment": "",
                "place": "watch",
                "language": "es",
                "sentence": "todos",
                "sure": "",
            },
        ]
    )
    changed = published.replacing(frames.SENTENCES.conform(rows), "sentences", closed.trial, closed.season)
    seen = data.View(changed, view.account)
    assert data.sentence(seen, closed, "watch", treatment="tressel") == ("one", "s")
    assert data.sentence(seen, closed, "watch", treatment="corvane") == ("all", "")
    assert data.sentence(seen, closed, "network") == ("", "")
