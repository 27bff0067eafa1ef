"""Invented places: gardens inside the counties, stations with a weather of their own, soil map units.

The climate is a plain sketch of a region that is high and dry in the west and low and moist in the east:
yearly cosines that change with longitude and height, and daily noise that stations share by nearness.
"""

import json
from pathlib import Path

import numpy as np
import pandas as pd
import shapely

from sites.geography import read_counties

#: First and last syllables of invented garden names.
_FIRST = (
    "Windle",
    "Quarry",
    "Salt",
    "Third",
    "Hollow",
    "Drover",
    "Chalk",
    "Bent",
    "Nine",
    "Tallow",
    "Mill",
    "Paper",
)
_LAST = ("Row", "Beds", "Corner", "Plot", "Patch", "Yard", "Garden", "Steps", "Lane", "Gate")

#: Height falls from west to east, metres; roughly the slope of a high plain. Invented.
_WEST_M, _EAST_M = 1150.0, 250.0

_KINDS = ("community", "school", "shared_yard", "library", "park")


def invented_gardens(count: int, rng: np.random.Generator, first_season: int) -> pd.DataFrame:
    """Return `count` gardens at random places inside the counties."""
    counties = read_counties()
    region = shapely.union_all(shapely.make_valid(counties["geometry"].to_numpy()))
    lon, lat = _points_inside(region, count, rng)
    width = max(2, len(str(count)))
    names = [f"{rng.choice(_FIRST)} {rng.choice(_LAST)} {number}" for number in range(1, count + 1)]
    return pd.DataFrame(
        {
            "site": [f"G{number:0{width}d}" for number in range(1, count + 1)],
            "name": names,
            "kind": rng.choice(_KINDS, count),
            "lon": np.round(lon, 4),
            "lat": np.round(lat, 4),
            "elevation_m": np.round(_height(lon, region) + rng.normal(0, 15, count)).astype(int),
            "beds": rng.integers(6, 30, count),
            "water_source": rng.choice(["municipal", "well", "rain_barrel"], count),
            "sun_hours": np.round(rng.uniform(6, 11, count) * 2) / 2,
            "first_season": first_season,
        }
    )


def _points_inside(
    region: shapely.Geometry, count: int, rng: np.random.Generator
) -> tuple[np.ndarray, np.ndarray]:
    west, south, east, north = region.bounds
    shapely.prepare(region)
    found = np.empty((0, 2))
    while len(found) < count:
        tries = np.column_stack([rng.uniform(west, east, 2 * count), rng.uniform(south, north, 2 * count)])
        found = np.vstack([found, tries[shapely.contains_xy(region, tries[:, 0], tries[:, 1])]])
    chosen = found[:count][np.argsort(found[:count, 0])]
    return chosen[:, 0], chosen[:, 1]


def _height(lon: np.ndarray, region: shapely.Geometry) -> np.ndarray:
    west, _, east, _ = region.bounds
    return _WEST_M + (_EAST_M - _WEST_M) * (lon - west) / (east - west)


def write_climate(folder: Path, years: list[int], rng: np.random.Generator, stations: int = 14) -> None:
    """Write stations with daily records for the years in the open GHCN-Daily layouts."""
    region = shapely.union_all(shapely.make_valid(read_counties()["geometry"].to_numpy()))
    lon, lat = _points_inside(region, stations, rng)
    height = _height(lon, region)
    ids = [f"ZZ0SIM{number:05d}" for number in range(1, stations + 1)]
    (folder / "daily").mkdir(parents=True, exist_ok=True)
    lines = [
        f"{station:<11} {latitude:8.4f} {longitude:9.4f} {metres:6.1f} KS {'INVENTED':<44}"
        for station, latitude, longitude, metres in zip(ids, lat, lon, height, strict=True)
    ]
    (folder / "stations.txt").write_text("\n".join(lines) + "\n", encoding="utf-8")
    days = pd.date_range(f"{years[0]}-01-01", f"{years[-1]}-12-31")
    tmax, tmin, rain = _weather(days, lon, height, rng)
    for at, station in enumerate(ids):
        _write_station(
            folder / "daily" / f"{station}.csv", station, days, tmax[:, at], tmin[:, at], rain[:, at]
        )


