"""The lines of a season: how the effect changes along the row of gardens, and along what is behind it."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from pipeline.response.answer import How
from pipeline.response.collinearity import TOGETHER
from pipeline.response.gradient import Gradient, gradient
from pipeline.response.meta_regression import FEWEST_DF
from sites.errors import InputError

#: The axis along which the gardens are strung.
ROW_AXIS = "position_km"

#: Columns of the attributes that a response may change along, in the order in which pages offer them. Weather
#: is of a fixed window and per day, since a sum that ends with the last harvest would itself be an outcome.
AXES: tuple[str, ...] = (
    ROW_AXIS,
    *("degree_days_c_per_day", "hot_days", "warm_nights", "rain_mm_per_day", "freeze_free_days"),
    *("elevation_m", "ph", "organic_matter_pct"),
)

#: A line needs two more gardens than it has coefficients before its error can be told.
FEWEST_FOR_A_LINE = 2 + FEWEST_DF


@dataclass(frozen=True)
class Line:
    """A line along one axis, and the other axes that its gardens' places go along with."""

    axis: str
    gradient: Gradient
    moves_with: tuple[str, ...]


def lines(effects: pd.DataFrame, place: pd.DataFrame, how: How, axes: tuple[str, ...]) -> list[Line]:
    """Return a line for every axis on which the gardens lie at enough different places.

    `effects` has site, effect and variance (all missing where no garden knows its error), one row per garden;
    `place` one column per axis, indexed by site. Gardens without a place on an axis are left out of its line.
    """
    known = [axis for axis in AXES if axis in place]
    at = place[known].astype("float64").reindex(effects["site"]).reset_index(drop=True)
    rows = effects.reset_index(drop=True)
    together = at.corr(min_periods=3).abs()
    found = []
    for axis in axes:
        line = _line(rows, at, axis, how) if axis in at else None
        if line is not None:
            others = together[axis].drop(axis)
            found.append(Line(axis, line, tuple(others.index[others >= TOGETHER])))
    return found


def _line(rows: pd.DataFrame, at: pd.DataFrame, axis: str, how: How) -> Gradient | None:
    usable = at[axis].notna().to_numpy() & rows["effect"].notna().to_numpy()
    variance = rows["variance"].to_numpy()[usable]
    options: dict[str, Any] = {"prediction": how.prediction, "level": how.level}
    try:
        return gradient(
            rows["effect"].to_numpy()[usable],
            None if np.isnan(variance).all() else variance,
            {axis: at[axis].to_numpy()[usable]},
            how.method,
            how.interval,
            gardens=rows["site"][usable].tolist(),
            **options,
        )
    except InputError:
        # Too few gardens on this axis, or all of them at one place: there is no line.
        return None
