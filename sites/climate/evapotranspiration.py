"""Reference evapotranspiration of grass: FAO Penman-Monteith and Hargreaves.

Equation numbers are those of Allen, Pereira, Raes & Smith 1998, Crop evapotranspiration, FAO paper 56.
"""

from typing import Any

import numpy as np
import numpy.typing as npt

from sites.climate.radiation import MM_PER_MJ, extraterrestrial_radiation, net_radiation
from sites.scalars import Numbers, scalars_stay_scalars


@scalars_stay_scalars
def saturation_vapour_pressure(temperature: Numbers) -> npt.NDArray[Any]:
    """Return the saturation vapour pressure at a temperature in °C, kPa (eq. 11)."""
    celsius = np.asarray(temperature, dtype=float)
    return 0.6108 * np.exp(17.27 * celsius / (celsius + 237.3))


@scalars_stay_scalars
def mean_saturation_vapour_pressure(tmax: Numbers, tmin: Numbers) -> npt.NDArray[Any]:
    """Return a day's saturation vapour pressure, kPa (eq. 12): the mean of both, not that at their mean."""
    return (np.asarray(saturation_vapour_pressure(tmax)) + saturation_vapour_pressure(tmin)) / 2.0


@scalars_stay_scalars
def actual_vapour_pressure(
    tmax: Numbers, tmin: Numbers, rh_max: Numbers, rh_min: Numbers
) -> npt.NDArray[Any]:
    """Return the actual vapour pressure, kPa (eq. 17); the highest humidity, %, goes with the minimum."""
    at_dawn = saturation_vapour_pressure(tmin) * np.asarray(rh_max, dtype=float) / 100.0
    at_noon = saturation_vapour_pressure(tmax) * np.asarray(rh_min, dtype=float) / 100.0
    return (at_dawn + at_noon) / 2.0


@scalars_stay_scalars
def vapour_pressure_slope(temperature: Numbers) -> npt.NDArray[Any]:
    """Return the slope of the saturation vapour pressure curve, kPa per °C (eq. 13)."""
    celsius = np.asarray(temperature, dtype=float)
    return 4098.0 * saturation_vapour_pressure(celsius) / (celsius + 237.3) ** 2


@scalars_stay_scalars
def atmospheric_pressure(elevation_m: Numbers) -> npt.NDArray[Any]:
    """Return the mean atmospheric pressure at a height, kPa (eq. 7)."""
    return 101.3 * ((293.0 - 0.0065 * np.asarray(elevation_m, dtype=float)) / 293.0) ** 5.26


@scalars_stay_scalars
def psychrometric_constant(elevation_m: Numbers) -> npt.NDArray[Any]:
    """Return the psychrometric constant at a height, kPa per °C (eq. 8)."""
    return 0.665e-3 * np.asarray(atmospheric_pressure(elevation_m))


@scalars_stay_scalars
def wind_at_2m(wind: Numbers, measured_at_m: Numbers) -> npt.NDArray[Any]:
    """Return wind speed at 2 m above grass from that at another height, in its unit (eq. 47)."""
    return np.asarray(wind, dtype=float) * 4.87 / np.log(67.8 * np.asarray(measured_at_m, dtype=float) - 5.42)


@scalars_stay_scalars
def penman_monteith(
    tmax: Numbers,
    tmin: Numbers,
    rh_max: Numbers,
    rh_min: Numbers,
    wind_2m: Numbers,
    radiation: Numbers,
    elevation_m: Numbers,
    latitude_deg: Numbers,
    day_of_year: Numbers,
) -> npt.NDArray[Any]:
    """Return reference evapotranspiration by FAO Penman-Monteith, mm d-1 (eq. 6), with no heat into the soil.

    Temperatures in °C, relative humidity in %, wind at 2 m in m s-1, solar radiation at the ground in MJ m-2
    d-1.
    """
    mean = (np.asarray(tmax, dtype=float) + np.asarray(tmin, dtype=float)) / 2.0
    vapour_pressure = actual_vapour_pressure(tmax, tmin, rh_max, rh_min)
    deficit = mean_saturation_vapour_pressure(tmax, tmin) - vapour_pressure
    net = net_radiation(tmax, tmin, vapour_pressure, radiation, elevation_m, latitude_deg, day_of_year)
    slope, gamma = vapour_pressure_slope(mean), psychrometric_constant(elevation_m)
    wind = np.asarray(wind_2m, dtype=float)
    sun = MM_PER_MJ * slope * net
    air = gamma * 900.0 / (mean + 273.0) * wind * deficit
    return (sun + air) / (slope + gamma * (1.0 + 0.34 * wind))


@scalars_stay_scalars
def hargreaves(tmax: Numbers, tmin: Numbers, latitude_deg: Numbers, day_of_year: Numbers) -> npt.NDArray[Any]:
    """Return reference evapotranspiration from temperatures alone, mm d-1 (eq. 52, Hargreaves & Samani 1985).

    FAO-56 advises it only where radiation, humidity and wind are lacking, as at most volunteer stations; it
    errs low in wind above 3 m s-1 and high in humid air. Radiation enters in mm d-1. Where an estimate puts
    the minimum above the maximum the range counts as zero.
    """
    water_mm = MM_PER_MJ * np.asarray(extraterrestrial_radiation(latitude_deg, day_of_year))
    return hargreaves_from_radiation(tmax, tmin, water_mm)


@scalars_stay_scalars
def hargreaves_from_radiation(tmax: Numbers, tmin: Numbers, radiation_mm: Numbers) -> npt.NDArray[Any]:
    """Return Hargreaves evapotranspiration, mm d-1, for extraterrestrial radiation already in mm d-1."""
    high, low = np.asarray(tmax, dtype=float), np.asarray(tmin, dtype=float)
    swing = np.sqrt(np.maximum(high - low, 0.0))
    return 0.0023 * ((high + low) / 2.0 + 17.8) * swing * np.asarray(radiation_mm, dtype=float)
