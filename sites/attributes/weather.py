"""A season's weather at some gardens, from daily arrays to one number for each garden."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from sites.attributes.states import FILLED_SHARE, stands, state_of_days
from sites.climate.degree_days import growing_degree_days
from sites.climate.evapotranspiration import hargreaves_from_radiation
from sites.climate.freeze_risk import day_of_365
from sites.climate.heat import afternoon_heat_index_f
from sites.climate.interpolation import Element, Interpolation, Places, element, wet_votes
from sites.climate.radiation import MM_PER_MJ, extraterrestrial_radiation
from sites.climate.rain import WET_DAY_MM, longest_run, water_balance
from sites.climate.station_days import Floats, StationDays

#: Limits of heat and cold for crops whose fruit set has none in the crop table: 10 °C chills tender plants,
#: 21 to 24 °C (70 to 75 °F) are warm nights, 32 to 35 °C (90 to 95 °F) hot days (common practice, no source).
GENERAL_LIMITS = {
    "night_cold_c": 10.0,
    "night_warm_low_c": 21.0,
    "night_warm_high_c": 24.0,
    "day_hot_low_c": 32.0,
    "day_hot_high_c": 35.0,
}

#: Numbers that rest on temperature, on rain, and on both.
FROM_TEMPERATURE = (
    *("degree_days_c", "tmax_mean_c", "tmin_mean_c"),
    *("hot_days", "very_hot_days", "warm_nights", "very_warm_nights", "cold_nights", "reference_et_mm"),
    *("heat_index_90f_days", "heat_index_103f_days"),
)
FROM_RAIN = ("rain_mm", "longest_dry_spell_days")
FROM_BOTH = ("rain_minus_et_mm", "days_short_of_water")

#: Heat index, °F, from which a day counts: where the Weather Service's bands "extreme caution" and "danger"
#: begin (National Weather Service, heat index).
EXTREME_CAUTION_F, DANGER_F = 90.0, 103.0

#: Daily maximum, °C, below which no humidity makes a heat index of 90 °F: at 80 °F in saturated air it is 89.
NEVER_FELT_HOT_C = 26.6

#: Where the humidity of the heat index comes from: stations of the open daily record measure none.
HUMIDITY_FROM_MINIMUM = "estimated: dew point taken as the minimum (FAO-56 eq. 48)"

#: Which days (G, D) count for a garden; None where all do.
Active = npt.NDArray[np.bool_] | None


@dataclass(frozen=True)
class SeasonDays:
    """The stations' days of one season, made ready to be carried to gardens."""

    tmax: Element
    tmin: Element
    rain: Element

    @classmethod
    def of(cls, days: StationDays, method: Interpolation) -> "SeasonDays":
        """Return the three elements; rain carries the stations' votes on wet days beside it."""
        return cls(
            element(days, "tmax_c", method),
            element(days, "tmin_c", method),
            element(days, "prcp_mm", method, beside=(wet_votes(days, WET_DAY_MM),)),
        )


def crop_limits(crop: pd.Series) -> tuple[dict[str, float], str]:
    """Return a crop's limits of heat and cold, and whether they are its own ("crop") or "general" ones."""
    own = {name: float(crop[name]) for name in GENERAL_LIMITS}
    if any(np.isnan(limit) for limit in own.values()):
        return GENERAL_LIMITS, "general"
    return own, "crop"


def season_weather(
    days: SeasonDays, at: Places, active: Active, crop: pd.Series, available_mm: Floats
) -> dict[str, Any]:
    """Return a season's indices at G gardens, each an array (G), with their states and estimated shares.

    `available_mm` is the water that each garden's soil can hold. Numbers that must not stand are missing.
    """
    tmax, tmin, rain = days.tmax.at(at), days.tmin.at(at), days.rain.at(at)
    gardens, length = tmax.value.shape
    count = np.full(gardens, length) if active is None else np.count_nonzero(active, axis=1)

    no_temperature = np.isnan(tmax.value) | np.isnan(tmin.value)
    warm = _trust(no_temperature, tmax.estimated | tmin.estimated, active, count, FILLED_SHARE)
    wet = _trust(np.isnan(rain.value), rain.estimated, active, count, 0.0)

    et = _daily_et(tmax.value, tmin.value, days.tmax.days.dates, at.lat)
    known = count
    if no_temperature.any():
        known = _sum(~no_temperature, active)
    fill = count / np.where(known > 0, known, np.nan)
    found = {name: total * fill for name, total in _sums(tmax.value, tmin.value, et, active, crop).items()}
    for name in ("tmax_mean_c", "tmin_mean_c"):
        found[name] = found[name] / np.where(count > 0, count, np.nan)
    dry = rain.beside[0] < 0.5
    felt = _felt_heat(tmax.value, tmin.value)
    for name, limit in (("heat_index_90f_days", EXTREME_CAUTION_F), ("heat_index_103f_days", DANGER_F)):
        found[name] = _sum(felt >= limit, active) * fill
    found["rain_mm"] = _sum(rain.value, active)
    found["longest_dry_spell_days"] = longest_run(dry if active is None else dry & active).astype(float)
    found["rain_minus_et_mm"] = found["rain_mm"] - found["reference_et_mm"]
    found["days_short_of_water"] = _short_of_water(rain.value, et, active, available_mm)
    return {
        **_withheld(found, warm["state"], wet["state"]),
        **{f"temperature_{name}": each for name, each in warm.items()},
        **{f"rain_{name}": each for name, each in wet.items()},
    }


