"""How far a number can be trusted: shares of estimated days, and when a number is withheld."""

from typing import Any

import numpy as np
import numpy.typing as npt

#: Share of estimated days above which a number is marked.
MARKED_SHARE = 0.05

#: Share of estimated days above which a number is withheld (common practice, no source).
WITHHELD_SHARE = 0.20

#: Share of days without any temperature up to which a sum is filled with the mean of the other days; above it
#: the sum is refused (common practice, no source).
FILLED_SHARE = 0.05

COMPLETE = "complete"
MARKED = "some days estimated"
MANY_ESTIMATED = "withheld: over 20 % of days estimated"
DAYS_MISSING = "withheld: days missing"
NO_STATION = "withheld: no station near enough"
NO_PLACE = "withheld: no usable coordinates"
NOT_STARTED = "not yet started"
NO_FREEZE = "no freeze"

#: Every state that an attribute can be in. A number stands only beside the first two; "no freeze" is a
#: finding too.
STATES = (COMPLETE, MARKED, MANY_ESTIMATED, DAYS_MISSING, NO_STATION, NO_PLACE, NOT_STARTED, NO_FREEZE)


def state_of_days(
    days: npt.NDArray[Any],
    missing: npt.NDArray[Any],
    estimated: npt.NDArray[Any],
    missing_allowed: float,
) -> npt.NDArray[Any]:
    """Return the state of sums over days, from how many there are, are missing and are estimated, per garden.

    A day without a value counts as estimated where the sum may be filled.
    """
    count = np.maximum(days, 1)
    share = (estimated + missing) / count
    return np.select(
        [
            days == 0,
            missing == days,
            missing > missing_allowed * count,
            share > WITHHELD_SHARE,
            share > MARKED_SHARE,
        ],
        [NOT_STARTED, NO_STATION, DAYS_MISSING, MANY_ESTIMATED, MARKED],
        COMPLETE,
    )


def stands(state: npt.NDArray[Any]) -> npt.NDArray[np.bool_]:
    """Return where a number may stand: complete, or with some days estimated and marked."""
    return np.isin(state, [COMPLETE, MARKED])
