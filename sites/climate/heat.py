"""Heat for plants and for people: counts of hot days and warm nights, and the heat index."""

from typing import Any

import numpy as np
import numpy.typing as npt

from sites.climate.evapotranspiration import saturation_vapour_pressure
from sites.scalars import Numbers, scalars_stay_scalars
from sites.units import fahrenheit_from_celsius

#: Coefficients of the heat index regression: constant, T, R, TR, T², R², T²R, TR², T²R² (Rothfusz 1990,
#: National Weather Service Technical Attachment SR 90-23).
ROTHFUSZ = (
    *(-42.379, 2.04901523, 10.14333127, -0.22475541, -0.00683783),
    *(-0.05481717, 0.00122874, 0.00085282, -0.00000199),
)

#: Below this heat index, °F, the simple formula holds (National Weather Service, heat index equation).
SIMPLE_BELOW_F = 80.0


@scalars_stay_scalars
def days_above(temperature: Numbers, limit: float) -> npt.NDArray[Any]:
    """Return along the last axis how many days have a temperature above a limit; missing if a day is missing.

    Hot days for daily maxima, warm nights for daily minima. At the limit itself is not above it.
    """
    return _count(np.asarray(temperature, dtype=float), np.asarray(temperature) > limit)


@scalars_stay_scalars
def days_below(temperature: Numbers, limit: float) -> npt.NDArray[Any]:
    """Return along the last axis how many days have a temperature below a limit; missing if a day is."""
    return _count(np.asarray(temperature, dtype=float), np.asarray(temperature) < limit)


def hot_days(tmax: Numbers, limit: float) -> Any:
    """Return the number of days whose maximum is above the limit, along the last axis."""
    return days_above(tmax, limit)


def warm_nights(tmin: Numbers, limit: float) -> Any:
    """Return the number of nights whose minimum is above the limit, along the last axis."""
    return days_above(tmin, limit)


def cold_nights(tmin: Numbers, limit: float) -> Any:
    """Return the number of nights whose minimum is below the limit, along the last axis."""
    return days_below(tmin, limit)


@scalars_stay_scalars
def heat_index_f(temperature_f: Numbers, relative_humidity_pct: Numbers) -> npt.NDArray[Any]:
    """Return the heat index, °F, in shade and light wind (Rothfusz 1990, as the Weather Service adjusts it).

    The simple formula first; where it gives 80 °F or more, the regression, lowered in dry heat (below 13 %,
    80 to 112 °F) and raised in damp warmth (above 85 %, 80 to 87 °F). The printed chart leaves the latter
    out. Full sun adds up to 15 °F.
    """
    t, r = np.broadcast_arrays(
        np.asarray(temperature_f, dtype=float), np.asarray(relative_humidity_pct, dtype=float)
    )
    simple = (0.5 * (t + 61.0 + 1.2 * (t - 68.0) + 0.094 * r) + t) / 2.0
    return np.where(simple < SIMPLE_BELOW_F, simple, _regression(t, r) + _adjustment(t, r))


def _regression(t: npt.NDArray[Any], r: npt.NDArray[Any]) -> npt.NDArray[Any]:
    """Return the heat index of the regression, its terms ordered by powers of humidity."""
    one, t_1, r_1, tr, t_2, r_2, t_2r, tr_2, t_2r_2 = ROTHFUSZ
    dry = one + t * (t_1 + t * t_2)
    damp = r_1 + t * (tr + t * t_2r)
    squared = r_2 + t * (tr_2 + t * t_2r_2)
    return dry + r * (damp + r * squared)


def _adjustment(t: npt.NDArray[Any], r: npt.NDArray[Any]) -> npt.NDArray[Any]:
    """Return what the regression is lowered by in dry heat, and raised by in damp warmth."""
    added = np.zeros(np.shape(t))
    dry = (r < 13.0) & (t >= 80.0) & (t <= 112.0)
    added[dry] = -(13.0 - r[dry]) / 4.0 * np.sqrt((17.0 - np.abs(t[dry] - 95.0)) / 17.0)
    damp = (r > 85.0) & (t >= 80.0) & (t <= 87.0)
    added[damp] = (r[damp] - 85.0) / 10.0 * (87.0 - t[damp]) / 5.0
    return added


@scalars_stay_scalars
def afternoon_humidity_pct(tmax: Numbers, tmin: Numbers) -> npt.NDArray[Any]:
    """Return relative humidity at the daily maximum, %, with the minimum for the dew point (FAO-56, eq. 48).

    Good to some ten percent in humid country; too high at dry sites, where the dew point lies below the
    minimum.
    """
    return 100.0 * np.minimum(saturation_vapour_pressure(tmin) / saturation_vapour_pressure(tmax), 1.0)


@scalars_stay_scalars
def afternoon_heat_index_f(tmax_c: Numbers, tmin_c: Numbers) -> npt.NDArray[Any]:
    """Return the heat index, °F, at the daily maximum, with humidity as `afternoon_humidity_pct` has it.

    Stations of the open daily record measure no humidity, so this is an estimate, and where the air is dry
    one from above.
    """
    humidity = afternoon_humidity_pct(tmax_c, tmin_c)
    return np.asarray(heat_index_f(fahrenheit_from_celsius(tmax_c), humidity))


@scalars_stay_scalars
def heat_index_days(tmax_c: Numbers, tmin_c: Numbers, at_least_f: float) -> npt.NDArray[Any]:
    """Return along the last axis how many days reach a heat index, °F, in the afternoon; missing if a day is.

    The index is that of `afternoon_heat_index_f`.
    """
    index = np.asarray(afternoon_heat_index_f(tmax_c, tmin_c))
    return _count(index, index >= at_least_f)


def _count(temperature: npt.NDArray[Any], condition: npt.NDArray[Any]) -> npt.NDArray[Any]:
    missing = np.isnan(temperature).any(axis=-1)
    return np.where(missing, np.nan, np.count_nonzero(condition, axis=-1))
