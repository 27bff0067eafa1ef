import numpy as np
import pytest

from sites.geography import coordinate_check, has_few_decimals

SALINA = (-97.6159, 38.8317)


@pytest.mark.parametrize(
    ("lon", "lat", "verdict", "suggested"),
    [
        (-97.6159, 38.8317, "good", SALINA),
        (38.8317, -97.6159, "swapped", SALINA),
        (97.6159, 38.8317, "longitude sign", SALINA),
        (38.8317, 97.6159, "swapped", SALINA),
        (-104.99, 39.74, "outside", (np.nan, np.nan)),
        (-97.6159, 138.8317, "outside", (np.nan, np.nan)),
        (0.0, 0.0, "missing", (np.nan, np.nan)),
        (np.nan, 38.8317, "missing", (np.nan, np.nan)),
        (-97.6159, np.nan, "missing", (np.nan, np.nan)),
    ],
)
def test_the_likely_slip_is_named_and_the_mend_suggested(counties, lon, lat, verdict, suggested):
    found = coordinate_check(lon, lat, counties)
    assert found.verdict == verdict
    assert (found.lon, found.lat) == pytest.approx(suggested, nan_ok=True)


def test_many_points_are_checked_at_once(counties):
    verdict, lon, lat = coordinate_check([-97.6159, 38.8317, 10.0], [38.8317, -97.6159, 10.0], counties)
    assert verdict.tolist() == ["good", "swapped", "outside"]
    assert lon[:2].tolist() == [-97.6159, -97.6159]
    assert np.isnan(lat[2])


def test_a_point_just_over_the_state_line_is_good(counties):
    assert coordinate_check(-98.35, 36.99, counties).verdict == "good"


@pytest.mark.parametrize(
    ("lon", "lat", "few"), [(-97.6, 38.8, True), (-97.62, 38.83, True), (-97.6159, 38.83, False)]
)
def test_coordinates_of_two_decimals_are_known_to_a_kilometre_at_best(lon, lat, few):
    assert has_few_decimals(lon, lat) is few
