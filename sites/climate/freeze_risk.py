"""How likely a freeze still is: from the freeze dates of many years, at stations and at gardens."""

from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from sites.climate.averaging import Layers, weighted_means
from sites.climate.neighbours import nearest_stations
from sites.climate.station_days import Floats
from sites.scalars import Numbers, scalars_stay_scalars

#: Years that a freeze probability needs at least; thirty are better (common practice, no source).
LEAST_YEARS = 20

#: Days before each month on a calendar of 365 days.
DAYS_BEFORE_MONTH = np.array([0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334])


#: Columns of freeze dates by probability, in percent: a freeze after the spring date, or before the fall
#: date.
RISK_COLUMNS = (
    *("last_spring_90", "last_spring_50", "last_spring_10"),
    *("first_fall_10", "first_fall_50", "first_fall_90", "freeze_free_days"),
)


#: Columns that tell from how many years, and how many of them had no freeze.
YEARS_COLUMNS = ("years", "years_without_spring", "years_without_fall")


def day_of_365(dates: Any) -> npt.NDArray[Any]:
    """Return the day of the year on a calendar without 29 February, which counts as 28.

    So that a date stands for the same day in leap years and others. A missing date gives a missing day.
    """
    day = np.asarray(dates, dtype="datetime64[D]")
    month = day.astype("datetime64[M]")
    of_month = np.where(np.isnat(day), 0, (day - month).astype(int) + 1)
    index = np.where(np.isnat(day), 0, month.astype(int) % 12)
    return np.where(
        np.isnat(day), np.nan, DAYS_BEFORE_MONTH[index] + of_month - ((index == 1) & (of_month == 29))
    )


def date_of_day(day_of_year: Numbers, year: int, earlier: bool = False) -> Any:
    """Return the date in a year of a day on the calendar of 365 days; a missing day has no date.

    A fraction counts as the next day, or with `earlier` as the day before it: whichever is the careful side.
    """
    day = np.round(np.asarray(day_of_year, dtype=float), 6)
    whole = np.nan_to_num(np.floor(day) if earlier else np.ceil(day), nan=1.0).astype(int)
    month = np.searchsorted(DAYS_BEFORE_MONTH, whole) - 1
    first = (np.datetime64(f"{year}-01", "M") + month).astype("datetime64[D]")
    dates = np.where(np.isnan(day), np.datetime64("NaT"), first + (whole - DAYS_BEFORE_MONTH[month] - 1))
    return dates[()]


def years_without(freezes: Numbers) -> str:
    """Return in words how many of the years had no freeze, as "1 of 11 years had none".

    `freezes` are the days of the year, missing in years without one. Such years are a part of the
    distribution of their own (National Climatic Data Center, freeze and frost tables), which the percentiles
    leave out, so they are told beside them and never dropped.
    """
    days = np.asarray(freezes, dtype=float)
    return none_of_years(int(np.isnan(days).sum()), days.size)


def none_of_years(without: int, years: int) -> str:
    """Return "1 of 11 years had none" of two counts."""
    return f"{without} of {years} years had none" if without else f"all {years} years had one"


@scalars_stay_scalars
def last_freeze_day(days_of_year: Numbers, probability: Numbers) -> npt.NDArray[Any]:
    """Return the day of the year that the last freeze falls after with a probability (a share, 0 to 1).

    0.9 gives the early date (nine years in ten still have a freeze after it), 0.1 the late and safe one. An
    empirical percentile of the years along the last axis, linear between order statistics (Hyndman & Fan
    1996, type 7). Years without a freeze are missing: they leave the percentile alone, and are to be told
    beside it.
    """
    return _percentile(days_of_year, 1.0 - np.asarray(probability, dtype=float))


@scalars_stay_scalars
def first_freeze_day(days_of_year: Numbers, probability: Numbers) -> npt.NDArray[Any]:
    """Return the day of the year that the first fall freeze comes before with a probability."""
    return _percentile(days_of_year, np.asarray(probability, dtype=float))


def freeze_risk(freezes: pd.DataFrame) -> pd.DataFrame:
    """Return for each station its freeze dates by probability, as days of a 365-day year.

    `freezes` has station, year, last_spring, first_fall (dates, missing in years without one). Columns:
    station, years, years_without_spring, years_without_fall, last_spring_90, last_spring_50, last_spring_10
    (with that percent probability a freeze comes after), first_fall_10, first_fall_50, first_fall_90 (comes
    before) and freeze_free_days (median). Dates are missing for stations with fewer than twenty years.
    """
    spring, fall = (
        pd.Series(day_of_365(freezes[name].to_numpy()), freezes.index)
        for name in ("last_spring", "first_fall")
    )
    days = pd.DataFrame(
        {"station": freezes["station"], "spring": spring, "fall": fall, "free": fall - spring - 1}
    )
    return pd.DataFrame(
        [_risk(station, own) for station, own in days.groupby("station", observed=True)],
        columns=["station", *YEARS_COLUMNS, *RISK_COLUMNS],
    ).astype(dict.fromkeys(RISK_COLUMNS, "float64") | {"station": "str"})


def no_freeze_risk() -> pd.DataFrame:
    """Return the freeze dates by probability of a network that has no record of freezes."""
    dates = pd.Series(dtype="datetime64[us]")
    return freeze_risk(
        pd.DataFrame({"station": pd.Series(dtype="str"), "last_spring": dates, "first_fall": dates})
    )


def _risk(station: Any, own: pd.DataFrame) -> dict[str, Any]:
    enough = len(own) >= LEAST_YEARS
    row: dict[str, Any] = {
        "station": station,
        "years": len(own),
        "years_without_spring": int(own["spring"].isna().sum()),
        "years_without_fall": int(own["fall"].isna().sum()),
    }
    for percent in (90, 50, 10):
        row[f"last_spring_{percent}"] = last_freeze_day(own["spring"], percent / 100) if enough else np.nan
    for percent in (10, 50, 90):
        row[f"first_fall_{percent}"] = first_freeze_day(own["fall"], percent / 100) if enough else np.nan
    row["freeze_free_days"] = own["free"].median() if enough else np.nan
    return row


def freeze_risk_at(
    stations: pd.DataFrame,
    risk: pd.DataFrame,
    lon: Floats,
    lat: Floats,
    neighbours: int = 4,
    power: float = 2.0,
    limit_km: float = 250.0,
) -> pd.DataFrame:
    """Return freeze dates by probability at gardens: RISK_COLUMNS, as days of a 365-day year, a row for each.

    The distance-weighted mean of the nearest stations that have twenty years. Heights are left alone: cold
    air runs downhill, and a garden in a hollow freezes later in spring than any station tells.
    """
    listed = stations.merge(risk.dropna(subset=list(RISK_COLUMNS)), on="station", validate="one_to_one")
    near = nearest_stations(lon, lat, listed, limit_km, power, most=neighbours)
    means = weighted_means(Layers.of(listed[list(RISK_COLUMNS)].to_numpy(float)), near, neighbours).means[0]
    return pd.DataFrame(means, columns=list(RISK_COLUMNS))


def _percentile(days_of_year: Numbers, share: npt.NDArray[Any]) -> npt.NDArray[Any]:
    days = np.asarray(days_of_year, dtype=float)
    none = np.isnan(days).all(axis=-1)
    return np.where(none, np.nan, np.nanquantile(np.where(none[..., None], 0.0, days), share, axis=-1))