def _sums(tmax: Floats, tmin: Floats, et: Floats, active: Active, crop: pd.Series) -> dict[str, Floats]:
    """Return what temperatures add up to over the known days."""
    limits, _ = crop_limits(crop)
    upper = None if np.isnan(crop["degree_day_upper_c"]) else float(crop["degree_day_upper_c"])
    base = float(crop["degree_day_base_c"])
    heat = growing_degree_days(tmax, tmin, base, upper, crop["degree_day_method"])
    return {
        "degree_days_c": _sum(heat, active),
        "tmax_mean_c": _sum(tmax, active),
        "tmin_mean_c": _sum(tmin, active),
        "hot_days": _sum(tmax > limits["day_hot_low_c"], active),
        "very_hot_days": _sum(tmax > limits["day_hot_high_c"], active),
        "warm_nights": _sum(tmin > limits["night_warm_low_c"], active),
        "very_warm_nights": _sum(tmin > limits["night_warm_high_c"], active),
        "cold_nights": _sum(tmin < limits["night_cold_c"], active),
        "reference_et_mm": _sum(et, active),
    }


def _felt_heat(tmax: Floats, tmin: Floats) -> npt.NDArray[np.float32]:
    """Return the heat index, °F, of each day (G, D), minus infinity where it cannot reach 90 °F."""
    felt = np.full(tmax.shape, -np.inf, dtype=np.float32)
    warm = tmax >= NEVER_FELT_HOT_C
    felt[warm] = afternoon_heat_index_f(tmax[warm], tmin[warm])
    return felt


def _daily_et(tmax: Floats, tmin: Floats, dates: npt.NDArray[Any], lat: Floats) -> Floats:
    radiation = MM_PER_MJ * extraterrestrial_radiation(lat[:, None], day_of_365(dates)[None, :])
    return np.asarray(hargreaves_from_radiation(tmax, tmin, radiation))


def _sum(values: npt.NDArray[Any], active: Active) -> Floats:
    """Return sums over the days that count and are known, as floats."""
    if active is not None:
        values = np.where(active, values, 0)
    if values.dtype == bool:
        return np.count_nonzero(values, axis=1).astype(float)
    total = np.asarray(values.sum(axis=1), dtype=float)
    if np.isnan(total).any():
        total = np.asarray(np.nansum(values, axis=1), dtype=float)
    return total


def _short_of_water(rain: Floats, et: Floats, active: Active, available_mm: Floats) -> Floats:
    """Return the days on which the soil lacks more than its allowed share; it stays full until planting."""
    if active is not None:
        rain, et = np.where(active, rain, 0.0), np.where(active, et, 0.0)
    return np.asarray(water_balance(rain, np.nan_to_num(et), available_mm).short_days)


def _trust(
    missing: npt.NDArray[Any],
    doubtful: npt.NDArray[Any],
    active: Active,
    count: npt.NDArray[Any],
    missing_allowed: float,
) -> dict[str, Any]:
    """Return the share of days estimated or missing, in percent, and the state that follows from it."""
    lacking = _sum(missing, active)
    estimated = _sum(doubtful & ~missing, active)
    share = (lacking + estimated) / np.where(count > 0, count, np.nan)
    return {
        "estimated_pct": 100.0 * share,
        "state": state_of_days(count, lacking, estimated, missing_allowed),
    }


def _withheld(
    found: dict[str, Floats], temperature: npt.NDArray[Any], rain: npt.NDArray[Any]
) -> dict[str, Floats]:
    warm, wet = stands(temperature), stands(rain)
    rests_on = {FROM_TEMPERATURE: warm, FROM_RAIN: wet, FROM_BOTH: warm & wet}
    return {name: np.where(good, found[name], np.nan) for names, good in rests_on.items() for name in names}
