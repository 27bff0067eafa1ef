"""What a garden should hear of its season, as data: a code, a number, dates. The words come elsewhere.

Nothing here is a forecast: every note rests on what was measured, or on how often something happened in past
years. A county's and a garden's own rules come before every note, and `LOCAL_RULES_FIRST` goes with each.
"""

from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
import numpy.typing as npt
import pandas as pd

from sites.attributes.weather import crop_limits
from sites.climate.freeze_risk import date_of_day
from sites.climate.heat import afternoon_heat_index_f
from sites.climate.station_days import Floats
from sites.scalars import Numbers, scalars_stay_scalars

#: Columns of every table of notes. `number` has the unit of the code; dates are missing where a note has
#: none.
NOTE_COLUMNS = ("site", "code", "number", "from_date", "to_date", "defer")

#: What goes with every note: the rules of the county, the health department and the garden come first.
LOCAL_RULES_FIRST = "local-rules-first"

#: Days over which transplants are got used to wind and sun before they are set out (4 to 7; from memory).
HARDENING_DAYS = 7

#: Days before the first ripe fruit at which its flower set, and the days before that which count (40 to 50
#: days from flower to ripe fruit; common practice, no source).
FLOWERING_TO_HARVEST_DAYS = 45
FLOWERING_DAYS = 14

#: Mean air temperature, °C, over SOIL_DAYS days from which soil counts as warm enough for tender transplants:
#: 60 °F (common practice, no source).
WARM_SOIL_C = 15.6

#: Days over which air temperature is averaged to stand for that of the upper soil (Zheng, Hunt & Running
#: 1993, Climate Research 2:183-191, from memory).
SOIL_DAYS = 11

#: Nights after planting in which cold checks tender transplants, the minimum, °C, below which a night counts,
#: and how many are worth a note (common practice, no source).
CHILL_DAYS = 14
CHILL_C = 10.0
CHILL_NIGHTS = 3

#: Days from a flood to the harvest of parts that formed after it: 90 where they do not touch the soil
#: (Nebraska Extension), 120 where they do (the raw-manure interval of 7 CFR 205.203, as Iowa State Extension
#: applies it).
FLOOD_WAIT_DAYS = {"off the soil": 90, "on the soil": 120}

#: Heat index, °F, from which each band begins (National Weather Service; one of its offices uses 105 and 130
#: for the last two, so a network may set its own).
HEAT_BANDS = (
    (80.0, "caution"),
    (90.0, "extreme caution"),
    (103.0, "danger"),
    (125.0, "extreme danger"),
)

#: Total lead in soil, mg per kg, from which each band begins. 200 is the screening level and 600 the
#: removal-management level of the U.S. EPA (directives of January 2024 and October 2025), 100 where other
#: sources of lead are near; they trigger a closer look and are no limits of what is safe to eat. Some states
#: are stricter: a network may set its own.
LEAD_BANDS = (
    (0.0, "no text"),
    (100.0, "good practice"),
    (200.0, "above screening"),
    (600.0, "above removal"),
)


@dataclass(frozen=True)
class GardenDays:
    """Daily temperatures at G gardens on D days, (G, D) in °C; missing where no station could tell."""

    sites: pd.Series
    dates: npt.NDArray[np.datetime64]
    tmax_c: Floats
    tmin_c: Floats

    def between(self, start: Any, end: Any) -> npt.NDArray[np.bool_]:
        """Return which days (G, D) lie from each garden's start to its end; none where one is missing."""
        first, last = (pd.to_datetime(pd.Series(list(each))).to_numpy() for each in (start, end))
        days = self.dates.astype("datetime64[us]")
        return np.asarray((days >= first[:, None]) & (days <= last[:, None]))


def transplanting_notes(sites: pd.Series, risk: pd.DataFrame, year: int) -> pd.DataFrame:
    """Return when it is safe to set out tender plants, from the freeze dates of past years.

    `risk` has last_spring_50 and last_spring_10 (days of a 365-day year) in the order of `sites`, as
    sites.climate.freeze_risk_at gives them. Two notes for each garden: "freeze-even-odds" and
    "freeze-one-in-ten": from `from_date` on a freeze still came in five and in one of ten years (`number`:
    percent). Gardens without twenty years of freeze dates near them get none.
    """
    parts = []
    for percent, code in ((50, "freeze-even-odds"), (10, "freeze-one-in-ten")):
        day = risk[f"last_spring_{percent}"].to_numpy(float)
        known = ~np.isnan(day)
        dates = [date_of_day(each, year) for each in day[known]]
        parts.append(_notes(sites.to_numpy()[known], code, percent, from_date=dates))
    return pd.concat(parts, ignore_index=True)


