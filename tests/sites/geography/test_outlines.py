import numpy as np
import pandas as pd
import pytest
import shapely

from sites.geography import outline_km, position_km

ORIGIN, CENTRE = (-102.0517, 38.5), (-98.35, 38.5)


@pytest.fixture(scope="module")
def outlines(counties):
    return outline_km(counties, ORIGIN, CENTRE)


def rings(outlines):
    return outlines.groupby(["outline", "ring"])[["x_km", "y_km"]]


def test_every_county_and_the_region_have_closed_outlines(counties, outlines):
    assert set(outlines["outline"]) == {*counties["geoid"], "region"}
    assert np.allclose(rings(outlines).first(), rings(outlines).last())


def test_the_region_encloses_the_area_of_its_counties(outlines):
    """Area of Kansas by these outlines: 213,113 square kilometres (pyproj.Geod on GRS80)."""
    area = {key: shapely.Polygon(ring.to_numpy()).area for key, ring in rings(outlines)}
    counties_area = sum(value for (outline, _), value in area.items() if outline != "region")
    assert area["region", 0] == pytest.approx(counties_area, rel=1e-9)
    assert area["region", 0] == pytest.approx(213_113, rel=0.002)


def test_a_corner_stands_where_its_position_says(counties, outlines):
    lon, lat = shapely.get_coordinates(counties["geometry"].iloc[0])[0]
    corner = outlines[outlines["outline"] == counties["geoid"].iloc[0]].iloc[0]
    assert corner["x_km"] == pytest.approx(position_km(lon, lat, ORIGIN, CENTRE))


def test_islands_and_holes_are_rings_of_their_own():
    ringed = shapely.MultiPolygon(
        [shapely.box(0, 0, 3, 3) - shapely.box(1, 1, 2, 2), shapely.box(5, 0, 6, 1)]
    )
    found = outline_km(pd.DataFrame({"geoid": ["01001"], "geometry": [ringed]}), (0.0, 0.0), (3.0, 1.0))
    assert found[found["outline"] == "01001"]["ring"].unique().tolist() == [0, 1, 2]
