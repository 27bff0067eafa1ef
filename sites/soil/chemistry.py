"""Acidity classes and organic matter."""

from typing import Any

import numpy as np
import numpy.typing as npt

from sites.errors import InputError
from sites.scalars import Numbers, scalars_stay_scalars

#: Reaction classes with the highest pH of each, to one decimal, in 1:1 water (Soil Survey Manual, USDA
#: Handbook 18).
PH_CLASSES = (
    ("ultra acid", 3.4),
    ("extremely acid", 4.4),
    ("very strongly acid", 5.0),
    ("strongly acid", 5.5),
    ("moderately acid", 6.0),
    ("slightly acid", 6.5),
    ("neutral", 7.3),
    ("slightly alkaline", 7.8),
    ("moderately alkaline", 8.4),
    ("strongly alkaline", 9.0),
    ("very strongly alkaline", 14.0),
)

#: Organic matter per organic carbon: 1.724 assumes 58 % carbon (van Bemmelen). Pribyl 2010 (Geoderma
#: 156:75-83) finds medians of 1.9 to 2 and calls 1.724 too low for most soils, so the factor is told with the
#: number.
VAN_BEMMELEN = 1.724


@scalars_stay_scalars
def ph_class(ph: Numbers) -> npt.NDArray[Any]:
    """Return the Soil Survey Manual's class of a pH measured in water, lower case; None where it is missing.

    pH is rounded to one decimal first. A pH in calcium chloride reads half a unit to a unit lower and has no
    class here. Raises InputError outside 0 to 14.
    """
    value = np.asarray(ph, dtype=float)
    missing = np.isnan(value)
    wrong = ~missing & ((value < 0.0) | (value > 14.0))
    if wrong.any():
        raise InputError(
            f"A pH of {value[wrong].ravel()[0]:g} cannot be: it lies between 0 and 14. Look again."
        )
    tenths = np.floor(np.nan_to_num(value) * 10.0 + 0.5 + 1e-9).astype(int)
    names = np.array([*(name for name, _ in PH_CLASSES), None], dtype=object)
    highest = np.array([round(limit * 10) for _, limit in PH_CLASSES])
    return names[np.where(missing, len(PH_CLASSES), np.searchsorted(highest, tenths))]


@scalars_stay_scalars
def organic_matter_from_carbon(organic_carbon_pct: Numbers, factor: float = VAN_BEMMELEN) -> npt.NDArray[Any]:
    """Return organic matter, %, from organic carbon, %.

    Not for loss on ignition, which already is organic matter.
    """
    return np.asarray(organic_carbon_pct, dtype=float) * factor
