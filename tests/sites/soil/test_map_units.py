import json

import pandas as pd
import pytest
import shapely

from sites.errors import InputError
from sites.soil import read_map_units, unit_of

PROPERTIES = {
    "sand_pct": 20,
    "silt_pct": 60,
    "clay_pct": 20,
    "organic_matter_pct": 2.0,
    "ph": 6.8,
    "available_water": 0.2,
    "drainage": "well drained",
}


def write_units(path, *units):
    features = [
        {
            "type": "Feature",
            "properties": properties,
            "geometry": json.loads(shapely.to_geojson(shapely.box(*box))),
        }
        for properties, box in units
    ]
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features}))
    return path


@pytest.fixture
def two_units(tmp_path):
    return read_map_units(
        write_units(
            tmp_path / "units.geojson",
            ({"unit": "B", **PROPERTIES}, (1, 0, 2, 1)),
            ({"unit": "A", **PROPERTIES, "ph": None}, (0, 0, 1, 1)),
        )
    )


def test_units_are_read_in_the_order_of_their_names_with_gaps_kept(two_units):
    assert two_units["unit"].tolist() == ["A", "B"]
    assert two_units["ph"].isna().tolist() == [True, False]


def test_a_point_lies_in_its_unit_on_a_border_in_the_first_and_outside_in_none(two_units):
    assert unit_of([0.5, 1.5, 1.0, 5.0, float("nan")], [0.5] * 5, two_units).tolist() == [0, 1, 0, -1, -1]


def test_the_demo_units_cover_the_state_once(counties, sample_data):
    units = read_map_units(sample_data / "soil" / "map_units.geojson")
    assert len(units) == 61
    inside = shapely.get_coordinates(shapely.point_on_surface(counties["geometry"].to_numpy()))
    assert (unit_of(inside[:, 0], inside[:, 1], units) >= 0).all()


@pytest.mark.parametrize(
    ("units", "complaint"),
    [
        ([({"unit": "A"}, (0, 0, 1, 1))], "no map unit has sand_pct"),
        ([({"unit": "A", **PROPERTIES}, (0, 0, 1, 1))] * 2, "a name of its own"),
    ],
)
def test_map_units_that_cannot_be_used_are_refused(tmp_path, units, complaint):
    with pytest.raises(InputError, match=complaint):
        read_map_units(write_units(tmp_path / "units.geojson", *units))


def test_units_are_a_plain_table(two_units):
    assert isinstance(two_units, pd.DataFrame)
    assert two_units["drainage"].tolist() == ["well drained"] * 2
