"""Where along the axis one more garden would make the slope surest."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike, NDArray

from pipeline.response.known_numbers import known
from sites.errors import InputError

FloatArray = NDArray[np.float64]

#: Weighted spreads below this share of the positions' size are one place but for rounding.
ONE_PLACE = 1e-12


@dataclass(frozen=True)
class NextGarden:
    """The standard error of the slope now, and with one more garden at each allowed position.

    `options` has position_km, slope_se, narrower_pct (how much smaller than now; nan where there is no slope
    yet) and beyond (outside the gardens there are, where no neighbour checks the line). `best_km` is the
    first position with the smallest slope_se. A straight line is surest from its ends; a garden in the middle
    tells whether it is straight.
    """

    slope_se: float
    best_km: float
    options: pd.DataFrame

    def to_json(self) -> dict[str, Any]:
        """Return plain values; what is not known is None."""
        options = [
            {
                "position_km": row.position_km,
                "slope_se": known(row.slope_se),
                "narrower_pct": known(row.narrower_pct),
                "beyond": row.beyond,
            }
            for row in self.options.itertuples()
        ]
        return {"slope_se": known(self.slope_se), "best_km": self.best_km, "options": options}


def slope_se(position_km: ArrayLike, variance: ArrayLike, tau2: float) -> float:
    """Return the standard error, per km, of the slope of effects on position, weights 1/(variance + tau2).

    Infinite where all gardens are at one place.
    """
    at, weight = _weighted(position_km, variance, tau2)
    return float(_slope_se(weight.sum(), weight @ at, weight @ at**2))


def next_garden(
    position_km: ArrayLike,
    variance: ArrayLike,
    tau2: float,
    allowed_km: ArrayLike,
    new_variance: float | None = None,
) -> NextGarden:
    """Return what one more garden at each of `allowed_km` does to the slope's standard error.

    `position_km` and `variance` (gardens,) are those of the gardens there are, `tau2` the variance between
    gardens around the line; the new garden's variance is `new_variance`, else the median of theirs. Raises
    InputError for a missing or negative number, no garden, or no allowed position.
    """
    at, weight = _weighted(position_km, variance, tau2)
    allowed = np.unique(np.asarray(allowed_km, dtype=np.float64))
    added = float(np.median(np.asarray(variance))) if new_variance is None else new_variance
    if allowed.size == 0 or not np.isfinite(allowed).all() or not added + tau2 > 0:
        raise InputError(
            "Give at least one allowed position in km, and a variance above 0 for the new garden."
        )
    centre = float(at.mean())
    shifted, candidate = at - centre, allowed - centre
    own = 1.0 / (added + tau2)
    after = _slope_se(
        weight.sum() + own, weight @ shifted + own * candidate, weight @ shifted**2 + own * candidate**2
    )
    now = slope_se(at, variance, tau2)
    options = pd.DataFrame(
        {
            "position_km": allowed,
            "slope_se": after,
            "narrower_pct": 100.0 * (1.0 - after / now) if np.isfinite(now) else np.nan,
            "beyond": (allowed < at.min()) | (allowed > at.max()),
        }
    )
    return NextGarden(now, float(allowed[np.argmin(after)]), options)


def _weighted(position_km: ArrayLike, variance: ArrayLike, tau2: float) -> tuple[FloatArray, FloatArray]:
    at = np.atleast_1d(np.asarray(position_km, dtype=np.float64))
    spread = np.broadcast_to(np.asarray(variance, dtype=np.float64), at.shape) + tau2
    if at.size == 0 or not (np.isfinite(at).all() and np.all(spread > 0) and np.isfinite(spread).all()):
        raise InputError("Every garden needs its position in km, and a variance or a tau2 above 0.")
    return at, 1.0 / spread


def _slope_se(total: ArrayLike, first: ArrayLike, second: ArrayLike) -> FloatArray:
    """Return the slope's standard error from sums of weights, weights x position and weights x position^2."""
    weight, moment, square = (np.asarray(value, dtype=np.float64) for value in (total, first, second))
    spread = square - moment**2 / weight
    known_spread = spread > ONE_PLACE * np.maximum(square, np.finfo(np.float64).tiny)
    return np.where(known_spread, 1.0 / np.sqrt(np.where(known_spread, spread, 1.0)), np.inf)
