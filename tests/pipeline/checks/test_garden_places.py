"""Gardens outside the region or in another county than listed, with the likely mend.

Counties are those of the demo network (US Census Bureau cartographic boundaries): Goodland, near 39.35 N
101.71 W, lies in Sherman County (20181), Salina in Saline County (20169).
"""

import json

import pandas as pd
import pytest

from pipeline.checks.garden_places import find_gardens
from sites.geography import read_counties


@pytest.fixture(scope="module")
def counties():
    return read_counties()


def gardens(lon, lat, fips=""):
    return pd.DataFrame(
        {
            "site": ["G01"],
            "name": ["First Row"],
            "lon": [lon],
            "lat": [lat],
            "county_fips": [fips],
            "line": [2],
        }
    )


@pytest.mark.parametrize(
    ("lon", "lat", "fips", "check", "county"),
    [
        (39.35, -101.71, "", "garden-place-swapped", "Sherman"),
        (101.71, 39.35, "", "garden-place-sign", "Sherman"),
        (-74.0, 40.7, "", "garden-place-outside", None),
        (None, None, "", "garden-place-outside", None),
        (-101.71, 39.35, "20169", "garden-county-differs", "Sherman"),
    ],
)
def test_a_garden_that_is_not_where_it_should_be_is_asked_about(counties, lon, lat, fips, check, county):
    (row,) = find_gardens(gardens(lon, lat, fips), counties).to_dicts()
    assert (row["check"], row["level"], row["line"]) == (check, "question", 2)
    assert json.loads(row["details"]).get("county") == county


@pytest.mark.parametrize("fips", ["", "20181"])
def test_a_garden_in_its_county_is_left_alone(counties, fips):
    assert find_gardens(gardens(-101.71, 39.35, fips), counties).is_empty()


def test_a_county_code_that_lost_its_zero_is_made_whole(counties):
    alabama = counties.assign(geoid=counties["geoid"].replace("20181", "01181"))
    assert find_gardens(gardens(-101.71, 39.35, "1181"), alabama).is_empty()


def test_a_county_is_named_as_people_name_it(counties):
    (row,) = find_gardens(gardens(-101.71, 39.35, "20169"), counties).to_dicts()
    assert row["sent"] == "Saline"
