"""Sun above the atmosphere and at the ground, by day of the year.

Equation numbers are those of Allen, Pereira, Raes & Smith 1998, Crop evapotranspiration, FAO paper 56.
"""

from typing import Any

import numpy as np
import numpy.typing as npt

from sites.scalars import Numbers, scalars_stay_scalars

#: Solar constant, MJ m-2 min-1 (FAO-56, eq. 21).
SOLAR_CONSTANT = 0.0820

#: Stefan-Boltzmann constant, MJ K-4 m-2 d-1 (FAO-56, eq. 39).
STEFAN_BOLTZMANN = 4.903e-9

#: Share of sunlight that the grass reference reflects (FAO-56, eq. 38).
ALBEDO = 0.23

#: Millimetres of water that one MJ m-2 evaporates: 1 / latent heat of 2.45 MJ kg-1 (FAO-56, eq. 20).
MM_PER_MJ = 0.408

#: Kelvin of 0 °C, as FAO-56 rounds it for long-wave radiation (eq. 39).
KELVIN = 273.16


@scalars_stay_scalars
def inverse_relative_distance(day_of_year: Numbers) -> npt.NDArray[Any]:
    """Return the inverse relative distance from earth to sun (eq. 23)."""
    return 1.0 + 0.033 * np.cos(2.0 * np.pi / 365.0 * np.asarray(day_of_year, dtype=float))


@scalars_stay_scalars
def solar_declination(day_of_year: Numbers) -> npt.NDArray[Any]:
    """Return the solar declination in radians (eq. 24)."""
    return 0.409 * np.sin(2.0 * np.pi / 365.0 * np.asarray(day_of_year, dtype=float) - 1.39)


@scalars_stay_scalars
def sunset_hour_angle(latitude_deg: Numbers, day_of_year: Numbers) -> npt.NDArray[Any]:
    """Return the sunset hour angle in radians (eq. 25): 0 in the polar night, pi under the midnight sun."""
    product = -np.tan(np.radians(latitude_deg)) * np.tan(solar_declination(day_of_year))
    return np.arccos(np.clip(product, -1.0, 1.0))


@scalars_stay_scalars
def day_length_hours(latitude_deg: Numbers, day_of_year: Numbers) -> npt.NDArray[Any]:
    """Return the hours between sunrise and sunset (eq. 34)."""
    return 24.0 / np.pi * np.asarray(sunset_hour_angle(latitude_deg, day_of_year))


@scalars_stay_scalars
def extraterrestrial_radiation(latitude_deg: Numbers, day_of_year: Numbers) -> npt.NDArray[Any]:
    """Return the sun's radiation above the atmosphere, MJ m-2 d-1 (eq. 21)."""
    latitude, declination = np.radians(latitude_deg), solar_declination(day_of_year)
    hour_angle = sunset_hour_angle(latitude_deg, day_of_year)
    geometry = hour_angle * np.sin(latitude) * np.sin(declination)
    geometry = geometry + np.cos(latitude) * np.cos(declination) * np.sin(hour_angle)
    return 24.0 * 60.0 / np.pi * SOLAR_CONSTANT * inverse_relative_distance(day_of_year) * geometry


@scalars_stay_scalars
def radiation_from_sunshine(
    sunshine_hours: Numbers, latitude_deg: Numbers, day_of_year: Numbers
) -> npt.NDArray[Any]:
    """Return solar radiation at the ground from hours of bright sunshine, MJ m-2 d-1 (eq. 35)."""
    share = np.asarray(sunshine_hours, dtype=float) / day_length_hours(latitude_deg, day_of_year)
    return (0.25 + 0.50 * share) * extraterrestrial_radiation(latitude_deg, day_of_year)


@scalars_stay_scalars
def clear_sky_radiation(
    elevation_m: Numbers, latitude_deg: Numbers, day_of_year: Numbers
) -> npt.NDArray[Any]:
    """Return solar radiation at the ground under a clear sky, MJ m-2 d-1 (eq. 37)."""
    share = 0.75 + 2e-5 * np.asarray(elevation_m, dtype=float)
    return share * extraterrestrial_radiation(latitude_deg, day_of_year)


@scalars_stay_scalars
def net_longwave_radiation(
    tmax: Numbers, tmin: Numbers, vapour_pressure_kpa: Numbers, clearness: Numbers
) -> npt.NDArray[Any]:
    """Return net outgoing long-wave radiation, MJ m-2 d-1 (eq. 39); clearness is Rs / Rso, at most 1."""
    high, low = np.asarray(tmax, dtype=float) + KELVIN, np.asarray(tmin, dtype=float) + KELVIN
    emitted = STEFAN_BOLTZMANN * (high**4 + low**4) / 2.0
    humidity = 0.34 - 0.14 * np.sqrt(np.asarray(vapour_pressure_kpa, dtype=float))
    return emitted * humidity * (1.35 * np.minimum(clearness, 1.0) - 0.35)


@scalars_stay_scalars
def net_radiation(
    tmax: Numbers,
    tmin: Numbers,
    vapour_pressure_kpa: Numbers,
    radiation: Numbers,
    elevation_m: Numbers,
    latitude_deg: Numbers,
    day_of_year: Numbers,
) -> npt.NDArray[Any]:
    """Return net radiation over grass, MJ m-2 d-1 (eq. 38 to 40), from solar radiation at the ground."""
    solar = np.asarray(radiation, dtype=float)
    clear = np.asarray(clear_sky_radiation(elevation_m, latitude_deg, day_of_year))
    clearness = solar / np.where(clear > 0.0, clear, np.nan)
    return (1.0 - ALBEDO) * solar - net_longwave_radiation(tmax, tmin, vapour_pressure_kpa, clearness)