def _weather(
    days: pd.DatetimeIndex, lon: np.ndarray, height: np.ndarray, rng: np.random.Generator
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return daily maxima and minima in °C and rain in mm; shape days by stations."""
    season = -np.cos(2 * np.pi * (days.day_of_year.to_numpy() - 20) / 365.25)[:, None]
    east = (lon - lon.mean())[None, :] / 3.7
    apart = np.abs(lon[:, None] - lon[None, :])
    shared = np.linalg.cholesky(np.exp(-apart / 4) + 1e-6 * np.eye(len(lon)))
    noise = np.empty((len(days), len(lon)))
    step = rng.standard_normal((len(days), len(lon))) @ shared.T
    noise[0] = step[0]
    for day in range(1, len(days)):
        noise[day] = 0.6 * noise[day - 1] + 0.8 * step[day]
    above = (height - height.mean())[None, :] / 1000
    tmax = 19.5 + 13.5 * season - 6.0 * above + 5.0 * noise
    spread = 14.0 - 2.0 * east + 1.5 * rng.standard_normal(tmax.shape)
    tmin = tmax - np.maximum(spread, 3.0)
    chance = 0.24 + 0.05 * east + 0.05 * season
    wet = (step @ np.linalg.inv(shared).T * 0.5 + 0.87 * rng.standard_normal(tmax.shape)) > _threshold(chance)
    rain = np.where(wet, rng.gamma(0.8, 9.0 + 2.0 * np.broadcast_to(east, tmax.shape)), 0.0)
    return tmax, tmin, rain


def _threshold(chance: np.ndarray) -> np.ndarray:
    from scipy.special import ndtri

    return -ndtri(np.clip(chance, 0.02, 0.9))


def _write_station(
    path: Path, station: str, days: pd.DatetimeIndex, tmax: np.ndarray, tmin: np.ndarray, rain: np.ndarray
) -> None:
    parts = [
        pd.DataFrame({"day": days, "ELEMENT": element, "DATA_VALUE": np.round(values * 10).astype(int)})
        for element, values in (("TMAX", tmax), ("TMIN", tmin), ("PRCP", rain))
    ]
    table = pd.concat(parts).sort_values(["day", "ELEMENT"], kind="stable")
    table = table.assign(
        ID=station, DATE=table["day"].dt.strftime("%Y%m%d"), M_FLAG="", Q_FLAG="", S_FLAG="V", OBS_TIME="2400"
    )
    columns = ["ID", "DATE", "ELEMENT", "DATA_VALUE", "M_FLAG", "Q_FLAG", "S_FLAG", "OBS_TIME"]
    table[columns].to_csv(path, index=False, lineterminator="\n")


def write_soil(path: Path, rng: np.random.Generator, across: int = 8, down: int = 4) -> None:
    """Write invented soil map units: a grid that turns finer, more acid and richer eastward."""
    west, south, east, north = shapely.total_bounds(read_counties()["geometry"].to_numpy())
    lons, lats = (
        np.linspace(west - 0.01, east + 0.01, across + 1),
        np.linspace(south - 0.01, north + 0.01, down + 1),
    )
    features: list[dict[str, object]] = []
    for column in range(across):
        for row in range(down):
            place = column / max(across - 1, 1)
            clay = float(np.clip(18 + 14 * place + rng.normal(0, 3), 5, 45))
            sand = float(np.clip(38 - 20 * place + rng.normal(0, 5), 5, 80))
            box = shapely.box(lons[column], lats[row], lons[column + 1], lats[row + 1])
            features.append(
                {
                    "type": "Feature",
                    "properties": {
                        "unit": f"SIM{len(features) + 1:03d}",
                        "sand_pct": round(sand, 1),
                        "silt_pct": round(100 - round(sand, 1) - round(clay, 1), 1),
                        "clay_pct": round(clay, 1),
                        "organic_matter_pct": round(1.2 + 1.8 * place + float(rng.normal(0, 0.2)), 2),
                        "ph": round(7.8 - 1.3 * place + float(rng.normal(0, 0.15)), 1),
                        "available_water": round(0.14 + 0.04 * place, 3),
                        "drainage": "well drained",
                    },
                    "geometry": shapely.geometry.mapping(shapely.orient_polygons(box, exterior_cw=False)),
                }
            )
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features}), encoding="utf-8")
