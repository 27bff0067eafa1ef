"""Station records written back in the open GHCN-Daily layouts, and joined with what came in since."""

from typing import NamedTuple

import numpy as np
import pandas as pd

from sites.climate.records import MISSING_VALUE, STORED_PER_UNIT
from sites.errors import InputError

#: Columns of the by-station layout with a header line (GHCN-Daily readme for by_station).
HEADER = "ID,DATE,ELEMENT,DATA_VALUE,M_FLAG,Q_FLAG,S_FLAG,OBS_TIME"

#: Days at the end of what comes in that are read again as a whole: values of these days that are held and
#: came no more are withdrawn, since daily records are revised for 45 to 60 days (common practice, no source).
READ_AGAIN_DAYS = 60

#: Longest identifier that the fixed-width station list has room for (GHCN-Daily readme, section IV).
LONGEST_STATION = 11

#: What ghcnd-stations.txt writes where it knows no elevation.
_NO_ELEVATION = -999.9

_KEY = ["station", "date", "element"]
_SAYS = ["value", "trace", "quality_flag", "observed_at"]


class Joined(NamedTuple):
    """A record with what came in, and how many of its values are new, changed and withdrawn."""

    record: pd.DataFrame
    new: int
    changed: int
    withdrawn: int


def joined(held: pd.DataFrame, incoming: pd.DataFrame, again_days: int = READ_AGAIN_DAYS) -> Joined:
    """Return a held record with the values that came in; both are as `read_values` gives them.

    What came in stands for itself: it replaces held values of the same station, day and element. Over its
    last `again_days` days, held values of its stations and elements that it lacks are withdrawn.
    """
    plain = [each.astype(dict.fromkeys([*_KEY[::2], *_SAYS[2:]], "str")) for each in (held, incoming)]
    before, after = (each.drop_duplicates(_KEY, keep="last").set_index(_KEY) for each in plain)
    both = after.index.intersection(before.index)
    differs = (
        before.loc[both, _SAYS].fillna(MISSING_VALUE) != after.loc[both, _SAYS].fillna(MISSING_VALUE)
    ).any(axis=1)
    kept = before.drop(both)
    gone = _withdrawn(kept.index, after, again_days)
    whole = pd.concat([kept[~gone], after]).reset_index().sort_values(_KEY, ignore_index=True)
    return Joined(whole, len(after) - len(both), int(differs.sum()), int(gone.sum()))


def _withdrawn(kept: pd.MultiIndex, after: pd.DataFrame, again_days: int) -> np.ndarray:
    """Return which held values lie in the last days of what came in for their station and element."""
    days = after.reset_index().groupby(["station", "element"])["date"].agg(["min", "max"])
    since = np.maximum(days["min"], days["max"] - pd.Timedelta(days=again_days))
    own = kept.droplevel("date")
    first, last = (each.reindex(own).to_numpy() for each in (since, days["max"]))
    date = kept.get_level_values("date").to_numpy()
    return np.asarray((date >= first) & (date <= last))


def by_station_text(values: pd.DataFrame) -> str:
    """Return a record as the text of a by-station file: tenths of °C and mm, -9999 where missing."""
    days = (values["element"] == "DAPR").to_numpy()
    number = values["value"].to_numpy(dtype=float)
    stored = np.rint(np.where(days, number, number * STORED_PER_UNIT))
    stored = np.where(np.isnan(stored), MISSING_VALUE, stored).astype(int)
    table = pd.DataFrame(
        {
            "station": values["station"].astype("str"),
            "date": values["date"].dt.strftime("%Y%m%d"),
            "element": values["element"].astype("str"),
            "stored": stored,
            "measurement_flag": np.where(values["trace"], "T", ""),
            "quality_flag": values["quality_flag"].astype("str"),
            "source_flag": "",
            "observed_at": values["observed_at"].astype("str"),
        }
    )
    return f"{HEADER}\n{table.to_csv(index=False, header=False, lineterminator=chr(10))}"


def stations_text(stations: pd.DataFrame) -> str:
    """Return a station list in the layout of ghcnd-stations.txt.

    Raises InputError where an identifier has more than eleven characters.
    """
    long = stations["station"].str.len() > LONGEST_STATION
    if long.any():
        raise InputError(
            f"Station {stations.loc[long, 'station'].iloc[0]} has more than {LONGEST_STATION} characters, "
            "which the open station list has no room for. Give it a shorter name in all files."
        )
    height = stations["elevation_m"].fillna(_NO_ELEVATION)
    columns = [stations[name] for name in ("station", "lat", "lon")]
    names = [stations[name].fillna("") for name in ("state", "name")]
    return "".join(
        f"{station:<11} {lat:8.4f} {lon:9.4f} {elevation_m:6.1f} {state:<2.2} {name:<30.30}\n"
        for station, lat, lon, elevation_m, state, name in zip(*columns, height, *names, strict=True)
    )


def inventory_text(inventory: pd.DataFrame) -> str:
    """Return what stations measured in the layout of ghcnd-inventory.txt."""
    columns = ("station", "lat", "lon", "element", "first_year", "last_year")
    return "".join(
        f"{station:<11} {lat:8.4f} {lon:9.4f} {element:<4} {first:4d} {last:4d}\n"
        for station, lat, lon, element, first, last in zip(
            *(inventory[name] for name in columns), strict=True
        )
    )
