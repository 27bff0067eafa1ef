"""Available water: FAO-56, table 19 (from memory). The profile is a worked example of teaching slides on soil
water."""

import numpy as np
import pytest

from sites.soil import available_water_of_texture, profile_available_water_cm
from sites.units import mm_per_m_from_inch_per_foot


def test_a_profile_holds_the_sum_of_its_layers():
    assert profile_available_water_cm([30, 100, 20], [0.05, 0.15, 0.20]) == pytest.approx(20.5, abs=0.001)


@pytest.mark.parametrize(
    ("texture", "low", "high"),
    [("sand", 0.05, 0.11), ("loam", 0.13, 0.18), ("silt", 0.16, 0.20), ("clay", 0.12, 0.20)],
)
def test_available_water_is_the_middle_of_the_tables_range(texture, low, high):
    assert available_water_of_texture(texture) == pytest.approx((low + high) / 2)
    assert available_water_of_texture(texture, "low") == low
    assert available_water_of_texture(texture, "high") == high


def test_what_the_tables_do_not_have_is_missing():
    found = available_water_of_texture(np.array(["sandy clay", None, "sandy loam"], dtype=object))
    assert np.isnan(found).tolist() == [True, True, False]


@pytest.mark.parametrize(
    ("texture", "low_in_per_ft", "high_in_per_ft"), [("clay loam", 1.6, 2.4), ("sandy clay loam", 1.5, 2.1)]
)
def test_classes_outside_table_19_have_the_inches_per_foot_of_the_soil_survey(
    texture, low_in_per_ft, high_in_per_ft
):
    """USDA-NRCS Wyoming, appearance of clay loam and of sandy clay loam soils at various soil moisture
    conditions."""
    for bound, inches in (("low", low_in_per_ft), ("high", high_in_per_ft)):
        assert available_water_of_texture(texture, bound) == pytest.approx(
            mm_per_m_from_inch_per_foot(inches) / 1000, abs=5e-4
        )
