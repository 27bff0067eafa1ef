"""How far a number can be trusted: shares of estimated days, and when a number is withheld."""

from typing import Any

import numpy as np
import numpy.typing as npt

from sites.climate.garden_weather import FAR_KM

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
FEW_YEARS = "withheld: too few years on record"

#: Every state that an attribute can be in. A number stands only beside the first two; "no freeze" is a
#: finding too.
STATES = (
    COMPLETE,
    MARKED,
    MANY_ESTIMATED,
    DAYS_MISSING,
    NO_STATION,
    NO_PLACE,
    NOT_STARTED,
    NO_FREEZE,
    FEW_YEARS,
)


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


#: What a reader is told of the states that need a word.
_TOLD = {
    NO_PLACE: "missing: the garden's coordinates cannot be used",
    NO_STATION: "missing: no station near enough",
    DAYS_MISSING: "withheld: days missing",
    MANY_ESTIMATED: "withheld: over 20 % of days estimated",
    NOT_STARTED: "not yet: the season has not started",
    MARKED: "partly estimated",
}


def weather_note(
    temperature: npt.NDArray[Any],
    rain: npt.NDArray[Any],
    nearest_km: npt.NDArray[np.float64],
    far: npt.NDArray[Any],
) -> list[str]:
    """Return for each garden what a reader should know of its weather, blank where there is nothing to say.

    Takes the states of temperature and rain, the distance to the nearest station and whether that is marked
    far.
    """
    return [_note(*garden) for garden in zip(temperature, rain, nearest_km, far, strict=True)]


def _note(temperature: str, rain: str, nearest_km: float, far: bool) -> str:
    told = {"weather": temperature} if temperature == rain else {"temperature": temperature, "rain": rain}
    parts = [f"{name} {_TOLD[state]}" for name, state in told.items() if state in _TOLD]
    if far and not {COMPLETE, MARKED}.isdisjoint((temperature, rain)):
        where = f"{nearest_km:.0f} km away" if nearest_km > FAR_KM else "much higher or lower"
        parts.append(f"nearest station {where}")
    return "; ".join(parts)


def stands(state: npt.NDArray[Any]) -> npt.NDArray[np.bool_]:
    """Return where a number may stand: complete, or with some days estimated and marked."""
    return np.isin(state, [COMPLETE, MARKED])
