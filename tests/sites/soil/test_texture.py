"""Texture classes: Benham, Ahrens & Nettleton, USDA-NRCS, Clarification of Soil Texture Class Boundaries
(edge points go to the finer class); names of the Soil Survey Manual."""

import numpy as np
import pytest

from sites.errors import InputError
from sites.soil import CLASSES, texture_class


@pytest.mark.parametrize(
    ("sand", "silt", "clay", "expected"),
    [
        (92, 5, 3, "sand"),
        (86, 14, 0, "sand"),
        (85, 15, 0, "loamy sand"),  # edge silt + 1.5 clay = 15
        (70, 30, 0, "sandy loam"),  # edge silt + 2 clay = 30
        (65, 25, 10, "sandy loam"),
        (53, 40, 7, "sandy loam"),
        (52, 41, 7, "loam"),  # edge sand = 52
        (52, 28, 20, "loam"),  # edge silt = 28
        (40, 40, 20, "loam"),
        (20, 60, 20, "silt loam"),
        (43, 50, 7, "silt loam"),  # edge silt = 50
        (8, 80, 12, "silt loam"),  # edge clay = 12
        (10, 80, 10, "silt"),
        (60, 15, 25, "sandy clay loam"),
        (46, 27, 27, "sandy clay loam"),
        (45, 28, 27, "clay loam"),  # edge sand = 45 and clay = 27
        (33, 33, 34, "clay loam"),
        (21, 44, 35, "clay loam"),
        (20, 45, 35, "silty clay loam"),  # edge sand = 20
        (52, 8, 40, "sandy clay"),
        (45, 15, 40, "clay"),  # edge sand = 45
        (21, 39, 40, "clay"),
        (20, 20, 60, "clay"),
        (20, 40, 40, "silty clay"),  # edge silt = 40
        (5, 45, 50, "silty clay"),
    ],
)
def test_points_and_edges_have_their_class(sand, silt, clay, expected):
    assert texture_class(sand, silt, clay) == expected


def all_tenths():
    """Every composition in tenths of a percent: 501,501 points."""
    sand, silt = np.meshgrid(np.arange(1001), np.arange(1001))
    whole = sand + silt <= 1000
    return sand[whole], silt[whole], 1000 - sand[whole] - silt[whole]


def test_every_tenth_of_a_percent_has_exactly_one_class_by_the_published_rules():
    """The twelve rules in their mutually exclusive form, in whole tenths, so that no rounding enters."""
    s, i, c = all_tenths()
    rules = {
        "sand": 2 * i + 3 * c < 300,
        "loamy sand": (2 * i + 3 * c >= 300) & (i + 2 * c < 300),
        "sandy loam": ((c >= 70) & (c < 200) & (s > 520) & (i + 2 * c >= 300))
        | ((c < 70) & (i < 500) & (i + 2 * c >= 300)),
        "loam": (c >= 70) & (c < 270) & (i >= 280) & (i < 500) & (s <= 520),
        "silt loam": ((i >= 500) & (c >= 120) & (c < 270)) | ((i >= 500) & (i < 800) & (c < 120)),
        "silt": (i >= 800) & (c < 120),
        "sandy clay loam": (c >= 200) & (c < 350) & (i < 280) & (s > 450),
        "clay loam": (c >= 270) & (c < 400) & (s > 200) & (s <= 450),
        "silty clay loam": (c >= 270) & (c < 400) & (s <= 200),
        "sandy clay": (c >= 350) & (s > 450),
        "silty clay": (c >= 400) & (i >= 400),
        "clay": (c >= 400) & (s <= 450) & (i < 400),
    }
    assert len(s) == 501_501
    assert (sum(rule.astype(int) for rule in rules.values()) == 1).all()
    found = texture_class(s / 10, i / 10, c / 10)
    for name, rule in rules.items():
        assert (found[rule] == name).all()
    assert set(found) == set(CLASSES)


def test_parts_that_miss_one_hundred_by_rounding_are_scaled():
    assert texture_class(40.5, 40, 20) == "loam"
    assert texture_class(33, 33, 33) == "clay loam"


@pytest.mark.parametrize("parts", [(40, 40, 15), (-1, 50, 51), (60, 60, 20)])
def test_parts_that_make_no_soil_are_refused(parts):
    with pytest.raises(InputError, match="are no soil"):
        texture_class(*parts)


def test_a_missing_part_gives_no_class():
    assert texture_class([40.0, np.nan], [40.0, 40.0], [20.0, 20.0]).tolist() == ["loam", None]
    assert texture_class(np.nan, 40, 20) is None