def hardening_notes(sites: pd.Series, planting: pd.Series, days: int = HARDENING_DAYS) -> pd.DataFrame:
    """Return from when to harden off transplants: `number` days before each planting date that is known."""
    known = planting.notna().to_numpy()
    to_date = pd.to_datetime(planting[known])
    return _notes(
        sites.to_numpy()[known],
        "harden-off",
        days,
        from_date=to_date - pd.Timedelta(days=days),
        to_date=to_date,
    )


def warm_soil_notes(
    days: GardenDays, warm_c: float = WARM_SOIL_C, over_days: int = SOIL_DAYS
) -> pd.DataFrame:
    """Return when the soil of each garden became warm enough for tender plants: "soil-warm".

    `days` start at the year's beginning. `from_date` is the first day to which the mean air temperature of
    the eleven days before came to `warm_c` (`number`, °C). Gardens where that has not happened get none.
    """
    mean = (days.tmax_c + days.tmin_c) / 2.0
    if mean.shape[1] < over_days:
        return _notes([], "", 0)
    running = np.lib.stride_tricks.sliding_window_view(mean, over_days, axis=1).mean(axis=2)
    warm = running >= warm_c
    some = warm.any(axis=1)
    first = days.dates[over_days - 1 :][warm.argmax(axis=1)]
    return _notes(days.sites[some], "soil-warm", warm_c, from_date=first[some])


def chill_notes(days: GardenDays, planted: pd.Series) -> pd.DataFrame:
    """Return where the nights after planting were cold for tender plants: "chill-after-planting".

    `planted` is in the order of the gardens. `number` counts nights below 10 °C in the 14 days after it.
    """
    start = pd.to_datetime(planted)
    end = start + pd.Timedelta(days=CHILL_DAYS)
    counts = (days.between(start, end) & (days.tmin_c < CHILL_C)).sum(axis=1)
    return _counted_notes(days.sites, "chill-after-planting", counts, start, end, least=CHILL_NIGHTS)


def fruit_set_notes(days: GardenDays, crop: pd.Series, first_harvest: pd.Series) -> pd.DataFrame:
    """Return how often heat or cold hindered the flowers that the first fruit came from.

    `first_harvest` is in the order of the gardens. The window is the 14 days that end 45 days before it.
    Codes: "flowers-warm-nights" and "flowers-hot-days" (above the lower edge of the crop's band), "-severe"
    after either for the upper edge, and "flowers-cold-nights"; `number` is a count of days. Sources differ,
    so both edges of a band are told where they differ. Counts of zero make no note, and neither do days
    without weather.
    """
    end = pd.to_datetime(first_harvest) - pd.Timedelta(days=FLOWERING_TO_HARVEST_DAYS)
    start = end - pd.Timedelta(days=FLOWERING_DAYS - 1)
    flowering = days.between(start, end)
    limits, _ = crop_limits(crop)
    harmful = {
        "flowers-warm-nights": days.tmin_c > limits["night_warm_low_c"],
        "flowers-warm-nights-severe": days.tmin_c > limits["night_warm_high_c"],
        "flowers-hot-days": days.tmax_c > limits["day_hot_low_c"],
        "flowers-hot-days-severe": days.tmax_c > limits["day_hot_high_c"],
        "flowers-cold-nights": days.tmin_c < limits["night_cold_c"],
    }
    if limits["night_warm_low_c"] == limits["night_warm_high_c"]:
        del harmful["flowers-warm-nights-severe"]
    if limits["day_hot_low_c"] == limits["day_hot_high_c"]:
        del harmful["flowers-hot-days-severe"]
    return pd.concat(
        [
            _counted_notes(days.sites, code, (flowering & each).sum(axis=1), start, end)
            for code, each in harmful.items()
        ],
        ignore_index=True,
    )


def flood_note(
    site: str,
    flooded_on: Any,
    edible_part: Literal["off the soil", "on the soil"],
    formed: Literal["before", "after"],
) -> pd.DataFrame:
    """Return what a flood means for a harvest: "flood-discard", or "flood-wait" with the first harvest day.

    Floodwater on the part that is eaten cannot be washed off: what had formed before the flood is discarded
    (FDA). What forms after it waits 90 days, or 120 where it touches the soil (`number`). Pooled rain is no
    flood, and a food pantry's own rules win.
    """
    flood = pd.Timestamp(flooded_on)
    if formed == "before":
        return _notes([site], "flood-discard", 0, from_date=[flood])
    wait = FLOOD_WAIT_DAYS[edible_part]
    return _notes([site], "flood-wait", wait, from_date=[flood + pd.Timedelta(days=wait)])


