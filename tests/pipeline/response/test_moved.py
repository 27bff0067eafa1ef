"""What a night changed in the answer, garden by garden."""

import numpy as np
import pandas as pd
import pytest

from pipeline.response.moved import moved


def effects(**ratios):
    rows = {"treatment": "straw", "site": list(ratios), "log_ratio": list(ratios.values())}
    return pd.DataFrame(rows).assign(log_ratio_variance=0.02)


def test_only_gardens_that_changed_are_named():
    found = moved(effects(G1=0.1, G2=0.2, G3=0.3), effects(G1=0.1, G2=0.2, G3=0.6), is_closed=True)
    assert found["site"].tolist() == ["G3"]


def test_one_garden_alone_moved_the_answer_all_the_way():
    found = moved(effects(G1=0.1, G2=0.2, G3=0.3), effects(G1=0.1, G2=0.2, G3=0.6), is_closed=True).iloc[0]
    # Equal variances: the network's estimate is the mean, 0.2 before and 0.3 after.
    assert found["answer_before"] == pytest.approx(100 * np.expm1(0.2))
    assert found["answer_now"] == pytest.approx(100 * np.expm1(0.3))
    assert found["moved_points"] == pytest.approx(100 * (np.expm1(0.3) - np.expm1(0.2)))


def test_a_garden_that_came_in_moved_the_answer_from_what_the_others_say():
    found = moved(effects(G1=0.1, G2=0.1), effects(G1=0.1, G2=0.1, G3=0.4), is_closed=True).iloc[0]
    assert np.isnan(found["percent_before"])
    assert found["moved_points"] == pytest.approx(100 * (np.expm1(0.2) - np.expm1(0.1)))


def test_before_the_close_the_middle_garden_moves_and_nothing_is_estimated():
    found = moved(effects(G1=0.1, G2=0.2, G3=0.3), effects(G1=0.1, G2=0.2, G3=9.0), is_closed=False).iloc[0]
    assert found["answer_now"] == pytest.approx(100 * np.expm1(0.2))
    assert found["moved_points"] == pytest.approx(0.0)


def test_a_quiet_night_moves_nothing():
    assert moved(effects(G1=0.1), effects(G1=0.1), is_closed=True).empty


def test_the_first_night_comes_from_nothing():
    found = moved(effects(), effects(G1=0.1), is_closed=True).iloc[0]
    assert np.isnan(found["answer_before"])
    assert np.isnan(found["moved_points"])
