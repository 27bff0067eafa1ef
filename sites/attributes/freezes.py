"""Last and first freeze of a year at each garden, where the record covers it."""

from dataclasses import replace
from typing import Any

import numpy as np
import pandas as pd

from sites.attributes.states import COMPLETE, DAYS_MISSING, NO_FREEZE
from sites.climate.freezes import freeze_dates, growing_year
from sites.climate.interpolation import Element, Interpolation, Places, element
from sites.climate.station_days import StationDays


def year_of(start: pd.Timestamp, southern: bool) -> int:
    """Return the growing year in which a season starts."""
    return int(start.year) - int(southern and start.month < 7)


def year_minima(record: StationDays, year: int, southern: bool, method: Interpolation) -> Element:
    """Return the minima of a growing year made ready to be carried to gardens, as the stations have them.

    Without height correction and trend: on clear nights cold air runs downhill, and a lapse rate would call
    the wrong frost. A garden in a hollow beats any average.
    """
    first, _, last = growing_year(year, southern)
    return element(record.window(first, last), "tmin_c", replace(method, lapse_tmin=0.0, trend=None))


def freezes_of_year(minima: Element, at: Places, split: np.datetime64) -> dict[str, Any]:
    """Return last_freeze, first_freeze (dates), freeze_free_days of gardens, and the dates' states."""
    found = freeze_dates(minima.at(at).value, minima.days.dates, split)
    both = ~(np.isnat(found.last_spring) | np.isnat(found.first_fall))
    free = (found.first_fall - found.last_spring).astype(float) - 1.0
    return {
        "last_freeze": found.last_spring.astype("datetime64[us]"),
        "last_freeze_state": _state(found.spring_state),
        "first_freeze": found.first_fall.astype("datetime64[us]"),
        "first_freeze_state": _state(found.fall_state),
        "freeze_free_days": np.where(both, free, np.nan),
    }


def _state(search: Any) -> Any:
    return np.select([search == "found", search == "none"], [COMPLETE, NO_FREEZE], DAYS_MISSING)
