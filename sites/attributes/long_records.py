"""What many years of records say of a garden: how late freezes come, and its hardiness zone."""

from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from sites.attributes.states import COMPLETE, FEW_YEARS, NO_STATION
from sites.climate.averaging import Layers, weighted_means
from sites.climate.freeze_risk import RISK_COLUMNS, date_of_day, none_of_years
from sites.climate.interpolation import Interpolation
from sites.climate.neighbours import Neighbours, nearest_stations
from sites.climate.station_days import Floats
from sites.climate.zones import hardiness_zone
from sites.units import fahrenheit_from_celsius

#: Columns of freeze dates by probability, with the days of the year that they are made from. In fall a
#: fraction of a day goes to the day before, so that a rounded date is never the bolder one.
FREEZE_DATES = {
    **{f"last_freeze_{percent}": (f"last_spring_{percent}", False) for percent in (90, 50, 10)},
    **{f"first_freeze_{percent}": (f"first_fall_{percent}", True) for percent in (10, 50, 90)},
}


def freeze_risk_of_gardens(
    stations: pd.DataFrame, risk: pd.DataFrame, lon: Floats, lat: Floats, year: int, method: Interpolation
) -> dict[str, Any]:
    """Return the freeze dates by probability of gardens, as dates of a year, with the years behind them.

    `risk` is that of `sites.climate.freeze_risk`. Stations with twenty years bear the dates, weighted by
    distance and without a correction for height. `freeze_years` is the fewest years of those stations;
    `freeze_years_without` tells of the nearest of them how many years had no freeze.
    """
    listed = stations.merge(risk, on="station", how="inner", validate="one_to_one")
    known = listed["last_spring_50"].notna() & listed["first_fall_50"].notna()
    near, means = _carried(listed[known], list(RISK_COLUMNS), lon, lat, method)
    days = dict(zip(RISK_COLUMNS, means.T, strict=True))
    dates = {
        name: date_of_day(days[column], year, earlier).astype("datetime64[us]")
        for name, (column, earlier) in FREEZE_DATES.items()
    }
    return {
        **dates,
        "freeze_free_days_median": days["freeze_free_days"],
        "freeze_years": _fewest(listed.loc[known, "years"].to_numpy(float), near, method.neighbours),
        "freeze_years_without": _without(listed[known], near),
        "freeze_risk_state": _state(days["last_spring_50"], stations, lon, lat, method),
    }


def zone_of_gardens(
    stations: pd.DataFrame, minima: pd.DataFrame, lon: Floats, lat: Floats, method: Interpolation
) -> dict[str, Any]:
    """Return the hardiness zone of gardens, the mean of yearly minima behind it, and from which years.

    `minima` is that of `sites.climate.extreme_minima`. Stations with ten years bear the mean, weighted by
    distance and without a correction for height: the coldest nights are still ones, and cold air runs
    downhill.
    """
    listed = stations.merge(minima, on="station", how="inner", validate="one_to_one")
    known = listed[listed["mean_c"].notna()]
    near, means = _carried(known, ["mean_c"], lon, lat, method)
    first, last = (known[name].to_numpy(float) for name in ("first_year", "last_year"))
    used = near.first(method.neighbours)
    periods = [
        f"{first[row[some]].min():.0f} to {last[row[some]].max():.0f}" if some.any() else None
        for row, some in zip(used.station, used.weight > 0, strict=True)
    ]
    return {
        "extreme_minimum_mean_c": means[:, 0],
        "hardiness_zone": hardiness_zone(fahrenheit_from_celsius(means[:, 0])),
        "hardiness_zone_years": _fewest(known["years"].to_numpy(float), near, method.neighbours),
        "hardiness_zone_period": np.array(periods, dtype=object),
        "hardiness_zone_state": _state(means[:, 0], stations, lon, lat, method),
    }


def _carried(
    stations: pd.DataFrame, columns: list[str], lon: Floats, lat: Floats, method: Interpolation
) -> tuple[Neighbours, Floats]:
    """Return the nearest stations of gardens and the weighted means (G, C) of some of their columns."""
    near = nearest_stations(lon, lat, stations, method.limit_km, method.power, most=method.neighbours)
    if not len(stations):
        return near, np.full((len(lon), len(columns)), np.nan)
    values = Layers.of(stations[columns].to_numpy(float))
    return near, weighted_means(values, near, method.neighbours).means[0]


def _fewest(years: Floats, near: Neighbours, count: int) -> Floats:
    """Return the fewest years among the stations that bear each garden's number, missing without any."""
    used = near.first(count)
    fewest = np.where(used.weight > 0, years[used.station], np.inf).min(axis=1, initial=np.inf)
    return np.where(np.isfinite(fewest), fewest, np.nan)


def _without(stations: pd.DataFrame, near: Neighbours) -> npt.NDArray[Any]:
    """Return how many years had no freeze at the nearest station of each garden, in words."""
    words = np.array(
        [
            f"spring: {none_of_years(int(row.years_without_spring), int(row.years))}; "
            f"fall: {none_of_years(int(row.years_without_fall), int(row.years))}"
            for row in stations.itertuples()
        ]
        + [None],
        dtype=object,
    )
    if not near.station.shape[1]:
        return np.full(len(near.station), None, dtype=object)
    return words[np.where(near.weight[:, 0] > 0, near.station[:, 0], len(stations))]


def _state(
    values: Floats, stations: pd.DataFrame, lon: Floats, lat: Floats, method: Interpolation
) -> npt.NDArray[Any]:
    """Return whether a number stands; else whether stations are too far, or have too few years."""
    reach = nearest_stations(lon, lat, stations, method.limit_km, most=1)
    within = (reach.weight > 0).any(axis=1) if reach.weight.shape[1] else np.zeros(len(lon), dtype=bool)
    return np.select([~np.isnan(values), within], [COMPLETE, FEW_YEARS], NO_STATION)
