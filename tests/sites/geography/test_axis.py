"""Positions along the axis.

Figures of PROJ 9 (pyproj 3.7) for `+proj=tmerc +lat_0=38.5 +lon_0=-98.35 +ellps=GRS80` (0.02 km) and of
its geodesic on GRS80.
"""

import numpy as np
import pytest
from pyproj import Geod

from sites.errors import InputError
from sites.geography import plane_km, position_km

ORIGIN, CENTRE = (-102.0517, 38.5), (-98.35, 38.5)
WESTERNMOST = (-101.7052, 39.3441)

# lon, lat, azimuth 90, 80 and 100 counted from the westernmost garden, azimuth 90 counted from the fixed
# origin
PLACES = [
    (-100.8631, 37.9792, 68.457, 40.691, 94.143, 102.149),
    (-100.9263, 37.0487, 60.073, 14.523, 103.798, 93.765),
    (-97.6159, 38.8317, 353.012, 336.882, 358.415, 386.704),
    (-97.3387, 37.7049, 378.450, 340.253, 405.147, 412.141),
    (-95.6879, 39.0421, 519.757, 505.692, 518.030, 553.449),
    (-94.7071, 37.4148, 611.817, 565.483, 639.561, 645.509),
]


@pytest.mark.parametrize(("lon", "lat", "az90", "az80", "az100", "from_origin"), PLACES)
def test_positions_equal_the_published_projection(lon, lat, az90, az80, az100, from_origin):
    assert position_km(lon, lat, WESTERNMOST, CENTRE) == pytest.approx(az90, abs=0.02)
    assert position_km(lon, lat, WESTERNMOST, CENTRE, azimuth_deg=80) == pytest.approx(az80, abs=0.02)
    assert position_km(lon, lat, WESTERNMOST, CENTRE, azimuth_deg=100) == pytest.approx(az100, abs=0.02)
    assert position_km(lon, lat, ORIGIN, CENTRE) == pytest.approx(from_origin, abs=0.02)


def test_the_width_of_the_state_is_true_to_a_seventh_of_a_percent():
    geodesic_km = Geod(ellps="GRS80").inv(-102.0517, 38.5, -94.6, 38.5)[2] / 1000
    assert position_km(-94.6, 38.5, ORIGIN, CENTRE) == pytest.approx(geodesic_km, rel=0.0014)


def test_many_gardens_give_the_same_as_one_by_one():
    lon, lat = np.array([place[0] for place in PLACES]), np.array([place[1] for place in PLACES])
    together = position_km(lon, lat, ORIGIN, CENTRE)
    assert together.tolist() == [position_km(x, y, ORIGIN, CENTRE) for x, y in zip(lon, lat, strict=True)]


def test_a_scalar_gives_a_plain_float():
    assert type(position_km(-98.0, 38.0, ORIGIN, CENTRE)) is float
    assert [type(each) for each in plane_km(-98.0, 38.0, ORIGIN, CENTRE)] == [float, float]


def test_across_an_east_pointing_axis_is_north():
    along, across = plane_km(CENTRE[0], 39.5, CENTRE, CENTRE)
    north_km = Geod(ellps="GRS80").inv(*CENTRE, CENTRE[0], 39.5)[2] / 1000
    assert along == pytest.approx(0, abs=1e-6)
    assert across == pytest.approx(north_km, rel=1e-6)


def test_across_a_north_pointing_axis_is_west():
    along, across = plane_km(-99.35, 38.5, CENTRE, CENTRE, azimuth_deg=0)
    assert along == pytest.approx(0, abs=1)
    assert across > 80


def test_turning_the_axis_keeps_distances_in_the_plane():
    straight, turned = (np.hypot(*plane_km(-95.0, 39.0, ORIGIN, CENTRE, azimuth)) for azimuth in (90, 37))
    assert straight == pytest.approx(turned)


@pytest.mark.parametrize("point", [(np.nan, 38.5), (-98.0, np.nan), (38.5, -98.35), (-98.0, np.inf)])
def test_a_place_that_is_none_has_no_position(point):
    assert np.isnan(position_km(*point, ORIGIN, CENTRE))


def test_an_impossible_centre_is_refused_with_the_way_to_mend_it():
    with pytest.raises(InputError, match="settings"):
        position_km(-98.0, 38.0, ORIGIN, (38.5, -98.35))
    with pytest.raises(InputError, match="settings"):
        position_km(-98.0, 38.0, (38.5, -98.35), CENTRE)


def test_a_response_that_falls_eastward_has_a_negative_slope():
    """Equally weighted responses 0.40, 0.30, 0.20 at 120, 110 and 100 west: mean 0.30 at the centre, falling
    (computed from the stated formula of a centred straight line)."""
    east_km = position_km(
        np.array([-120.0, -110.0, -100.0]), np.full(3, 38.5), (-110.0, 38.5), (-110.0, 38.5)
    )
    slope, centre = np.polyfit(east_km, [0.40, 0.30, 0.20], 1)
    assert slope == pytest.approx(-0.10 / east_km[2])
    assert centre == pytest.approx(0.30)
