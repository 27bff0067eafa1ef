import numpy as np
import pandas as pd
import pytest
import shapely

from sites.soil import soil_of_garden

GARDENS = pd.DataFrame({"site": ["K1", "K2"], "lon": [0.5, 9.0], "lat": [0.5, 0.5]})
UNITS = pd.DataFrame(
    [
        {
            "unit": "A",
            "sand_pct": 40.0,
            "silt_pct": 40.0,
            "clay_pct": 20.0,
            "organic_matter_pct": 2.0,
            "ph": 7.0,
            "available_water": 0.16,
            "drainage": "well drained",
            "geometry": shapely.box(0, 0, 1, 1),
        }
    ]
)


def soil(*tests, **options):
    table = pd.DataFrame([{"site": "K1", "bed": "1", **test} for test in tests]) if tests else None
    return soil_of_garden(GARDENS, UNITS, table, **options).loc["K1"]


def test_without_a_test_the_map_unit_speaks_and_says_so():
    own = soil()
    assert (own["texture"], own["ph"], own["ph_class"], own["available_water"]) == (
        "loam",
        7.0,
        "neutral",
        0.16,
    )
    assert (own["ph_source"], own["texture_source"], own["map_unit"]) == ("map unit", "map unit", "A")
    assert pd.isna(own["ph_tested_on"])


def test_a_garden_outside_the_map_and_without_a_test_is_unknown():
    other = soil_of_garden(GARDENS, UNITS).loc["K2"]
    assert other[["ph", "texture", "available_water", "map_unit"]].isna().all()
    assert other["ph_source"] == "unknown"


def test_the_newest_test_comes_first_property_by_property():
    own = soil(
        {"date": "2024-04-01", "ph": 6.0, "organic_matter_pct": 4.0}, {"date": "2025-04-01", "ph": 6.4}
    )
    assert (own["ph"], own["ph_source"], own["ph_tested_on"]) == (6.4, "own test", pd.Timestamp("2025-04-01"))
    assert (own["organic_matter_pct"], own["organic_matter_tested_on"]) == (4.0, pd.Timestamp("2024-04-01"))
    assert (own["texture"], own["texture_source"]) == ("loam", "map unit")


def test_beds_tested_on_one_day_are_averaged():
    own = soil({"date": "2025-04-01", "bed": "1", "ph": 6.0}, {"date": "2025-04-01", "bed": "2", "ph": 6.6})
    assert own["ph"] == pytest.approx(6.3)


def test_a_test_later_than_today_is_not_known_yet():
    assert soil({"date": "2025-04-01", "ph": 6.4}, today="2025-03-31")["ph_source"] == "map unit"


def test_a_ph_in_calcium_chloride_is_not_mixed_with_those_in_water():
    own = soil({"date": "2025-04-01", "ph": 6.0, "ph_in": "CaCl2"})
    assert (own["ph"], own["ph_source"]) == (7.0, "map unit")


def test_a_raised_bed_is_a_constructed_medium_outside_the_tables():
    sandy = {"sand_pct": 65.0, "silt_pct": 25.0, "clay_pct": 10.0}
    own = soil({"date": "2025-04-01", "bed_type": "raised", **sandy})
    assert own["texture"] == "sandy loam"
    assert own["constructed_medium"]
    assert np.isnan(own["available_water"])
    assert own["available_water_source"] == "unknown"


def test_a_raised_bed_of_which_only_ph_is_known_is_not_given_the_water_of_the_ground_below():
    own = soil({"date": "2025-04-01", "bed_type": "raised", "ph": 6.8})
    assert own["constructed_medium"]
    assert np.isnan(own["available_water"])


def test_one_bed_in_the_ground_is_enough_for_the_tables_to_hold():
    own = soil(
        {"date": "2025-04-01", "bed_type": "raised", "ph": 6.8},
        {"date": "2025-04-01", "bed_type": "in ground"},
    )
    assert not own["constructed_medium"]
    assert own["available_water"] == 0.16


def test_a_tested_texture_gives_the_tables_available_water():
    own = soil(
        {"date": "2025-04-01", "bed_type": "in ground", "sand_pct": 65.0, "silt_pct": 25.0, "clay_pct": 10.0}
    )
    assert own["available_water"] == pytest.approx(0.13)
    assert (own["available_water_source"], own["available_water_tested_on"]) == (
        "own test",
        pd.Timestamp("2025-04-01"),
    )


def test_parts_that_make_no_soil_are_passed_over():
    own = soil({"date": "2025-04-01", "sand_pct": 65.0, "silt_pct": 65.0, "clay_pct": 10.0})
    assert own["texture_source"] == "map unit"


def test_gardens_keep_their_order():
    turned = soil_of_garden(GARDENS.iloc[::-1], UNITS)
    assert turned.index.tolist() == ["K2", "K1"]


def test_neither_map_nor_test_leaves_everything_unknown():
    nothing = soil_of_garden(GARDENS)
    assert nothing["texture"].isna().all()
    assert (nothing["texture_source"] == "unknown").all()
