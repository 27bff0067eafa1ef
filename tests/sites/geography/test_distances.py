import numpy as np
import pandas as pd
import pytest
from pyproj import Geod

from sites.geography import too_close
from sites.geography.distances import arc_from_chord_km, chord_from_arc_km, earth_centred_km


def test_distances_equal_the_geodesic_on_the_ellipsoid():
    """Reference: pyproj.Geod on GRS80 (Karney 2013, Journal of Geodesy 87:43-55)."""
    rng = np.random.default_rng(11)
    lon, lat = rng.uniform(-102, -94, (2, 400)), rng.uniform(25, 49, (2, 400))
    lon[1], lat[1] = lon[0] + rng.uniform(-3, 3, 400), lat[0] + rng.uniform(-2, 2, 400)
    geodesic_km = Geod(ellps="GRS80").inv(lon[0], lat[0], lon[1], lat[1])[2] / 1000
    chord_km = np.linalg.norm(earth_centred_km(lon[0], lat[0]) - earth_centred_km(lon[1], lat[1]), axis=1)
    assert arc_from_chord_km(chord_km) == pytest.approx(geodesic_km, abs=0.002)


def test_chord_and_arc_are_inverse():
    assert arc_from_chord_km(chord_from_arc_km(250.0)) == pytest.approx(250.0)


def test_close_gardens_are_named_as_pairs_nearest_first():
    gardens = pd.DataFrame(
        {
            "site": ["c", "a", "b", "far"],
            "lon": [-97.34, -97.33, -97.30, -95.0],
            "lat": [37.7, 37.7, 37.7, 39.0],
        }
    )
    close = too_close(gardens, limit_km=3.0)
    assert close[["site", "neighbour"]].to_numpy().tolist() == [["a", "c"], ["a", "b"]]
    assert close["distance_km"].tolist() == pytest.approx([0.882, 2.646], abs=0.002)


def test_gardens_without_coordinates_are_close_to_nobody():
    gardens = pd.DataFrame({"site": ["a", "b"], "lon": [np.nan, -97.0], "lat": [37.7, 37.7]})
    assert too_close(gardens, limit_km=3.0).empty
