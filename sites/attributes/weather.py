"""A season's weather at some gardens, from daily arrays to one number for each garden."""

from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from sites.attributes.states import FILLED_SHARE, stands, state_of_days
from sites.climate.degree_days import growing_degree_days
from sites.climate.evapotranspiration import hargreaves_from_radiation
from sites.climate.freezes import day_of_365
from sites.climate.interpolation import Interpolation, Places, carried, stands_in, wet_votes
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
)
FROM_RAIN = ("rain_mm", "longest_dry_spell_days")
FROM_BOTH = ("rain_minus_et_mm", "days_short_of_water")

Active = npt.NDArray[np.bool_] | None


def crop_limits(crop: pd.Series) -> tuple[dict[str, float], str]:
    """Return a crop's limits of heat and cold, and whether they are its own ("crop") or "general" ones."""
    own = {name: float(crop[name]) for name in GENERAL_LIMITS}
    if any(np.isnan(limit) for limit in own.values()):
        return GENERAL_LIMITS, "general"
    return own, "crop"


def season_weather(
    days: StationDays,
    at: Places,
    active: Active,
    crop: pd.Series,
    available_mm: Floats,
    method: Interpolation,
) -> dict[str, Any]:
    """Return a season's indices at G gardens, each an array (G), with their states and shares of estimated days.

    `days` are the stations' days of the window; `active` (G, D) tells which of them count for a garden, None
    all. Numbers that must not stand are missing.
    """
    tmax = carried(days, "tmax_c", at, method)[0]
    tmin = carried(days, "tmin_c", at, method)[0]
    rain, wet_share = carried(days, "prcp_mm", at, method, beside=(wet_votes(days, WET_DAY_MM),))
    count = _sum(np.ones((1, tmax.shape[1])), active)
    count = np.broadcast_to(count, len(tmax)).astype(int)

    no_temperature, no_rain = np.isnan(tmax + tmin), np.isnan(rain)
    doubtful = stands_in(days, "tmax_c", at, method) | stands_in(days, "tmin_c", at, method)
    temperature = _states(no_temperature, doubtful, active, count, FILLED_SHARE)
    raining = _states(no_rain, stands_in(days, "prcp_mm", at, method), active, count, 0.0)

    found = _from_temperature(tmax, tmin, days.dates, at.lat, active, crop)
    et = found.pop("daily_et")
    gaps = no_temperature.any()
    known = _sum(~no_temperature, active) if gaps else count
    scale = np.where(known > 0, count / np.maximum(known, 1), np.nan)
    found = {name: total * scale for name, total in found.items()}
    length = np.where(count > 0, count, np.nan)
    found["tmax_mean_c"], found["tmin_mean_c"] = found["tmax_mean_c"] / length, found["tmin_mean_c"] / length
    found["rain_mm"] = _sum(rain, active)
    dry = wet_share < 0.5
    found["longest_dry_spell_days"] = longest_run(dry if active is None else dry & active).astype(float)
    found["rain_minus_et_mm"] = found["rain_mm"] - found["reference_et_mm"]
    found["days_short_of_water"] = _short_of_water(rain, et, active, available_mm)
    found = _withheld(found, temperature["state"], raining["state"])
    return {
        **found,
        "window_days": count,
        "temperature_estimated_pct": temperature["estimated_pct"],
        "temperature_state": temperature["state"],
        "rain_estimated_pct": raining["estimated_pct"],
        "rain_state": raining["state"],
    }


def _from_temperature(
    tmax: Floats, tmin: Floats, dates: npt.NDArray[Any], lat: Floats, active: Active, crop: pd.Series
) -> dict[str, Any]:
    """Return sums over the known days, and the daily evapotranspiration (missing where a temperature is)."""
    limits, _ = crop_limits(crop)
    upper = None if np.isnan(crop["degree_day_upper_c"]) else float(crop["degree_day_upper_c"])
    base = float(crop["degree_day_base_c"])
    heat = growing_degree_days(tmax, tmin, base, upper, crop["degree_day_method"])
    radiation = MM_PER_MJ * extraterrestrial_radiation(lat[:, None], day_of_365(dates)[None, :])
    et = hargreaves_from_radiation(tmax, tmin, radiation)
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
        "daily_et": et,
    }


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
    """Return the days on which the soil lacks more than the allowed share, with no loss before the window starts."""
    if active is not None:
        rain, et = np.where(active, rain, 0.0), np.where(active, et, 0.0)
    return np.asarray(water_balance(rain, np.nan_to_num(et), available_mm).short_days)


def _states(
    missing: npt.NDArray[Any],
    doubtful: npt.NDArray[Any],
    active: Active,
    count: npt.NDArray[Any],
    missing_allowed: float,
) -> dict[str, Any]:
    lacking = _sum(missing, active)
    estimated = _sum(doubtful & ~missing, active)
    share = np.where(count > 0, (lacking + estimated) / np.maximum(count, 1), np.nan)
    return {
        "estimated_pct": 100.0 * share,
        "state": state_of_days(count, lacking, estimated, missing_allowed),
    }


def _withheld(found: dict[str, Any], temperature: npt.NDArray[Any], rain: npt.NDArray[Any]) -> dict[str, Any]:
    warm, wet = stands(temperature), stands(rain)
    rests_on = {FROM_TEMPERATURE: warm, FROM_RAIN: wet, FROM_BOTH: warm & wet}
    return {name: np.where(good, found[name], np.nan) for names, good in rests_on.items() for name in names}