@scalars_stay_scalars
def heat_band(index_f: Numbers, bands: tuple[tuple[float, str], ...] = HEAT_BANDS) -> npt.NDArray[Any]:
    """Return the band of a heat index, °F: "none" below the first, missing indices too."""
    return _band(index_f, ((-np.inf, "none"), *bands))


def heat_notes(days: GardenDays, bands: tuple[tuple[float, str], ...] = HEAT_BANDS) -> pd.DataFrame:
    """Return the hottest of past days at each garden that reached a band: "heat-caution" and so on, in °F.

    Humidity is taken from the minimum, so the index is that of still shade and may be some °F off; full sun
    adds up to 15 °F.
    """
    index_f = np.asarray(afternoon_heat_index_f(days.tmax_c, days.tmin_c))
    if not index_f.size:
        return _notes([], "", 0)
    at = np.nan_to_num(index_f, nan=-np.inf).argmax(axis=1)
    hottest = np.take_along_axis(index_f, at[:, None], axis=1)[:, 0]
    band = np.asarray(heat_band(hottest, bands))
    reached = band != "none"
    notes = _notes(days.sites[reached], "", 0, from_date=days.dates[at[reached]])
    codes = [f"heat-{name.replace(' ', '-')}" for name in band[reached]]
    return notes.assign(code=pd.Series(codes, dtype="str"), number=np.round(hottest[reached]))


@scalars_stay_scalars
def lead_band(lead_mg_per_kg: Numbers, bands: tuple[tuple[float, str], ...] = LEAD_BANDS) -> npt.NDArray[Any]:
    """Return the band of total lead: "no text", "good practice", "above screening" or "above removal".

    A level itself belongs to the band that begins there, which is the careful side. No band says that a soil
    is safe; missing gives "no text".
    """
    return _band(lead_mg_per_kg, bands)


def lead_notes(tests: pd.DataFrame, bands: tuple[tuple[float, str], ...] = LEAD_BANDS) -> pd.DataFrame:
    """Return a note on each garden's highest lead, mg/kg, in its newest test: "lead-good-practice" and so on.

    `tests` has site, date and lead_ppm. Bands without text make no note.
    """
    known = tests.dropna(subset=["lead_ppm", "date"]).assign(date=lambda each: pd.to_datetime(each["date"]))
    newest = known[known["date"] == known.groupby("site")["date"].transform("max")]
    highest = newest.groupby("site", as_index=False).agg(lead_ppm=("lead_ppm", "max"), date=("date", "max"))
    band = np.asarray(lead_band(highest["lead_ppm"], bands))
    told = band != bands[0][1]
    notes = _notes(highest["site"].to_numpy()[told], "", 0, from_date=highest["date"].to_numpy()[told])
    codes = [f"lead-{name.replace(' ', '-')}" for name in band[told]]
    return notes.assign(code=pd.Series(codes, dtype="str"), number=highest["lead_ppm"].to_numpy()[told])


def _band(values: Numbers, bands: tuple[tuple[float, str], ...]) -> npt.NDArray[Any]:
    """Return the name of the last band that begins at or below each value, the first for a missing one."""
    number = np.nan_to_num(np.asarray(values, dtype=float), nan=-np.inf)
    starts = np.array([start for start, _ in bands])
    position = np.searchsorted(starts, number, side="right") - 1
    return np.array([name for _, name in bands], dtype=object)[np.maximum(position, 0)]


def _notes(sites: Any, code: str, number: float, from_date: Any = None, to_date: Any = None) -> pd.DataFrame:
    count = len(sites)
    nothing = [pd.NaT] * count
    return pd.DataFrame(
        {
            "site": pd.Series(list(sites), dtype="str"),
            "code": pd.Series([code] * count, dtype="str"),
            "number": np.full(count, float(number)),
            "from_date": _dates(nothing if from_date is None else from_date),
            "to_date": _dates(nothing if to_date is None else to_date),
            "defer": pd.Series([LOCAL_RULES_FIRST] * count, dtype="str"),
        },
        columns=list(NOTE_COLUMNS),
    )


def _counted_notes(
    sites: pd.Series, code: str, counts: npt.NDArray[Any], start: pd.Series, end: pd.Series, least: int = 1
) -> pd.DataFrame:
    """Return a note with the count of days for each garden that has at least so many."""
    told = counts >= least
    notes = _notes(sites[told], code, 0, from_date=start[told], to_date=end[told])
    return notes.assign(number=counts[told].astype(float))


def _dates(dates: Any) -> pd.Series:
    return pd.Series(pd.to_datetime(list(dates))).astype("datetime64[us]")
