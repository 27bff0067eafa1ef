"""Cells as people write them, read as numbers, weights and dates: one at a time or arrays of them."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pandas as pd

from pipeline.intake.dates import read_date
from pipeline.intake.measures import read_weight
from pipeline.intake.numbers import Reading, read_number
from pipeline.intake.units import KG_PER_UNIT, WEIGHT_UNITS


def number(text: Any) -> tuple[Any, Any]:
    """Return the number in a cell and, where there is none, why not; arrays give two arrays."""
    return _apply(read_number, text)


def weight_kg(text: Any, unit: str | None = None) -> tuple[Any, Any]:
    """Return the weight in a cell in kilograms and, where there is none, why not; arrays give two arrays.

    `unit` (g, kg, oz, lb) is that of the column; a unit in the cell wins. Raises ValueError for a unit
    that is none of these.
    """
    if unit is not None and (unit := WEIGHT_UNITS.get(unit.casefold(), unit)) not in KG_PER_UNIT:
        raise ValueError(f"“{unit}” is not a unit of weight. Use g, kg, oz or lb.")

    def read(cell: str) -> Reading:
        found = read_weight(cell, unit)
        bare = found.value is not None and found.unit is None and unit is None and found.how != "two ways"
        return Reading(None, "unit unknown") if bare else found

    return _apply(read, text)


def date(text: Any, order: str = "mdy", season: Any = None) -> tuple[Any, Any]:
    """Return the day in a cell and, where there is none, why not; arrays give two arrays.

    `order` (mdy, dmy, ymd) settles a day that can be read in two ways, unless only one of them lies in
    `season`: its first and last day, or a list of such pairs.
    """
    seasons = [] if season is None else list(season)
    if seasons and not isinstance(seasons[0], (tuple, list)):
        seasons = [tuple(seasons)]
    return _apply(lambda cell: read_date(cell, order, seasons), text)


def _apply(read: Callable[[str], Any], text: Any) -> tuple[Any, Any]:
    if text is None or np.ndim(text) == 0:
        return _value_or_why(read, text)
    pairs = [_value_or_why(read, cell) for cell in text]
    values = np.array([pair[0] for pair in pairs], dtype=object)
    reasons = np.array([pair[1] for pair in pairs], dtype=object)
    only_numbers = all(isinstance(value, float) or value is None for value in values)
    return (values.astype(float) if only_numbers else values), reasons


def _value_or_why(read: Callable[[str], Any], cell: Any) -> tuple[Any, str | None]:
    found = read("" if pd.isna(cell) else str(cell))
    if found.how in ("plain", "read as"):
        return found.value, None
    return None, found.how
