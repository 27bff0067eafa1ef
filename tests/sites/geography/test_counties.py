"""Counties of points. The outlines: U.S. Census Bureau, cartographic boundaries 2017."""

import json

import numpy as np
import pandas as pd
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from sites.errors import InputError
from sites.geography import county_of, read_counties

# County seats and other towns with the county they lie in: common geographic knowledge, no source.
TOWNS = [
    (-101.7052, 39.3441, "20181"),  # Sherman
    (-100.8631, 37.9792, "20055"),  # Finney
    (-97.6159, 38.8317, "20169"),  # Saline
    (-97.3387, 37.7049, "20173"),  # Sedgwick
    (-95.6879, 39.0421, "20177"),  # Shawnee
    (-94.7071, 37.4148, "20037"),  # Crawford
]


def square(west, south, name="20001"):
    return {"geoid": name, "geometry": shapely.box(west, south, west + 1, south + 1)}


def test_the_file_has_the_105_counties_of_kansas(counties):
    assert len(counties) == 105
    assert counties["geoid"].is_monotonic_increasing
    assert counties["geoid"].str.fullmatch(r"20\d{3}").all()


@pytest.mark.parametrize(("lon", "lat", "geoid"), TOWNS)
def test_a_town_lies_in_its_county(counties, lon, lat, geoid):
    found = county_of(lon, lat, counties).iloc[0]
    assert (found["geoid"], found["match"], found["candidates"]) == (geoid, "inside", [geoid])


def test_many_points_give_one_row_each_in_their_order(counties):
    lon, lat, geoid = (list(column) for column in zip(*TOWNS, strict=True))
    assert county_of(lon, lat, counties)["geoid"].tolist() == geoid


def test_a_series_keeps_its_labels(counties):
    gardens = pd.DataFrame({"lon": [-98.0, -97.0], "lat": [38.0, 38.0]}, index=["g7", "g3"])
    assert county_of(gardens["lon"], gardens["lat"], counties).index.tolist() == ["g7", "g3"]


def test_a_shared_edge_belongs_to_the_lowest_geoid_and_names_both():
    two = pd.DataFrame([square(1, 0, "20003"), square(0, 0, "20001")])
    found = county_of(1.0, 0.5, two).iloc[0]
    assert (found["geoid"], found["match"], found["candidates"]) == ("20001", "border", ["20001", "20003"])


def test_the_outer_edge_of_the_region_is_a_border_too():
    found = county_of(0.0, 0.5, pd.DataFrame([square(0, 0)])).iloc[0]
    assert (found["geoid"], found["match"]) == ("20001", "border")


@pytest.mark.parametrize(("off_deg", "match"), [(0.005, "snapped"), (0.05, "outside")])
def test_a_point_outside_is_snapped_within_one_kilometre_only(off_deg, match):
    found = county_of(1 + off_deg, 0.5, pd.DataFrame([square(0, 0)])).iloc[0]
    assert found["match"] == match
    assert found["off_km"] == pytest.approx(off_deg * 111.32, rel=0.01)
    assert found["geoid"] == "20001" if match == "snapped" else pd.isna(found["geoid"])


def test_of_two_equally_near_counties_the_lowest_geoid_is_snapped_to():
    two = pd.DataFrame([square(1, 0, "20003"), square(0, 0, "20001")])
    assert county_of(1.0, 1.005, two)["geoid"].tolist() == ["20001"]


def test_a_missing_coordinate_is_missing_and_in_no_county(counties):
    found = county_of([np.nan, -98.0], [38.0, np.nan], counties)
    assert found["match"].tolist() == ["missing", "missing"]
    assert found["geoid"].isna().all()


def test_a_geoid_that_lost_its_leading_zero_gets_it_back():
    assert county_of(0.5, 0.5, pd.DataFrame([square(0, 0, 1001)]))["geoid"].tolist() == ["01001"]


def test_outlines_may_spell_geoid_as_the_census_does(counties):
    census = counties.rename(columns={"geoid": "GEOID"})
    assert county_of(-98.0, 38.0, census)["geoid"].equals(county_of(-98.0, 38.0, counties)["geoid"])


@given(st.lists(st.tuples(st.floats(-200, 200), st.floats(-100, 100)), min_size=1, max_size=30))
def test_every_point_on_earth_or_off_it_gets_exactly_one_row(points):
    lon, lat = (list(column) for column in zip(*points, strict=True))
    found = county_of(lon, lat, pd.DataFrame([square(0, 0), square(1, 0, "20003")]))
    assert len(found) == len(points)
    assert set(found["match"]) <= {"inside", "border", "snapped", "outside"}
    assert (found["geoid"].isna() == (found["match"] == "outside")).all()


def write_features(folder, features):
    """Write a GeoJSON file of features, each its properties and its outline; return its path."""
    path = folder / "counties.geojson"
    written = [
        {"type": "Feature", "properties": properties, "geometry": outline} for properties, outline in features
    ]
    path.write_text(json.dumps({"type": "FeatureCollection", "features": written}))
    return path


def test_a_file_that_is_no_geojson_is_refused_with_the_way_to_mend_it(tmp_path):
    broken = tmp_path / "counties.geojson"
    broken.write_text("lon,lat\n1,2\n")
    with pytest.raises(InputError, match="no GeoJSON"):
        read_counties(broken)
    with pytest.raises(InputError, match="Check the name"):
        read_counties(tmp_path / "nowhere.geojson")


@pytest.mark.parametrize(
    ("features", "complaint"),
    [
        ([], "no features"),
        ([{"NAME": "Osage"}], "no GEOID"),
        ([{"GEOID": "20139", "NAME": "Osage"}] * 2, "20139 is there twice"),
    ],
)
def test_a_county_file_that_does_not_hold_together_is_refused(tmp_path, features, complaint):
    outline = json.loads(shapely.to_geojson(shapely.box(0, 0, 1, 1)))
    path = write_features(tmp_path, [(each, outline) for each in features])
    with pytest.raises(InputError, match=complaint):
        read_counties(path)


def test_an_outline_that_crosses_itself_is_refused(tmp_path):
    bow = {"type": "Polygon", "coordinates": [[[0, 0], [1, 1], [1, 0], [0, 1], [0, 0]]]}
    path = write_features(tmp_path, [({"GEOID": "20139", "NAME": "Osage"}, bow)])
    with pytest.raises(InputError, match="Osage crosses itself"):
        read_counties(path)
