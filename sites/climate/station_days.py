"""Station records as dense arrays: one row for each station, one column for each day."""

import datetime
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np
import numpy.typing as npt
import pandas as pd

from sites.climate.records import ELEMENTS
from sites.errors import InputError

Floats = npt.NDArray[np.float64]

#: A day as a person or a library gives it.
Day: TypeAlias = str | pd.Timestamp | np.datetime64 | datetime.date

#: Days after its last value for which a station still counts as in service: daily records arrive and are
#: revised for 45 to 60 days (common practice, no source).
LATE_DAYS = 45


@dataclass(frozen=True)
class StationDays:
    """Daily values of stations over a span of days.

    `stations` has one row for each of S stations, `dates` the D days, `values` an (S, D) array for each of
    tmax_c, tmin_c and prcp_mm, missing where the station reported nothing usable. `served_from` and
    `served_to` give, for each column, the day numbers of a station's first and last value in the whole
    record.
    """

    stations: pd.DataFrame
    dates: npt.NDArray[np.datetime64]
    readings: dict[str, Floats]
    served_from: dict[str, Floats]
    served_to: dict[str, Floats]

    def window(self, start: Day, end: Day) -> "StationDays":
        """Return the days from start to end, both included; days outside the record are missing."""
        first, last = day_number(start), day_number(end)
        if last < first:
            raise InputError(
                f"The window from {start} to {end} ends before it starts. Give the earlier day first."
            )
        have = int(self.dates[0].astype(int)) if len(self.dates) else first
        source = np.arange(max(first, have), min(last + 1, have + len(self.dates)))
        readings = {}
        for column, known in self.readings.items():
            readings[column] = np.full((len(self.stations), last - first + 1), np.nan)
            readings[column][:, source - first] = known[:, source - have]
        dates = np.arange(first, last + 1).astype("datetime64[D]")
        return replace(self, dates=dates, readings=readings)

    def in_service(self, column: str) -> npt.NDArray[np.bool_]:
        """Return which stations are in service for a column at some time of these days.

        A station is in service from its first value to 45 days after its last, whether it reports or not.
        """
        days = self.dates.astype(int)
        return (self.served_from[column] <= days[-1]) & (self.served_to[column] + LATE_DAYS >= days[0])


def station_days(stations: pd.DataFrame, daily: pd.DataFrame) -> StationDays:
    """Return the whole daily table as dense arrays over the listed stations.

    Stations of the table that are not listed have no known place and are not used; leaving a station out of
    the list is thus the way to leave it out of an estimate. A temperature at a station of unknown elevation
    cannot be moved to another height and is missing.
    """
    listed = stations.reset_index(drop=True)
    station = daily["station"].astype("category")
    row = pd.Index(listed["station"]).get_indexer(station.cat.categories)[station.cat.codes.to_numpy()]
    known = row >= 0
    day = daily["date"].to_numpy().astype("datetime64[D]").astype(int)[known]
    first = int(day.min()) if len(day) else 0
    dates = (np.arange(day.max() - first + 1) + first if len(day) else np.arange(0)).astype("datetime64[D]")
    readings, served_from, served_to = {}, {}, {}
    heightless = listed["elevation_m"].isna().to_numpy()
    for column in ELEMENTS.values():
        dense = np.full((len(listed), len(dates)), np.nan)
        dense[row[known], day - first] = daily[column].to_numpy(dtype=float)[known]
        if column != "prcp_mm":
            dense[heightless] = np.nan
        readings[column] = dense
        served_from[column], served_to[column] = _service(dense, first)
    return StationDays(listed, dates, readings, served_from, served_to)


def day_number(day: Day) -> int:
    """Return the days since 1970-01-01; raises InputError where a day is missing or none."""
    stamp = pd.Timestamp(day)
    if pd.isna(stamp):
        raise InputError("A day is missing. Give it as 2026-07-15.")
    return int(np.datetime64(stamp, "D").astype(int))


def _service(dense: Floats, first: int) -> tuple[Floats, Floats]:
    """Return day numbers of each station's first and last value; inf and -inf where it has none."""
    reports = ~np.isnan(dense)
    some = reports.any(axis=1)
    served_from, served_to = np.full(len(dense), np.inf), np.full(len(dense), -np.inf)
    if not some.any():
        return served_from, served_to
    served_from[some] = first + reports[some].argmax(axis=1)
    served_to[some] = first + dense.shape[1] - 1 - reports[some][:, ::-1].argmax(axis=1)
    return served_from, served_to
