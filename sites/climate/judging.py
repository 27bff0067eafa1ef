"""What of a station record is believed, and by which method it is carried to places between the stations.

Both are judged by the record itself: each station is compared with what its neighbours say of it.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
import pandas as pd

from sites.climate.crossvalidation import TrendFit, left_out_errors, left_out_estimates
from sites.climate.doubts import doubtful_stations, doubtful_values, without_doubtful
from sites.climate.interpolation import Interpolation
from sites.climate.station_days import Day, StationDays, station_days
from sites.climate.trend import trend_of_normals, trend_of_record
from sites.errors import InputError

#: Method A averages stations as they are; method B averages their departures from a west-to-east trend.
METHOD_A, METHOD_B = "A", "B"

#: Columns of the errors of stations that were left out.
ERROR_COLUMNS = ("method", "used", "element", "group", "name", "days", "bias", "mae", "rmse")

#: Days of record before the seasons from which a trend is taken at least.
LEAST_PAST_DAYS = 365

#: Columns of what is doubtful about stations.
DOUBT_COLUMNS = ("station", "name", "column", "year", "doubt", "size", "days", "first_day", "last_day")


@dataclass(frozen=True)
class JudgedRecord:
    """A station record as far as it is believed.

    `stations` are those with a record; `daily` is without what their neighbours contradict; `doubts` tells
    what was left out (DOUBT_COLUMNS), `errors` how far left-out stations are missed by each method
    (ERROR_COLUMNS), `method` is the one that misses them least.
    """

    stations: pd.DataFrame
    daily: pd.DataFrame
    method: Interpolation
    errors: pd.DataFrame
    doubts: pd.DataFrame

    @property
    def method_name(self) -> str:
        """Return "A" or "B"."""
        return METHOD_A if self.method.trend is None else METHOD_B


def judged_record(
    stations: pd.DataFrame,
    daily: pd.DataFrame,
    method: Interpolation,
    since: Day,
    normals: pd.DataFrame | None = None,
) -> JudgedRecord:
    """Return what of a record is believed from a day on, and the better of methods A and B for it.

    A station whose year does not fit its neighbours (stuck, shifted by a day, off, in another unit) is left
    out for that column and year; so are single values that cannot be right. Earlier days are left as they
    are. The trend of method B comes from normals, else from the years of the record before `since`, and never
    from the seasons that are estimated; with neither, or with fewer than five stations, A is used.
    """
    having = stations[stations["station"].isin(daily["station"].astype("str").unique())]
    having = having.reset_index(drop=True)
    start = pd.Timestamp(since)
    recent = daily["date"] >= start
    if having.empty or not recent.any():
        return JudgedRecord(having, daily, method, _nothing(ERROR_COLUMNS), _nothing(DOUBT_COLUMNS))
    days = _since(having, daily, start)
    shifted = doubtful_stations(days, method)
    believed = _without_years(daily, shifted)
    single = doubtful_values(_since(having, believed, start), method)
    believed = without_doubtful(believed, single)
    fit = _trend_fit(having, believed[~recent], method, normals)
    chosen, errors = better_method(_since(having, believed, start), method, fit)
    doubts = pd.concat([_dated(shifted, daily), _counted(single)], ignore_index=True)
    names = having.set_index("station")["name"]
    doubts = doubts.assign(name=doubts["station"].map(names).fillna("").astype("str"))
    return JudgedRecord(having, believed, chosen, errors, doubts[list(DOUBT_COLUMNS)])


def better_method(
    days: StationDays, method: Interpolation, fit: TrendFit | None = None
) -> tuple[Interpolation, pd.DataFrame]:
    """Return the method with the smaller leave-one-out error, and the errors of both (ERROR_COLUMNS).

    B, with the trend that `fit` fits, is used where the mean absolute errors of the three elements fall on
    (geometric) average when each station is estimated from the others; the trend is then fitted without it.
    """
    plain = replace(method, trend=None)
    errors = {METHOD_A: _errors(days, left_out_estimates(days, plain))}
    trend = None
    if fit is not None:
        try:
            estimates = left_out_estimates(days, plain, with_trend=True, fit=fit)
            trend = fit(np.full(len(days.stations), fill_value=True))
            errors[METHOD_B] = _errors(days, estimates)
        except InputError:
            # With too few stations to leave one out of a trend, method A is all there is.
            trend = None
    is_better = METHOD_B in errors and _mean_ratio(errors[METHOD_B], errors[METHOD_A]) < 1.0
    used = METHOD_B if is_better else METHOD_A
    table = pd.concat(
        [each.assign(method=name, used=name == used) for name, each in errors.items()], ignore_index=True
    )
    return replace(plain, trend=trend if is_better else None), table[list(ERROR_COLUMNS)]


def _since(stations: pd.DataFrame, daily: pd.DataFrame, start: pd.Timestamp) -> StationDays:
    return station_days(stations, daily[daily["date"] >= start])


def _trend_fit(
    stations: pd.DataFrame, before: pd.DataFrame, method: Interpolation, normals: pd.DataFrame | None
) -> TrendFit | None:
    """Return what fits a trend to normals, else to the days before the seasons; None without either."""
    lapse = (method.lapse_tmax, method.lapse_tmin)

    def some(chosen: npt.NDArray[np.bool_]) -> pd.DataFrame:
        return stations[chosen].reset_index(drop=True)

    if normals is not None:
        return lambda chosen: trend_of_normals(some(chosen), normals, *lapse)
    if before["date"].nunique() < LEAST_PAST_DAYS:
        return None
    return lambda chosen: trend_of_record(some(chosen), before, *lapse)


def _without_years(daily: pd.DataFrame, doubts: pd.DataFrame) -> pd.DataFrame:
    """Return the daily table with a station's column missing in the years in which it is doubtful."""
    believed = daily.copy()
    station, year = daily["station"].astype("str"), daily["date"].dt.year
    for doubt in doubts.itertuples():
        wrong = (station == doubt.station) & (year == doubt.year)
        believed[doubt.column] = believed[doubt.column].mask(wrong)
    return believed


