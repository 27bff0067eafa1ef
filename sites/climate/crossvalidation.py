"""How well the stations foretell one another: each is left out in turn and estimated from the rest."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any, Literal

import numpy as np
import numpy.typing as npt
import pandas as pd

from sites.climate.interpolation import WET_STATION_MM, Interpolation, element, places, wet_votes
from sites.climate.records import ELEMENTS
from sites.climate.station_days import Floats, StationDays
from sites.climate.trend import Trend, month_of, trend_of_record

#: Meteorological seasons of the northern hemisphere by month, January first (WMO usage).
SEASONS = np.array(["winter"] * 2 + ["spring"] * 3 + ["summer"] * 3 + ["autumn"] * 3 + ["winter"])

#: Trends that are fitted to judge a method: with more stations than this, several are left out of a trend at
#: once, so that the time does not grow with their square.
MOST_TRENDS = 20

#: What fits a trend to some of the stations, given as a mask (S).
TrendFit = Callable[[npt.NDArray[np.bool_]], Trend]


def left_out_estimates(
    days: StationDays,
    method: Interpolation | None = None,
    with_trend: bool = False,
    rain: Literal["mean", "vote"] = "mean",
    fit: TrendFit | None = None,
) -> dict[str, Floats]:
    """Return for each column the estimate (S, D) at every station from the other stations.

    With a trend, the trend is fitted without the station that is left out: by `fit`, else to the days
    themselves. Voted rain is rescaled to the total of the averaged rain over the same days.
    """
    method = method or Interpolation()
    every = np.arange(len(days.stations))
    if not with_trend:
        return _estimates(days, every, method, rain)
    fit = fit or (
        lambda some: trend_of_record(days.stations, _some(days, some), method.lapse_tmax, method.lapse_tmin)
    )
    trends = min(len(every), MOST_TRENDS)
    found = {column: np.full(_shape(days), np.nan) for column in ELEMENTS.values()}
    for turn in range(trends):
        left_out = every[turn::trends]
        trend = fit(~np.isin(every, left_out))
        for column, estimate in _estimates(days, left_out, replace(method, trend=trend), rain).items():
            found[column][left_out] = estimate
    return found


def left_out_errors(
    days: StationDays, estimates: dict[str, Floats], by: Literal["station", "season", "all"] = "station"
) -> pd.DataFrame:
    """Return bias, mean absolute and root mean square error of left-out stations, by element.

    Columns: element, then station or season if asked for, days, bias, mae and rmse (°C, or mm per day). Bias
    is estimate minus observation.
    """
    groups = {
        "station": np.broadcast_to(days.stations["station"].to_numpy(dtype=object)[:, None], _shape(days)),
        "season": np.broadcast_to(SEASONS[month_of(days.dates) - 1], _shape(days)),
        "all": np.full(_shape(days), "all", dtype=object),
    }[by]
    parts = []
    for column, estimate in estimates.items():
        error = estimate - days.readings[column]
        known = ~np.isnan(error)
        frame = pd.DataFrame({by: groups[known], "error": error[known]})
        frame = frame.assign(absolute=frame["error"].abs(), square=frame["error"] ** 2)
        means = frame.groupby(by, sort=True).agg(
            days=("error", "size"), bias=("error", "mean"), mae=("absolute", "mean"), rmse=("square", "mean")
        )
        parts.append(means.assign(rmse=means["rmse"] ** 0.5, element=column).reset_index())
    errors = pd.concat(parts, ignore_index=True)
    columns = ["element", by, "days", "bias", "mae", "rmse"]
    return errors[[name for name in columns if name != "all"]]


def wet_day_agreement(days: StationDays, rain: Floats, wet_mm: float = WET_STATION_MM) -> pd.DataFrame:
    """Return for each station how often estimate and gauge agree on a wet day, and both shares of wet days.

    Columns: station, agreement, observed_wet, estimated_wet (shares of the days that have both).
    """
    observed = days.readings["prcp_mm"]
    known = ~np.isnan(observed) & ~np.isnan(rain)
    count = np.where(known.any(axis=1), known.sum(axis=1), np.nan)
    wet, foretold = observed >= wet_mm, rain >= wet_mm
    return pd.DataFrame(
        {
            "station": days.stations["station"],
            "agreement": (known & (wet == foretold)).sum(axis=1) / count,
            "observed_wet": (known & wet).sum(axis=1) / count,
            "estimated_wet": (known & foretold).sum(axis=1) / count,
        }
    )


def _estimates(
    days: StationDays, left_out: npt.NDArray[np.intp], method: Interpolation, rain: str
) -> dict[str, Floats]:
    own = days.stations.iloc[left_out]
    lon, lat, elevation_m = (own[name].to_numpy(float) for name in ("lon", "lat", "elevation_m"))
    at = places(days.stations, lon, lat, elevation_m, method, leave_out=left_out, most=None)
    values = {column: element(days, column, method).at(at).value for column in ELEMENTS.values()}
    if rain == "vote":
        votes = element(days, "prcp_mm", method, beside=(wet_votes(days),)).at(at)
        voted = np.where(votes.beside[0] < 0.5, 0.0, values["prcp_mm"])
        total = np.nansum(values["prcp_mm"], axis=1, keepdims=True)
        values["prcp_mm"] = voted * total / np.nansum(voted, axis=1, keepdims=True)
    return values


def _some(days: StationDays, chosen: npt.NDArray[Any]) -> StationDays:
    readings = {column: each[chosen] for column, each in days.readings.items()}
    return replace(days, stations=days.stations[chosen].reset_index(drop=True), readings=readings)


def _shape(days: StationDays) -> tuple[int, int]:
    return len(days.stations), len(days.dates)
