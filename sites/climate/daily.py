"""The daily table: one row for each station and day, every value under the day it belongs to."""

from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from sites.climate.records import ELEMENTS, Paths, read_values

#: Readings before this hour (HHMM) report the day before in their maximum and rain. A cooperative observer
#: who reads at 07:00 sees yesterday afternoon's maximum and mostly yesterday's rain, but this dawn's minimum
#: (time-of-observation literature, from memory). Around noon it is nobody's guess, so noon itself is not
#: moved.
MORNING_ENDS = 1200

#: Elements that a morning reading reports for the day before.
MOVED_BY_A_MORNING_READING = ("TMAX", "PRCP")


def read_daily(paths: Paths) -> pd.DataFrame:
    """Return the daily table of some weather files; `read_values` says which layouts are known."""
    return daily_table(read_values(paths))


def daily_table(values: pd.DataFrame) -> pd.DataFrame:
    """Return one row for each station and day of reported values.

    Columns: station (category), date, tmax_c, tmin_c, prcp_mm (missing where nothing usable was reported),
    prcp_trace (rain too little to measure: 0 mm, and not dry) and set_aside (values of that day that their
    quality flag excludes). Rows are ordered by station and date.

    Values with a quality flag are not used. Totals of several days (MDPR) are no day's rain. Maximum and rain
    of a morning reading go to the day before, so that a day means the same at every station; where a station
    changed its hour and two readings claim a day, the one that was not moved counts. Of two equal keys the
    later file counts.
    """
    element = values["element"].astype("str").to_numpy()
    moved = _is_morning(values["observed_at"]) & np.isin(element, MOVED_BY_A_MORNING_READING)
    day = values["date"].to_numpy().astype("datetime64[D]").astype(int) - moved
    station = values["station"].cat.codes.to_numpy().astype(int)
    wanted = np.isin(element, list(ELEMENTS))
    first = day[wanted].min(initial=0)
    span = day[wanted].max(initial=0) - first + 1
    keys, row = np.unique(station[wanted] * span + day[wanted] - first, return_inverse=True)

    element, moved, values = element[wanted], moved[wanted], values[wanted]
    value = values["value"].to_numpy()
    flagged = (values["quality_flag"] != "").to_numpy()
    usable = ~flagged & ~np.isnan(value)
    columns: dict[str, npt.NDArray[Any]] = {}
    for name, column in ELEMENTS.items():
        columns[column] = np.full(len(keys), np.nan)
        for chosen in (moved, ~moved):
            those = usable & chosen & (element == name)
            columns[column][row[those]] = value[those]
    traces = row[usable & values["trace"].to_numpy() & (element == "PRCP")]
    return pd.DataFrame(
        {
            "station": pd.Categorical.from_codes(keys // span, dtype=values["station"].dtype),
            "date": (keys % span + first).astype("datetime64[D]").astype("datetime64[us]"),
            **columns,
            "prcp_trace": (np.bincount(traces, minlength=len(keys)) > 0) & (columns["prcp_mm"] == 0),
            "set_aside": np.bincount(row[flagged], minlength=len(keys)),
        }
    )


def _is_morning(observed_at: pd.Series) -> npt.NDArray[Any]:
    """Return whether each reading was made between midnight and noon; midnight itself ends its own day."""
    hours = pd.to_numeric(observed_at.cat.categories.to_series(), errors="coerce").to_numpy()
    return ((hours > 0) & (hours < MORNING_ENDS))[observed_at.cat.codes.to_numpy()]
