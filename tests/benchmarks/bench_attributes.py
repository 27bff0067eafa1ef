"""How long the attributes of a large network take, beside a plain numpy pass over the same daily arrays.

Run as a script: `python tests/benchmarks/bench_attributes.py [--gardens N] [--stations N] [--seasons N]`.

The plain pass is handed finished arrays (gardens by days) of maximum, minimum and rain, and does what the
attributes need of them in one go over all gardens: degree days, counts, the heat index, Hargreaves
evapotranspiration, sums, the longest dry spell, the water balance and the freezes of the year. It
interpolates nothing, joins nothing and checks nothing. Its heat index is the regression without adjustments
on all days. Seconds are processor seconds, which other programs on the machine disturb less than the clock.
"""

import argparse
import resource
import sys
import time
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

sys.path.insert(0, str(Path(__file__).parents[2]))

from sites.attributes import Sources, attributes
from sites.crops import read_crops
from sites.geography import Axis, read_counties
from sites.soil import read_map_units

ROOT = Path(__file__).parents[2]
AXIS = Axis(origin=(-102.0517, 38.5), centre=(-98.35, 38.5))
SEASON_DAYS = 200
FIRST_YEAR = 2023


def main() -> None:
    """Print seconds, their ratio and the peak memory."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--gardens", type=int, default=20_000)
    parser.add_argument("--stations", type=int, default=500)
    parser.add_argument("--seasons", type=int, default=3)
    options = parser.parse_args()
    rng = np.random.default_rng(20)
    sources = made_sources(rng, options.stations, options.seasons)
    gardens = made_gardens(rng, options.gardens)
    seasons = made_seasons(options.seasons)

    before = peak_mb()
    started = time.process_time()
    table = attributes(gardens, seasons, sources, AXIS)
    ours = time.process_time() - started
    peak = peak_mb()

    plain = plain_seconds(rng, options.gardens, options.seasons, gardens["lat"].to_numpy())
    complete = (table["temperature_state"] == "complete").mean()
    say(f"{len(table):,} rows of {table.shape[1]} columns, {complete:.0%} with complete temperatures")
    say(f"attributes  {ours:6.2f} s, {peak - before:,.0f} MB above the {before:,.0f} MB of the data")
    say(f"plain pass  {plain:6.2f} s")
    say(f"ratio       {ours / plain:6.2f}")


def say(line: str) -> None:
    """Write one line of the result."""
    sys.stdout.write(line + "\n")


def peak_mb() -> float:
    """Return the largest resident memory of this process so far, MB."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0


def made_gardens(rng: np.random.Generator, count: int) -> pd.DataFrame:
    """Return invented gardens spread over the demo network's region."""
    return pd.DataFrame(
        {
            "site": [f"B{number:05}" for number in range(count)],
            "lon": rng.uniform(-102.0, -94.7, count),
            "lat": rng.uniform(37.05, 39.95, count),
            "elevation_m": rng.uniform(250.0, 1150.0, count),
        }
    )


def made_seasons(count: int) -> pd.DataFrame:
    """Return one season of 200 days for each year."""
    start = [pd.Timestamp(f"{FIRST_YEAR + year}-04-15") for year in range(count)]
    end = [day + pd.Timedelta(days=SEASON_DAYS - 1) for day in start]
    season = [FIRST_YEAR + year for year in range(count)]
    return pd.DataFrame(
        {"season": season, "trial": "B", "crop": "tomato-slicing", "start": start, "end": end}
    )


def made_sources(rng: np.random.Generator, stations: int, seasons: int) -> Sources:
    """Return invented stations whose daily record misses three values in a hundred."""
    dates = pd.date_range(f"{FIRST_YEAR}-01-01", f"{FIRST_YEAR + seasons - 1}-12-31")
    names = [f"ZZ0BNC{number:05}" for number in range(stations)]
    table = pd.DataFrame(
        {"station": names, "name": "", "state": "", "lon": rng.uniform(-102.5, -94.2, stations)}
    ).assign(lat=rng.uniform(36.6, 40.4, stations), elevation_m=rng.uniform(250.0, 1150.0, stations))
    season = -np.cos(2 * np.pi * (dates.day_of_year.to_numpy() - 15) / 365.25)
    shape = (stations, len(dates))
    tmax = 19.0 + 14.0 * season + rng.normal(0, 5, shape)
    tmin = tmax - rng.uniform(5, 18, shape)
    rain = np.where(rng.random(shape) < 0.24, rng.gamma(0.8, 9.0, shape), 0.0)
    daily = pd.DataFrame(
        {
            "station": pd.Categorical.from_codes(np.repeat(np.arange(stations), len(dates)), names),
            "date": np.tile(dates.to_numpy(), stations),
            **{
                column: np.where(rng.random(shape) < 0.03, np.nan, values).round(1).ravel()
                for column, values in (("tmax_c", tmax), ("tmin_c", tmin), ("prcp_mm", rain))
            },
        }
    )
    units = read_map_units(ROOT / "sample_data" / "soil" / "map_units.geojson")
    normals = pd.DataFrame(
        [(name, month, 20.0, 8.0, 60.0) for name in names for month in range(1, 13)],
        columns=["station", "month", "tmax_c", "tmin_c", "prcp_mm"],
    )
    return Sources(table, daily, read_counties(), read_crops(), units, None, normals)


