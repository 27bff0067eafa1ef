"""Growing degree days by four named methods. A total without its method, base and cap is not usable data."""

from typing import Any, Literal

import numpy as np
import numpy.typing as npt

from sites.errors import InputError
from sites.scalars import Numbers, scalars_stay_scalars

DegreeDayMethod = Literal["average", "clamped", "sine", "max-only"]

#: The names of the methods, as the crop table and the settings spell them.
METHODS = ("average", "clamped", "sine", "max-only")

#: Half a day's range, in degrees, below which a day has one temperature and no sine.
LEAST_AMPLITUDE = 1e-9


@scalars_stay_scalars
def growing_degree_days(
    tmax: Numbers,
    tmin: Numbers | None,
    base: Numbers,
    upper: Numbers | None = None,
    method: DegreeDayMethod = "average",
) -> npt.NDArray[Any]:
    """Return the degree days of each day, °C·d where temperatures are in °C.

    - average: the mean of both, limited to `upper`, less the base, never below zero (method 1 of McMaster &
      Wilhelm 1997, Agricultural and Forest Meteorology 87:291-300).
    - clamped: each is first moved up to the base and down to `upper`, then averaged (their method 2; with 10
      and 30 °C the rule known as 86/50).
    - sine: the area between base and `upper` under a sine through minimum and maximum (Baskerville & Emin
      1969, Ecology 50:514-517, with a horizontal cut-off).
    - max-only: the maximum less the base; above `upper` it is reflected, so that heat counts against growth
      (Perry & Wehner 1996, HortTechnology 6:27-30, for cucumber). The minimum may be None.

    A missing temperature gives a missing day. Raises InputError for an unknown method, or a cap that is not
    above the base.
    """
    _check(tmin, base, upper, method)
    low_limit = np.asarray(base, dtype=float)
    high_limit = None if upper is None else np.asarray(upper, dtype=float)
    if method == "max-only":
        return _max_only(np.asarray(tmax, dtype=float), low_limit, high_limit)
    high, low = np.asarray(tmax, dtype=float), np.asarray(tmin, dtype=float)
    mean, amplitude = (high + low) / 2.0, np.abs(high - low) / 2.0
    if method == "average":
        return np.maximum(_limited(mean, high_limit) - low_limit, 0.0)
    if method == "clamped":
        warm, cool = (np.maximum(_limited(each, high_limit), low_limit) for each in (high, low))
        return (warm + cool) / 2.0 - low_limit
    above_upper = 0.0 if high_limit is None else _sine_above(mean, amplitude, high_limit)
    return _sine_above(mean, amplitude, low_limit) - above_upper


def _check(tmin: Numbers | None, base: Numbers, upper: Numbers | None, method: str) -> None:
    if upper is not None and not np.all(np.asarray(upper) > np.asarray(base)):
        raise InputError(f"The upper limit {upper!r} of degree days must lie above their base {base!r}.")
    if method not in METHODS:
        raise InputError(f"{method!r} is no degree-day method. Known are {', '.join(METHODS)}.")
    if tmin is None and method != "max-only":
        raise InputError(f"Degree days by the method {method!r} need the daily minimum.")


def _limited(temperature: npt.NDArray[Any], upper: npt.NDArray[Any] | None) -> npt.NDArray[Any]:
    return temperature if upper is None else np.minimum(temperature, upper)


def _max_only(
    tmax: npt.NDArray[Any], base: npt.NDArray[Any], upper: npt.NDArray[Any] | None
) -> npt.NDArray[Any]:
    reflected = tmax if upper is None else np.minimum(tmax, 2.0 * upper - tmax)
    return np.maximum(reflected - base, 0.0)


def _sine_above(
    mean: npt.NDArray[Any], amplitude: npt.NDArray[Any], threshold: npt.NDArray[Any]
) -> npt.NDArray[Any]:
    """Return the mean over a day of how far a sine stands above a threshold.

    With t the angle at which the sine crosses the threshold, the integral over the part above it is
    ((mean - threshold)(pi/2 - t) + amplitude cos t) / pi. Days wholly above or below have t at -pi/2 or pi/2.
    """
    excess = mean - threshold
    swings = amplitude > LEAST_AMPLITUDE
    swing = np.where(swings, amplitude, 1.0)
    level = np.where(excess > 0.0, -1.0, 1.0)
    crossing = np.where(swings, np.clip(-excess / swing, -1.0, 1.0), level)
    angle = np.arcsin(crossing)
    return (excess * (np.pi / 2.0 - angle) + amplitude * np.cos(angle)) / np.pi
