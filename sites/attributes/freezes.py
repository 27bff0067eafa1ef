"""Last and first freeze of a year at each garden, where the record covers it."""

from typing import Any

import numpy as np
import pandas as pd

from sites.attributes.states import COMPLETE, DAYS_MISSING, NO_FREEZE
from sites.climate.freezes import freeze_dates, growing_year
from sites.climate.interpolation import Interpolation, Places, carried
from sites.climate.station_days import StationDays


def year_of(start: pd.Timestamp, southern: bool) -> int:
    """Return the growing year in which a season starts."""
    return int(start.year) - int(southern and start.month < 7)


def freezes_of_year(
    record: StationDays, at: Places, year: int, southern: bool, method: Interpolation
) -> dict[str, Any]:
    """Return last_freeze, first_freeze (dates) and freeze_free_days of a growing year, with their states, per garden.

    Minima are averaged as the stations have them, without moving them to the garden's height: on clear nights
    cold air runs downhill, and a lapse rate would call the wrong frost. A garden in a hollow beats any
    average.
    """
    first, split, last = growing_year(year, southern)
    days = record.window(first, last)
    _, tmin = carried(days, "tmin_c", at, method, beside=(days.readings["tmin_c"],))
    found = freeze_dates(tmin, days.dates, split)
    spring, fall = _state(found.spring_state), _state(found.fall_state)
    both = ~(np.isnat(found.last_spring) | np.isnat(found.first_fall))
    free = (found.first_fall - found.last_spring).astype(float) - 1.0
    return {
        "last_freeze": found.last_spring.astype("datetime64[us]"),
        "last_freeze_state": spring,
        "first_freeze": found.first_fall.astype("datetime64[us]"),
        "first_freeze_state": fall,
        "freeze_free_days": np.where(both, free, np.nan),
    }


def _state(search: Any) -> Any:
    return np.select([search == "found", search == "none"], [COMPLETE, NO_FREEZE], DAYS_MISSING)
