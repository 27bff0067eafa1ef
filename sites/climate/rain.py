"""Rain over a season: totals, dry spells, and what the soil can hold of it."""

from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from sites.scalars import Numbers, scalars_stay_scalars

#: A day with at least this much rain, mm, ends a dry spell (ETCCDI index CDD: Zhang et al. 2011, WIREs
#: Climate Change 2:851-870).
WET_DAY_MM = 1.0

#: Share of the available water that a vegetable can take before it suffers; 0.3 to 0.5 by crop, tomato 0.40
#: (FAO-56, table 22, from memory).
ALLOWED_DEPLETION = 0.4


class WaterBalance(NamedTuple):
    """The soil's water over G gardens and D days.

    `depletion_mm` (G, D) is the water missing from a full soil at the end of each day, `drained_mm` (G) what
    ran through, `short_days` (G) the days on which more than the allowed share was missing.
    """

    depletion_mm: npt.NDArray[Any]
    drained_mm: npt.NDArray[Any]
    short_days: npt.NDArray[Any]


@scalars_stay_scalars
def rain_total(rain_mm: Numbers) -> npt.NDArray[Any]:
    """Return the sum of rain along the last axis, mm; missing if a day is, because blank is not dry."""
    return np.asarray(rain_mm, dtype=float).sum(axis=-1)


@scalars_stay_scalars
def longest_dry_spell(rain_mm: Numbers, wet_mm: float = WET_DAY_MM) -> npt.NDArray[Any]:
    """Return the most days in a row, along the last axis, with less rain than `wet_mm`; missing if one is."""
    rain = np.asarray(rain_mm, dtype=float)
    longest = longest_run(rain < wet_mm)
    return np.where(np.isnan(rain).any(axis=-1), np.nan, longest)


def longest_run(condition: npt.NDArray[Any]) -> npt.NDArray[Any]:
    """Return the length of the longest run of true values along the last axis."""
    days = np.arange(1, condition.shape[-1] + 1, dtype=np.int32)
    last_break = np.maximum.accumulate(np.where(condition, 0, days), axis=-1)
    return (days - last_break).max(axis=-1, initial=0)


def water_balance(
    rain_mm: Numbers,
    reference_et_mm: Numbers,
    available_mm: Numbers,
    allowed_depletion: float = ALLOWED_DEPLETION,
) -> WaterBalance:
    """Return the daily balance of rain and reference evapotranspiration against what the soil can hold.

    Rain and evapotranspiration are (G, D) or (D,), the available water of the root zone (G,) or a number, all
    in mm. The soil starts full; what it cannot hold drains, and it gives no more than it has (FAO-56, eq. 85,
    with a crop coefficient of 1, no runoff and no watering). A missing day leaves that garden's later days
    missing.
    """
    rain, loss = np.broadcast_arrays(
        np.asarray(rain_mm, dtype=float), np.asarray(reference_et_mm, dtype=float)
    )
    available = np.broadcast_to(np.asarray(available_mm, dtype=float), rain.shape[:-1])
    change = np.ascontiguousarray(np.moveaxis(loss - rain, -1, 0))
    depletion = np.empty_like(change)
    missing = np.zeros(rain.shape[:-1])
    drained = np.zeros(rain.shape[:-1])
    for day, day_change in enumerate(change):
        missing = missing + day_change
        drained -= np.minimum(missing, 0.0)
        missing = np.minimum(np.maximum(missing, 0.0), available, out=depletion[day, ...])
    short = (depletion > allowed_depletion * available).sum(axis=0)
    short = np.where(np.isnan(missing), np.nan, short)
    return WaterBalance(np.moveaxis(depletion, 0, -1), drained, short)
