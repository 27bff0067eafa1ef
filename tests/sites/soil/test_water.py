"""Available water: FAO-56, table 19 (from memory). The profile is a worked example of teaching slides on soil
water."""

import numpy as np
import pytest

from sites.soil import available_water_of_texture, profile_available_water_cm


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
    found = available_water_of_texture(
        np.array(["clay loam", "sandy clay", None, "sandy loam"], dtype=object)
    )
    assert np.isnan(found).tolist() == [True, True, True, False]
