"""What others may see. Rounding: Chapman & Wieczorek 2020, Georeferencing Best Practices."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sites.errors import InputError
from sites.geography import coarse_point, coarse_uncertainty_m, county_of, point_geojson, public_place

ORIGIN, CENTRE = (-102.0517, 38.5), (-98.35, 38.5)


def gardens(**columns):
    row = {
        "site": "K1",
        "lon": -97.6159,
        "lat": 38.8317,
        "elevation_m": 373.0,
        "public_name": "Saltbush",
        **columns,
    }
    return pd.DataFrame([row])


def public(counties, **columns):
    return public_place(gardens(**columns), counties, ORIGIN, CENTRE).iloc[0]


def test_a_public_point_has_one_decimal():
    """Computed by hand: 39.7392, -104.9903."""
    assert coarse_point(-104.9903, 39.7392) == (-105.0, 39.7)


def test_a_public_point_is_never_minus_zero():
    assert [str(each) for each in coarse_point(-0.04, -0.04)] == ["0.0", "0.0"]


@given(st.floats(-180, 180), st.floats(-90, 90))
def test_rounding_a_public_point_again_changes_nothing(lon, lat):
    assert coarse_point(*coarse_point(lon, lat)) == coarse_point(lon, lat)


@pytest.mark.parametrize(("lat", "metres"), [(0, 15_691), (30, 14_697), (60, 12_461)])
def test_the_uncertainty_of_one_decimal_equals_the_published_table(lat, metres):
    """Chapman & Wieczorek 2020, table 3."""
    assert coarse_uncertainty_m(lat) == pytest.approx(metres, abs=1)


def test_geojson_puts_longitude_first():
    """RFC 7946, section 3.1.1."""
    assert point_geojson(-123.02, 44.05)["coordinates"] == [-123.02, 44.05]


def test_a_garden_that_said_nothing_is_shown_coarsely(counties):
    shown = public(counties, public_as=np.nan)
    assert (shown["public_as"], shown["lon"], shown["lat"]) == ("coarse", -97.6, 38.8)
    assert (shown["axis_km"], shown["elevation_m"], shown["county_fips"]) == (390.0, 350.0, "20169")


def test_an_exact_garden_shows_its_point_and_still_rounds_what_is_derived(counties):
    shown = public(counties, public_as="exact")
    assert (shown["lon"], shown["lat"], shown["uncertainty_m"]) == (-97.6159, 38.8317, 0.0)
    assert (shown["axis_km"], shown["elevation_m"]) == (385.0, 350.0)


def test_a_county_garden_shows_the_middle_of_its_county_and_no_elevation(counties):
    shown = public(counties, public_as="county")
    assert shown["county_fips"] == "20169"
    assert np.isnan(shown["elevation_m"])
    assert shown["uncertainty_m"] > 20_000


def test_two_gardens_of_a_county_cannot_be_told_apart_at_county_level(counties):
    columns = ["lon", "lat", "axis_km", "elevation_m", "uncertainty_m", "county_fips"]
    here, there = (
        public(counties, public_as="county"),
        public(counties, public_as="county", lon=-97.40, lat=38.70),
    )
    pd.testing.assert_series_equal(here[columns], there[columns], check_names=False)


def test_a_hidden_garden_shows_nothing_but_that_it_takes_part(counties):
    shown = public(counties, public_as="hidden")
    assert shown["site"] == "K1"
    assert shown.drop(["site", "public_as"]).isna().all()


def test_the_public_county_agrees_with_the_public_point(counties):
    rng = np.random.default_rng(5)
    many = pd.DataFrame(
        {
            "site": np.arange(400).astype(str),
            "lon": rng.uniform(-102, -95, 400),
            "lat": rng.uniform(37.1, 39.9, 400),
        }
    ).assign(elevation_m=500.0)
    shown = public_place(many, counties, ORIGIN, CENTRE)
    at_point = county_of(shown["lon"], shown["lat"], counties)
    assert (at_point["geoid"] == shown["county_fips"])[at_point["geoid"].notna()].all()


def test_no_public_number_is_finer_than_agreed(counties):
    rng = np.random.default_rng(6)
    many = pd.DataFrame({"site": np.arange(50).astype(str), "lon": rng.uniform(-102, -95, 50)}).assign(
        lat=rng.uniform(37.1, 39.9, 50), elevation_m=rng.uniform(200, 1200, 50)
    )
    shown = public_place(many, counties, ORIGIN, CENTRE)
    assert (shown[["lon", "lat"]] == shown[["lon", "lat"]].round(1)).all(axis=None)
    assert (shown["axis_km"] % 5 == 0).all()
    assert (shown["elevation_m"] % 50 == 0).all()


def test_the_public_table_has_no_distance_and_no_private_column(counties):
    shown = public_place(gardens(contact="someone", name="Old Mill"), counties, ORIGIN, CENTRE)
    assert list(shown.columns) == [
        *(
            "site",
            "public_name",
            "public_as",
            "lon",
            "lat",
            "uncertainty_m",
            "county_fips",
            "axis_km",
            "elevation_m",
        )
    ]


def test_a_garden_without_coordinates_has_no_public_place(counties):
    shown = public(counties, lon=np.nan, lat=np.nan)
    assert shown[["lon", "lat", "county_fips", "axis_km"]].isna().all()


def test_an_unknown_agreement_is_refused_by_name(counties):
    with pytest.raises(InputError, match="Garden K1: public_as is 'roughly'"):
        public(counties, public_as="roughly")
