"""Gaps in station records, filled beside the record and never in it."""

from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from sites.climate.averaging import sum_over_stations
from sites.climate.crossvalidation import left_out_estimates
from sites.climate.interpolation import Interpolation
from sites.climate.neighbours import nearest_stations
from sites.climate.records import ELEMENTS
from sites.climate.station_days import Floats, StationDays
from sites.climate.trend import LEAST_STATIONS

#: Longest gap in days that one's own temperatures on both sides may bridge (common practice, no source).
SHORT_GAP_DAYS = 2

#: Good days before and after a longer gap from which a station's own offset to its neighbours is taken.
GOOD_DAYS_EACH_SIDE = 15

#: Neighbours that must report for a gap to be filled from them.
LEAST_NEIGHBOURS = 2

#: How a value came to be.
OBSERVED, NEIGHBOURS, SHIFTED, BRIDGED, MISSING = (
    *("observed", "neighbours", "neighbours and own offset", "own days around", "missing"),
)

Words = npt.NDArray[Any]


def fill_gaps(days: StationDays, method: Interpolation | None = None) -> pd.DataFrame:
    """Return every station's days with gaps filled where the rules allow, and how each value came to be.

    Columns: station, date, tmax_c, tmin_c, prcp_mm, and for each how: tmax_how, tmin_how, prcp_how. Only gaps
    between a station's first and last value are filled. A temperature missing for one or two days comes from
    the neighbours, or where fewer than two report from the station's own departure from its usual year, in a
    straight line; a longer gap from the neighbours, moved by the station's mean difference from them on the
    30 good days around. Rain comes from the neighbours or stays missing: rain is never drawn as a line
    through time, and never taken for 0. From five stations on the neighbours' estimate has the west-to-east
    trend taken out.
    """
    method = method or Interpolation()
    with_trend = len(days.stations) > LEAST_STATIONS
    estimates = left_out_estimates(days, method, with_trend=with_trend)
    columns: dict[str, Any] = {}
    for column in ELEMENTS.values():
        estimate = np.where(
            _neighbours_reporting(days, column, method) >= LEAST_NEIGHBOURS, estimates[column], np.nan
        )
        filled = [
            _filled(own, theirs, days.dates, column == "prcp_mm")
            for own, theirs in zip(days.readings[column], estimate, strict=True)
        ]
        columns[column] = np.concatenate([value for value, _ in filled])
        columns[f"{column.split('_')[0]}_how"] = np.concatenate([how for _, how in filled])
    return pd.DataFrame(
        {
            "station": np.repeat(days.stations["station"].to_numpy(), len(days.dates)),
            "date": np.tile(days.dates.astype("datetime64[us]"), len(days.stations)),
            **columns,
        }
    )


def _neighbours_reporting(days: StationDays, column: str, method: Interpolation) -> Floats:
    stations = days.stations
    around = nearest_stations(
        stations["lon"], stations["lat"], stations, method.limit_km, leave_out=np.arange(len(stations))
    )
    within = (around.weight > 0).astype(float)
    return sum_over_stations(within, around.station, np.isfinite(days.readings[column]).astype(float))


def _filled(own: Floats, estimate: Floats, dates: npt.NDArray[Any], rain: bool) -> tuple[Floats, Words]:
    value, how = own.copy(), np.where(np.isnan(own), MISSING, OBSERVED).astype(object)
    usual = None if rain else _usual_year(own, dates)
    for first, last in _gaps(own):
        gap = slice(first, last + 1)
        known = ~np.isnan(estimate[gap])
        value[gap], how[gap] = estimate[gap], np.where(known, NEIGHBOURS, MISSING)
        if rain:
            continue
        if last - first < SHORT_GAP_DAYS:
            if usual is not None and not known.all():
                line = usual[gap] + np.interp(
                    np.arange(first, last + 1), [first - 1, last + 1], (own - usual)[[first - 1, last + 1]]
                )
                value[gap], how[gap] = (
                    np.where(known, estimate[gap], line),
                    np.where(known, NEIGHBOURS, BRIDGED),
                )
            continue
        offset = _offset_around(own, estimate, first, last)
        if not np.isnan(offset):
            value[gap], how[gap] = estimate[gap] + offset, np.where(known, SHIFTED, MISSING)
    return value, how


def _gaps(own: Floats) -> list[tuple[int, int]]:
    """Return first and last position of each run of missing days between known ones."""
    known = np.flatnonzero(~np.isnan(own))
    after = np.flatnonzero(np.diff(known) > 1)
    return [(int(known[at]) + 1, int(known[at + 1]) - 1) for at in after]


def _offset_around(own: Floats, estimate: Floats, first: int, last: int) -> float:
    difference = own - estimate
    before = difference[:first][~np.isnan(difference[:first])][-GOOD_DAYS_EACH_SIDE:]
    after = difference[last + 1 :][~np.isnan(difference[last + 1 :])][:GOOD_DAYS_EACH_SIDE]
    around = np.concatenate([before, after])
    return float(around.mean()) if len(around) else float("nan")


def _usual_year(own: Floats, dates: npt.NDArray[Any]) -> Floats | None:
    """Return the station's usual temperature on each day: two harmonics of the year through its own record.

    None where it has less than a year.
    """
    known = ~np.isnan(own)
    if known.sum() < 365:
        return None
    phase = 2.0 * np.pi * dates.astype(int) / 365.2425
    terms = np.column_stack(
        [np.ones(len(dates)), *(wave(each * phase) for each in (1, 2) for wave in (np.cos, np.sin))]
    )
    return np.asarray(terms @ np.linalg.lstsq(terms[known], own[known])[0])
