"""Gardens near to each other are named with their distance; how near is a setting."""

import numpy as np
import pandas as pd
import pyproj
import pytest

from pipeline.publish.close_pairs import close_pairs_frame
from pipeline.settings import Settings, Watch

GARDENS = pd.DataFrame(
    {
        "site": ["G01", "G02", "G03", "G04"],
        "name": ["First Row", "Second Row", "Third Row", "Nowhere"],
        "lon": [-97.34, -97.40, -97.90, -97.34],
        "lat": [37.70, 37.75, 37.70, 37.70],
    }
)
PLACE = pd.DataFrame({"site": GARDENS["site"], "coordinates": ["good", "good", "good", "outside"]})


def pairs(**watch):
    return close_pairs_frame(GARDENS, PLACE, Settings(watch=Watch(**watch)))


def test_a_close_pair_is_named_once_with_its_distance_over_the_ellipsoid():
    """Distance by pyproj.Geod (Karney 2013) on GRS80."""
    found = pairs()
    assert found[["site", "neighbour"]].to_numpy().tolist() == [["G01", "G02"]]
    _, _, metres = pyproj.Geod(ellps="GRS80").inv(-97.34, 37.70, -97.40, 37.75)
    assert found["distance_km"].item() == pytest.approx(metres / 1000, abs=0.01)
    assert found["said_en"].item() == "First Row and Second Row, 7.7 km apart"
    assert found["said_es"].item() == "First Row y Second Row, a 7.7 km"


@pytest.mark.parametrize(("close_km", "count"), [(0.0, 0), (5.0, 0), (45.0, 2), (60.0, 3)])
def test_how_near_is_a_setting(close_km, count):
    assert len(pairs(close_km=close_km)) == count


def test_a_network_without_places_has_no_pairs():
    nowhere = GARDENS.assign(lon=np.nan, lat=np.nan)
    assert close_pairs_frame(nowhere, PLACE, Settings()).empty
    assert close_pairs_frame(GARDENS, PLACE.iloc[:0], Settings()).empty


def test_of_many_close_gardens_only_the_nearest_are_named_of_each():
    lon = np.cumsum(np.arange(12)) * 0.001 - 97.0
    many = pd.DataFrame({"site": [f"G{at:02}" for at in range(12)], "name": "Row", "lon": lon, "lat": 38.0})
    found = close_pairs_frame(many, many.assign(coordinates="good"), Settings())
    assert found["distance_km"].is_monotonic_increasing
    sides = pd.concat([found["site"], found["neighbour"]]).value_counts()
    assert sides.min() >= 3
    assert len(found) <= 3 * len(many)
    first = found[(found["site"] == "G00") | (found["neighbour"] == "G00")]
    assert set(first["neighbour"]) >= {"G01", "G02", "G03"}