def _dated(doubts: pd.DataFrame, daily: pd.DataFrame) -> pd.DataFrame:
    """Return doubts about whole years with the first and last day of the record in each."""
    days = daily["date"].groupby(daily["date"].dt.year).agg(["min", "max"]).reindex(doubts["year"])
    return doubts.assign(first_day=days["min"].to_numpy(), last_day=days["max"].to_numpy())


def _counted(single: pd.DataFrame) -> pd.DataFrame:
    """Return single doubtful values counted by station, column, year and reason, as doubts."""
    keys = [single["station"], single["column"], single["date"].dt.year.rename("year"), single["why"]]
    grouped = single["date"].groupby(keys)
    counted = grouped.agg(days="size", first_day="min", last_day="max").reset_index()
    return counted.rename(columns={"why": "doubt"}).assign(size=counted["days"].astype(float))


def _errors(days: StationDays, estimates: dict[str, np.ndarray]) -> pd.DataFrame:
    """Return the errors of all days, by season and by station under each other."""
    return pd.concat(_each_grouping(days, estimates), ignore_index=True)


def _each_grouping(days: StationDays, estimates: dict[str, np.ndarray]) -> Iterator[pd.DataFrame]:
    yield left_out_errors(days, estimates, by="all").assign(group="network", name="")
    yield (
        left_out_errors(days, estimates, by="season")
        .assign(group="season")
        .rename(columns={"season": "name"})
    )
    yield (
        left_out_errors(days, estimates, by="station")
        .assign(group="station")
        .rename(columns={"station": "name"})
    )


def _mean_ratio(errors: pd.DataFrame, others: pd.DataFrame) -> float:
    """Return the geometric mean over the elements of one method's mean absolute error over the other's."""
    ours, theirs = (each[each["group"] == "network"].set_index("element")["mae"] for each in (errors, others))
    both = ours.index[(ours > 0) & (theirs.reindex(ours.index) > 0)]
    if both.empty:
        return 1.0
    return float(np.exp(np.log(ours[both] / theirs[both]).mean()))


def _nothing(columns: tuple[str, ...]) -> pd.DataFrame:
    kinds = {"days": "int64", "year": "int64", "used": "bool"}
    kinds |= dict.fromkeys(("first_day", "last_day"), "datetime64[us]")
    numbers = {"bias", "mae", "rmse", "size"}
    return pd.DataFrame(
        {name: pd.Series(dtype=kinds.get(name, "float64" if name in numbers else "str")) for name in columns}
    )
