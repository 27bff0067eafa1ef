"""Weather stations: where they stand and what they have measured, from the open GHCN-Daily station files."""

from pathlib import Path

import numpy as np
import pandas as pd

from sites.climate.neighbours import nearest_stations
from sites.errors import InputError
from sites.scalars import Numbers

#: Columns of ghcnd-stations.txt as the GHCN-Daily readme gives them (section IV), counted from zero.
STATION_COLUMNS = {
    "station": (0, 11),
    "lat": (12, 20),
    "lon": (21, 30),
    "elevation_m": (31, 37),
    "state": (38, 40),
    "name": (41, 71),
}

#: Columns of ghcnd-inventory.txt as the GHCN-Daily readme gives them (section VII), counted from zero.
INVENTORY_COLUMNS = {
    "station": (0, 11),
    "lat": (12, 20),
    "lon": (21, 30),
    "element": (31, 35),
    "first_year": (36, 40),
    "last_year": (41, 45),
}

#: What ghcnd-stations.txt writes where it knows no elevation.
UNKNOWN_ELEVATION_M = -999.9


def read_stations(path: Path | str) -> pd.DataFrame:
    """Return the stations of a ghcnd-stations.txt: station, name, state, lat, lon, elevation_m.

    The layout is fixed width. A comma-separated table with those column names is read too (name and state may
    be absent). An unknown elevation is missing. Raises InputError where the file is neither, or names a
    station twice.
    """
    lines = _lines(path)
    if "," in lines.iloc[0] and "station" in lines.iloc[0].lower():
        stations = _read_table(path)
    else:
        stations = _fixed_width(path, lines, STATION_COLUMNS, numeric=("lat", "lon", "elevation_m"))
    unknown = stations["elevation_m"] <= UNKNOWN_ELEVATION_M
    stations["elevation_m"] = stations["elevation_m"].mask(unknown)
    if stations["station"].duplicated().any():
        twice = stations.loc[stations["station"].duplicated(), "station"].iloc[0]
        raise InputError(f"{path}: station {twice} is there twice. Keep the line that is right.")
    return stations[["station", "name", "state", "lat", "lon", "elevation_m"]]


def read_inventory(path: Path | str) -> pd.DataFrame:
    """Return what each station of a ghcnd-inventory.txt has measured, and from which year to which.

    Columns: station, lat, lon, element, first_year, last_year. Raises InputError where the file is none.
    """
    numeric = ("lat", "lon", "first_year", "last_year")
    inventory = _fixed_width(path, _lines(path), INVENTORY_COLUMNS, numeric)
    return inventory.astype({"first_year": int, "last_year": int})


def _lines(path: Path | str) -> pd.Series:
    try:
        text = Path(path).read_text(encoding="utf-8")
    except OSError as problem:
        raise InputError(
            f"{path} cannot be read ({problem.strerror}). Check the name and the folder."
        ) from problem
    lines = [line for line in text.splitlines() if line.strip()]
    if not lines:
        raise InputError(f"{path} is empty. It should list one weather station on each line.")
    return pd.Series(lines, dtype="str")


def _fixed_width(
    path: Path | str, lines: pd.Series, columns: dict[str, tuple[int, int]], numeric: tuple[str, ...]
) -> pd.DataFrame:
    table = pd.DataFrame({name: lines.str.slice(*span).str.strip() for name, span in columns.items()})
    for name in numeric:
        table[name] = pd.to_numeric(table[name], errors="coerce")
    broken = table[["lat", "lon", *numeric]].isna().any(axis=1) | (table["lat"].abs() > 90)
    if broken.any():
        line = int(np.flatnonzero(broken)[0]) + 1
        raise InputError(
            f"{path}, line {line}: this is no line of the open station list (fixed width: 11 characters of "
            "identifier, then latitude, longitude and elevation). Take the file from its source again."
        )
    return table


def _read_table(path: Path | str) -> pd.DataFrame:
    table = pd.read_csv(path, dtype=str, keep_default_na=False)
    table.columns = table.columns.str.strip().str.lower()
    missing = {"station", "lat", "lon", "elevation_m"} - set(table.columns)
    if missing:
        raise InputError(
            f"{path} has no column {', '.join(sorted(missing))}. Add it; see the station list's columns."
        )
    for name in ("lat", "lon", "elevation_m"):
        table[name] = pd.to_numeric(table[name], errors="coerce")
    placeless = table[["lat", "lon"]].isna().any(axis=1)
    if placeless.any():
        station = table.loc[placeless, "station"].iloc[0]
        raise InputError(f"{path}: station {station} has no latitude and longitude. Fill them in.")
    return table.assign(**{name: "" for name in ("name", "state") if name not in table})


def stations_for(
    inventory: pd.DataFrame,
    lon: Numbers,
    lat: Numbers,
    first_year: int,
    last_year: int,
    limit_km: float = 250.0,
    count: int = 6,
) -> pd.DataFrame:
    """Return which stations to get records of for some gardens: station, elements, nearest_km, nearest first.

    For each garden and each of TMAX, TMIN and PRCP the nearest `count` stations that measured in all of the
    years.
    """
    wanted = inventory["element"].isin(["TMAX", "TMIN", "PRCP"])
    covering = (inventory["first_year"] <= first_year) & (inventory["last_year"] >= last_year)
    chosen = []
    for element, stations in inventory[wanted & covering].groupby("element"):
        near = nearest_stations(lon, lat, stations, limit_km, most=count)
        within = near.weight > 0
        names = stations["station"].to_numpy()[near.station[within]]
        chosen.append(pd.DataFrame({"station": names, "element": element, "km": near.distance_km[within]}))
    if not chosen:
        raise InputError(
            f"No station of the inventory measured from {first_year} to {last_year}. Ask for fewer years."
        )
    found = (
        pd.concat(chosen)
        .groupby("station")
        .agg(elements=("element", lambda each: " ".join(sorted(set(each)))), nearest_km=("km", "min"))
    )
    return found.sort_values("nearest_km").reset_index()
