"""The days over which a season's weather is summed, for each garden."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from sites.climate.station_days import Day, day_number
from sites.errors import InputError

#: Columns that a table of seasons must have.
REQUIRED = ("season", "trial", "crop", "start", "end")


@dataclass(frozen=True)
class Window:
    """First and last day of a season (days since 1970), and the first day of each of G gardens in it."""

    first: int
    last: int
    starts: npt.NDArray[np.int64]

    @property
    def dates(self) -> npt.NDArray[np.datetime64]:
        """Return the days from the earliest start to the end."""
        return np.arange(self.first, self.last + 1).astype("datetime64[D]")

    @property
    def length(self) -> npt.NDArray[np.int64]:
        """Return the days of each garden's own window, 0 where it has not started."""
        return np.maximum(self.last + 1 - self.starts, 0)

    def active(self, chosen: slice | npt.NDArray[Any]) -> npt.NDArray[np.bool_] | None:
        """Return which days count for some gardens, (G, D); None where all do."""
        starts = self.starts[chosen]
        if (starts == self.first).all():
            return None
        return np.arange(self.first, self.last + 1) >= starts[:, None]


def checked_seasons(seasons: pd.DataFrame) -> pd.DataFrame:
    """Return the seasons with their columns named and dated; `close` is taken for `end`.

    Raises InputError where a column is missing, a day is none, or a season ends before it starts.
    """
    table = seasons.reset_index(drop=True)
    if "end" not in table and "close" in table:
        table = table.rename(columns={"close": "end"})
    absent = [column for column in REQUIRED if column not in table]
    if absent:
        raise InputError(
            f"The table of seasons has no column {', '.join(absent)}. It needs {', '.join(REQUIRED)}."
        )
    for column in ("start", "end"):
        table[column] = pd.to_datetime(table[column], errors="coerce")
    undated = table[["start", "end"]].isna().any(axis=1) | (table["end"] < table["start"])
    if undated.any():
        row = table[undated].iloc[0]
        raise InputError(
            f"Season {row['season']} of trial {row['trial']} has no start and end in order. Give two dates."
        )
    return table


def season_windows(
    seasons: pd.DataFrame,
    sites: pd.Index,
    plantings: pd.DataFrame | None = None,
    today: Day | None = None,
) -> list[Window]:
    """Return the window of each season: from planting, else the season's start, to its end, cut at today.

    A window never ends with the last harvest, which would itself be an outcome of the trial. `plantings` has
    site, season, trial and planted_on; the earliest planting of a garden counts, and none before the season's
    start.
    """
    return [_window(season, sites, plantings, today) for _, season in seasons.iterrows()]


def _window(season: pd.Series, sites: pd.Index, plantings: pd.DataFrame | None, today: Day | None) -> Window:
    start, last = day_number(season["start"]), day_number(season["end"])
    if today is not None:
        last = min(last, day_number(today))
    starts = np.full(len(sites), start)
    if plantings is not None:
        own = plantings[(plantings["season"] == season["season"]) & (plantings["trial"] == season["trial"])]
        planted = pd.to_datetime(own["planted_on"]).groupby(own["site"]).min().reindex(sites)
        days = planted.to_numpy().astype("datetime64[D]").astype(int)
        starts = np.where(planted.notna(), np.maximum(days, start), start)
    first = int(min(starts.min(initial=last + 1), last + 1))
    return Window(first, last, starts)
