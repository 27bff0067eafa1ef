"""Plant hardiness zones: context for perennials, and nothing about summer heat or frost dates."""

from typing import Any

import numpy as np
import numpy.typing as npt

from sites.scalars import Numbers, scalars_stay_scalars
from sites.units import fahrenheit_from_celsius

#: Lower edge of zone 1a, °F (USDA Plant Hardiness Zone Map, 2023).
COLDEST_F = -60.0

#: Width of half a zone, °F.
HALF_ZONE_F = 5.0

#: Half zones, 1a to 13b.
HALF_ZONES = tuple(f"{zone}{half}" for zone in range(1, 14) for half in "ab")

#: Days of a year that must have a minimum, from December to February above all, for its coldest to count.
LEAST_DAYS = 350


@scalars_stay_scalars
def hardiness_zone(mean_extreme_minimum_f: Numbers) -> npt.NDArray[Any]:
    """Return the zone, as "6a", of a mean of yearly minima in °F; None where it is missing.

    Zones are 10 °F wide and halves 5 °F, from -60 °F (USDA 2023); an edge belongs to the warmer half (common
    practice, no source). Colder and warmer places get the outermost zones.
    """
    minimum = np.round(np.asarray(mean_extreme_minimum_f, dtype=float), 6)
    half = np.floor((np.nan_to_num(minimum) - COLDEST_F) / HALF_ZONE_F).astype(int)
    half = np.clip(half, 0, len(HALF_ZONES) - 1)
    names = np.array([*HALF_ZONES, None], dtype=object)
    return names[np.where(np.isnan(minimum), len(HALF_ZONES), half)]


@scalars_stay_scalars
def mean_extreme_minimum_f(tmin_c: Numbers, dates: npt.NDArray[np.datetime64]) -> npt.NDArray[Any]:
    """Return the mean over the years of each year's lowest minimum, °F, along the last axis.

    Not the record low, and no percentile. Years with minima on fewer than 350 days are left out.
    """
    tmin = np.asarray(tmin_c, dtype=float)
    years = dates.astype("datetime64[Y]").astype(int)
    total, count = np.zeros(tmin.shape[:-1]), np.zeros(tmin.shape[:-1])
    for year in np.unique(years):
        own = tmin[..., years == year]
        whole = (~np.isnan(own)).sum(axis=-1) >= LEAST_DAYS
        lowest = np.where(np.isnan(own), np.inf, own).min(axis=-1)
        total, count = total + np.where(whole, lowest, 0.0), count + whole
    return np.asarray(fahrenheit_from_celsius(total / np.where(count > 0, count, np.nan)))
