"""Units that gardeners and weather offices in the United States use, and their SI twins."""

from typing import Any

import numpy as np
import numpy.typing as npt

from sites.scalars import Numbers, scalars_stay_scalars

#: Kilograms in a pound, exact (international avoirdupois pound, 1959).
KG_PER_POUND = 0.45359237

#: Metres in a foot, exact (international foot, 1959).
METRES_PER_FOOT = 0.3048

#: Millimetres in an inch, exact.
MM_PER_INCH = 25.4


@scalars_stay_scalars
def celsius_from_fahrenheit(temperature_f: Numbers) -> npt.NDArray[Any]:
    """Return degrees Celsius for a temperature in degrees Fahrenheit."""
    return (np.asarray(temperature_f, dtype=float) - 32.0) / 1.8


@scalars_stay_scalars
def fahrenheit_from_celsius(temperature_c: Numbers) -> npt.NDArray[Any]:
    """Return degrees Fahrenheit for a temperature in degrees Celsius."""
    return np.asarray(temperature_c, dtype=float) * 1.8 + 32.0


@scalars_stay_scalars
def fahrenheit_degree_days(degree_days_c: Numbers) -> npt.NDArray[Any]:
    """Return Fahrenheit degree days for Celsius degree days: a difference, so no 32 is added."""
    return np.asarray(degree_days_c, dtype=float) * 1.8


@scalars_stay_scalars
def mm_per_m_from_inch_per_foot(water_in_per_ft: Numbers) -> npt.NDArray[Any]:
    """Return millimetres of water per metre of soil for inches of water per foot of soil."""
    return np.asarray(water_in_per_ft, dtype=float) * MM_PER_INCH / METRES_PER_FOOT


@scalars_stay_scalars
def kg_per_m2_from_pound_per_square_foot(yield_lb_per_ft2: Numbers) -> npt.NDArray[Any]:
    """Return kilograms per square metre for pounds per square foot."""
    return np.asarray(yield_lb_per_ft2, dtype=float) * KG_PER_POUND / METRES_PER_FOOT**2
