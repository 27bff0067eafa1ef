"""Where one more garden narrows the slope most."""

import json

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.response.next_garden import next_garden, slope_se
from sites.errors import InputError

places = st.lists(st.floats(0, 500), min_size=3, max_size=12, unique_by=lambda km: round(km))


def least_squares_se(position, variance, tau2):
    design = np.column_stack([np.ones(len(position)), position])
    weight = np.diag(1 / (np.asarray(variance) + tau2))
    return np.sqrt(np.linalg.inv(design.T @ weight @ design)[1, 1])


@given(places=places, new=st.lists(st.floats(-100, 600), min_size=1, max_size=6), seed=st.integers(0, 99))
@settings(deadline=None)
def test_each_option_is_the_weighted_regression_with_that_garden_added(places, new, seed):
    variance = np.random.default_rng(seed).uniform(0.005, 0.05, len(places))
    found = next_garden(places, variance, 0.01, new, new_variance=0.02)
    assert found.slope_se == pytest.approx(least_squares_se(places, variance, 0.01), rel=1e-6)
    for option in found.options.itertuples():
        wanted = least_squares_se([*places, option.position_km], [*variance, 0.02], 0.01)
        assert option.slope_se == pytest.approx(wanted, rel=1e-6)


@given(places=places, shift=st.floats(-1000, 1000), stretch=st.floats(0.1, 10))
@settings(deadline=None)
def test_neither_the_origin_nor_the_unit_of_the_axis_changes_the_choice(places, shift, stretch):
    allowed = np.linspace(0, 500, 11)
    at = np.array(places)
    plain = next_garden(at, 0.02, 0.01, allowed)
    moved = next_garden(at * stretch + shift, 0.02, 0.01, allowed * stretch + shift)
    assert moved.options["slope_se"].to_numpy() == pytest.approx(
        plain.options["slope_se"].to_numpy() / stretch, rel=1e-5
    )


@given(places=places)
@settings(deadline=None)
def test_the_end_farthest_from_the_middle_is_best_and_no_garden_widens_the_slope(places):
    allowed = np.linspace(0, 500, 51)
    found = next_garden(places, 0.02, 0.01, allowed)
    far = max((0.0, 500.0), key=lambda km: abs(km - np.mean(places)))
    assert found.best_km in (0.0, 500.0)
    if abs(np.mean(places) - 250) > 1:
        assert found.best_km == far
    assert (found.options["narrower_pct"] >= -1e-9).all()


def test_a_garden_at_the_middle_of_equal_gardens_adds_nothing_to_the_slope():
    found = next_garden([0, 100, 200], 0.02, 0.01, [100])
    assert found.options["narrower_pct"].tolist() == pytest.approx([0.0])


def test_gardens_at_one_place_have_no_slope_until_another_place_joins():
    found = next_garden([100, 100], [0.02, 0.02], 0.0, [100, 300])
    answer = found.to_json()
    assert answer["slope_se"] is None
    assert answer["best_km"] == 300
    assert [option["slope_se"] is None for option in answer["options"]] == [True, False]
    assert slope_se([100, 100], [0.02, 0.02], 0.0) == np.inf


def test_the_json_is_plain_and_marks_positions_beyond_the_gardens():
    answer = json.loads(json.dumps(next_garden([50, 150, 250], 0.02, 0.01, [0, 100, 300]).to_json()))
    assert [option["beyond"] for option in answer["options"]] == [True, False, True]
    assert answer["options"][1]["position_km"] == 100


@pytest.mark.parametrize(
    ("position", "variance", "allowed"),
    [([], [], [0]), ([np.nan, 1], [0.1, 0.1], [0]), ([0, 1], [0.1, -0.1], [0])],
)
def test_gardens_without_place_or_variance_are_refused(position, variance, allowed):
    with pytest.raises(InputError) as refusal:
        next_garden(position, variance, 0.0, allowed)
    assert str(refusal.value) == "Every garden needs its position in km, and a variance or a tau2 above 0."


@pytest.mark.parametrize("allowed", [[], [np.inf]])
def test_without_an_allowed_position_there_is_no_choice(allowed):
    with pytest.raises(InputError) as refusal:
        next_garden([0, 1], 0.1, 0.0, allowed)
    assert str(refusal.value) == (
        "Give at least one allowed position in km, and a variance above 0 for the new garden."
    )
