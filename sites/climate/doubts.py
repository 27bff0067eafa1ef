"""Values and stations that quality flags let through and that their neighbours contradict."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from sites.climate.crossvalidation import left_out_estimates
from sites.climate.interpolation import Interpolation
from sites.climate.neighbours import nearest_stations
from sites.climate.records import ELEMENTS
from sites.climate.station_days import Floats, StationDays
from sites.units import MM_PER_INCH, celsius_from_fahrenheit

#: Difference from the estimate by the neighbours, °C, above which one temperature is doubtful. On the demo
#: network, whose stations are 100 to 140 km apart, it finds the wrong values that were put there and no
#: other.
JUMP_C = 12.0

#: Air temperatures, °C, beyond which none was ever observed at a station (World Meteorological Organization,
#: World Weather and Climate Extremes Archive: 56.7 in 1913, -89.2 in 1983).
HOTTEST_C, COLDEST_C = 56.7, -89.2

#: Values of a year beyond HOTTEST_C from which the whole year is in another unit and not a slip of the pen.
MANY_IMPOSSIBLE = 5

#: Rain of one day, mm, that is doubtful where no neighbour within the limit had LITTLE_RAIN_MM.
DOWNPOUR_MM = 100.0
LITTLE_RAIN_MM = 25.0

#: Equal temperatures in a row, in days, that no weather gives (common practice, no source).
STUCK_DAYS = 10

#: Days of a year that a station must share with its neighbours to be judged on it.
LEAST_DAYS = 60

#: Median difference from the neighbours over a year, °C, above which a station is doubtful. Sites differ by 1
#: to 2 °C.
OFFSET_C = 4.0

#: A shift or a change of unit is believed where it lowers the mean absolute difference to this share.
BETTER_SHARE = 0.7

#: Factors by which rain is off where its unit was taken for another, and what was likely written.
RAIN_FACTORS = {MM_PER_INCH: "millimetres as inches", 1 / MM_PER_INCH: "inches as millimetres"} | {
    10.0: "tenths as millimetres",
    0.1: "millimetres as tenths",
}

#: How far, as a factor, a rain total may miss one of RAIN_FACTORS, and the least estimated total, mm, to
#: judge by.
RAIN_FACTOR_SLACK = 1.5
LEAST_RAIN_MM = 100.0


def doubtful_values(days: StationDays, method: Interpolation | None = None) -> pd.DataFrame:
    """Return single values that cannot be right: station, date, column, value, estimate and why.

    `estimate` is what the neighbours say. `why` is "beyond any record" (a temperature that no station on
    earth has seen), "minimum above maximum" (both values are named), "far from neighbours" (a temperature
    more than 12 °C from their estimate) or "rain at no neighbour" (over 100 mm where every neighbour had less
    than 25 mm).
    """
    method = method or Interpolation()
    estimates = left_out_estimates(days, method)
    tmax, tmin, rain = (days.readings[column] for column in ELEMENTS.values())
    crossed = tmin > tmax
    alone = (rain > DOWNPOUR_MM) & (_most_rain_around(days, method) < LITTLE_RAIN_MM)
    doubts = [
        ("tmax_c", _is_impossible(tmax), "beyond any record"),
        ("tmin_c", _is_impossible(tmin), "beyond any record"),
        ("tmax_c", crossed, "minimum above maximum"),
        ("tmin_c", crossed, "minimum above maximum"),
        ("tmax_c", np.abs(tmax - estimates["tmax_c"]) > JUMP_C, "far from neighbours"),
        ("tmin_c", np.abs(tmin - estimates["tmin_c"]) > JUMP_C, "far from neighbours"),
        ("prcp_mm", alone, "rain at no neighbour"),
    ]
    parts = []
    for column, doubtful, why in doubts:
        station, day = np.nonzero(doubtful)
        parts.append(
            pd.DataFrame(
                {
                    "station": days.stations["station"].to_numpy()[station],
                    "date": days.dates[day].astype("datetime64[us]"),
                    "column": column,
                    "value": days.readings[column][station, day],
                    "estimate": estimates[column][station, day],
                    "why": why,
                }
            )
        )
    found = pd.concat(parts, ignore_index=True).drop_duplicates(["station", "date", "column"])
    return found.sort_values(["station", "date", "column"], ignore_index=True)


def without_doubtful(daily: pd.DataFrame, doubtful: pd.DataFrame) -> pd.DataFrame:
    """Return the daily table with doubtful values missing; the table that was handed over stays as it is."""
    cleaned = daily.copy()
    key = daily["station"].astype("str") + daily["date"].dt.strftime("%Y%m%d")
    for column, own in doubtful.groupby("column"):
        wrong = own["station"].astype("str") + own["date"].dt.strftime("%Y%m%d")
        cleaned[column] = daily[column].mask(key.isin(wrong))
    return cleaned


def doubtful_stations(days: StationDays, method: Interpolation | None = None) -> pd.DataFrame:
    """Return stations whose year does not fit their neighbours: station, column, year, doubt, size, days.

    `doubt` is "stuck" (size: equal values in a row, from ten days on), "a day late" or "a day early" (size:
    share of the difference that remains after shifting), "offset" (size: median difference, °C), "fahrenheit"
    (°F where °C is expected) or one of the mistaken units of rain (size: factor). `days` are the days
    compared.
    """
    years = days.dates.astype("datetime64[Y]").astype(int) + 1970
    judged = replace(days, readings={column: each.copy() for column, each in days.readings.items()})
    rows: list[dict[str, Any]] = []
    for station, column, year, doubt in _other_unit(judged, years):
        # Taken out first: what cannot be true needs no neighbour, and must not judge one.
        name = days.stations["station"].iloc[station]
        rows.append({"station": name, "column": column, "year": year, **doubt})
        judged.readings[column][station, years == year] = np.nan
    # A column's year depends on no other, so only those with a doubt are looked at again.
    open_years = [(column, int(year)) for column in ELEMENTS.values() for year in np.unique(years)]
    while worst := _worst(judged, years, open_years, method or Interpolation()):
        open_years = [(column, year) for _, column, year, _ in worst]
        for station, column, year, doubts in worst:
            name = days.stations["station"].iloc[station]
            rows += [{"station": name, "column": column, "year": year, **doubt} for doubt in doubts]
            judged.readings[column][station, years == year] = np.nan
    columns = ["station", "column", "year", "doubt", "size", "days"]
    return pd.DataFrame(rows, columns=columns).sort_values(columns[:4], ignore_index=True)


def _is_impossible(temperature: Floats) -> npt.NDArray[np.bool_]:
    return (temperature > HOTTEST_C) | (temperature < COLDEST_C)


def _other_unit(days: StationDays, years: npt.NDArray[Any]) -> Iterator[tuple[int, str, int, dict[str, Any]]]:
    """Yield stations with many temperatures of a year that no place on earth has seen: °F read as °C."""
    for column in ("tmax_c", "tmin_c"):
        for year in np.unique(years):
            readings = days.readings[column][:, years == year]
            for station in np.flatnonzero((readings > HOTTEST_C).sum(axis=1) >= MANY_IMPOSSIBLE):
                known = readings[station][~np.isnan(readings[station])]
                size = float(known.max())
                yield (
                    int(station),
                    column,
                    int(year),
                    {"doubt": "fahrenheit", "size": size, "days": len(known)},
                )


def _worst(
    days: StationDays, years: npt.NDArray[Any], open_years: list[tuple[str, int]], method: Interpolation
) -> list[tuple[int, str, int, list[dict[str, Any]]]]:
    """Return, for each open column and year with doubts, the station that is farthest from its neighbours.

    Only that one: a station that is far off makes its neighbours look wrong too.
    """
    estimates = left_out_estimates(days, method)
    found = []
    for column, year in open_years:
        own = years == year
        readings, theirs = days.readings[column][:, own], estimates[column][:, own]
        doubts = {
            station: _doubts(readings[station], theirs[station], column == "prcp_mm")
            for station in range(len(readings))
        }
        doubted = [station for station, each in doubts.items() if each]
        if doubted:
            differences = [_mean_difference(readings[station], theirs[station]) for station in doubted]
            worst = doubted[int(np.argmax(differences))]
            found.append((worst, column, year, doubts[worst]))
    return found


def _doubts(reading: Floats, estimate: Floats, rain: bool) -> list[dict[str, Any]]:
    known = ~np.isnan(reading) & ~np.isnan(estimate)
    if known.sum() < LEAST_DAYS:
        return []
    found = (
        _rain_doubts(reading[known], estimate[known])
        if rain
        else _temperature_doubts(reading, estimate, known)
    )
    return [{"doubt": doubt, "size": float(size), "days": int(known.sum())} for doubt, size in found]


def _temperature_doubts(
    reading: Floats, estimate: Floats, known: npt.NDArray[np.bool_]
) -> list[tuple[str, float]]:
    found: list[tuple[str, float]] = []
    equal = _longest_equal(reading)
    if equal >= STUCK_DAYS:
        found.append(("stuck", equal))
    difference = _mean_difference(reading, estimate)
    if _mean_difference(np.asarray(celsius_from_fahrenheit(reading)), estimate) < BETTER_SHARE * difference:
        return [*found, ("fahrenheit", float(np.median((reading - estimate)[known])))]
    centred = reading - np.median((reading - estimate)[known])
    plain = _mean_difference(centred, estimate)
    late, early = (_mean_difference(np.roll(centred, shift)[1:-1], estimate[1:-1]) for shift in (-1, 1))
    if min(late, early) < BETTER_SHARE * plain:
        found.append(("a day late" if late < early else "a day early", min(late, early) / plain))
    offset = float(np.median((reading - estimate)[known]))
    if abs(offset) > OFFSET_C:
        found.append(("offset", offset))
    return found


def _rain_doubts(reading: Floats, estimate: Floats) -> list[tuple[str, float]]:
    if estimate.sum() < LEAST_RAIN_MM or reading.sum() <= 0:
        return []
    ratio = reading.sum() / estimate.sum()
    nearest = min(RAIN_FACTORS, key=lambda factor: abs(np.log(ratio / factor)))
    if abs(np.log(ratio / nearest)) < np.log(RAIN_FACTOR_SLACK):
        return [(RAIN_FACTORS[nearest], ratio)]
    return []


def _mean_difference(reading: Floats, estimate: Floats) -> float:
    return float(np.nanmean(np.abs(reading - estimate)))


def _longest_equal(reading: Floats) -> int:
    """Return the most equal values in a row, missing days between them left out."""
    known = reading[~np.isnan(reading)]
    changes = np.flatnonzero(np.r_[True, known[1:] != known[:-1], True])
    return int(np.diff(changes).max(initial=0))


def _most_rain_around(days: StationDays, method: Interpolation) -> Floats:
    """Return the largest rain (S, D) that another station within the limit reported, missing if none did."""
    stations = days.stations
    around = nearest_stations(
        stations["lon"], stations["lat"], stations, method.limit_km, leave_out=np.arange(len(stations))
    )
    most = np.full(days.readings["prcp_mm"].shape, np.nan)
    for rank in range(around.station.shape[1]):
        within = around.weight[:, rank] > 0
        theirs = days.readings["prcp_mm"][around.station[within, rank]]
        most[within] = np.fmax(most[within], theirs)
    return most