def plain_seconds(rng: np.random.Generator, gardens: int, seasons: int, lat: np.ndarray) -> float:
    """Return the seconds that a plain pass takes over finished arrays, season by season."""
    shape = (gardens, SEASON_DAYS)
    tmax = rng.normal(30.0, 5.0, shape)
    tmin = tmax - rng.uniform(5.0, 18.0, shape)
    rain = np.where(rng.random(shape) < 0.24, 10.0 * rng.random(shape), 0.0)
    year_tmin = rng.normal(8.0, 10.0, (gardens, 365))
    day_of_year = np.arange(105, 105 + SEASON_DAYS)
    seconds = 0.0
    for _ in range(seasons):
        started = time.process_time()
        plain_pass(tmax, tmin, rain, year_tmin, np.radians(lat), day_of_year)
        seconds += time.process_time() - started
    return seconds


def plain_pass(
    tmax: np.ndarray,
    tmin: np.ndarray,
    rain: np.ndarray,
    year_tmin: np.ndarray,
    lat: np.ndarray,
    day: np.ndarray,
) -> list[Any]:
    """Return the indices of one season for all gardens, written down without a second thought."""
    heat = (np.clip(tmax, 10.0, 30.0) + np.clip(tmin, 10.0, 30.0)) / 2.0 - 10.0
    distance = 1.0 + 0.033 * np.cos(2.0 * np.pi / 365.0 * day)
    declination = 0.409 * np.sin(2.0 * np.pi / 365.0 * day - 1.39)
    angle = np.arccos(-np.tan(lat)[:, None] * np.tan(declination))
    geometry = angle * np.sin(lat)[:, None] * np.sin(declination)
    geometry = geometry + np.cos(lat)[:, None] * np.cos(declination) * np.sin(angle)
    radiation = 0.408 * 24.0 * 60.0 / np.pi * 0.082 * distance * geometry
    et = 0.0023 * ((tmax + tmin) / 2.0 + 17.8) * np.sqrt(np.maximum(tmax - tmin, 0.0)) * radiation
    t = tmax * 1.8 + 32.0
    r = 100.0 * np.exp(17.27 * tmin / (tmin + 237.3) - 17.27 * tmax / (tmax + 237.3))
    felt = -42.379 + 2.04901523 * t + 10.14333127 * r - 0.22475541 * t * r - 0.00683783 * t * t
    felt += -0.05481717 * r * r + 0.00122874 * t * t * r + 0.00085282 * t * r * r - 0.00000199 * t * t * r * r
    simple = (0.5 * (t + 61.0 + 1.2 * (t - 68.0) + 0.094 * r) + t) / 2.0
    felt = np.where(simple < 80.0, simple, felt)
    days = np.arange(1, rain.shape[1] + 1)
    spell = (days - np.maximum.accumulate(np.where(rain < 1.0, 0, days), axis=1)).max(axis=1)
    depletion, short = np.zeros(len(rain)), np.zeros(len(rain))
    for each in range(rain.shape[1]):
        depletion = np.clip(depletion + et[:, each] - rain[:, each], 0.0, 50.0)
        short += depletion > 20.0
    freezing = year_tmin <= 0.0
    last = 202 - freezing[:, 202::-1].argmax(axis=1)
    first = 203 + freezing[:, 203:].argmax(axis=1)
    counts = [
        (tmax > 29.4).sum(1),
        (tmax > 33.0).sum(1),
        (tmin > 21.0).sum(1),
        (tmin > 24.0).sum(1),
        (tmin < 12.8).sum(1),
        (felt >= 90.0).sum(1),
        (felt >= 103.0).sum(1),
    ]
    return [
        heat.sum(1),
        tmax.mean(1),
        tmin.mean(1),
        et.sum(1),
        rain.sum(1),
        spell,
        short,
        last,
        first,
        *counts,
    ]


if __name__ == "__main__":
    main()
