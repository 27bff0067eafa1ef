"""Station records taken into a workspace: from files, or fetched from the address in the settings.

A record is only ever replaced by one that was read whole, in one step; whatever goes wrong before that leaves
the last good copy where it is.
"""

import re
import tempfile
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal

import pandas as pd

from pipeline.workspace import Workspace
from sites.climate import read_inventory, read_stations, read_values, stations_for
from sites.climate.neighbours import nearest_stations
from sites.climate.records import is_record
from sites.climate.writing import (
    READ_AGAIN_DAYS,
    by_station_text,
    inventory_text,
    joined,
    stations_text,
)
from sites.errors import InputError, LongrowError
from sites.registry import Registry, read_registry
from sites.whole_files import put_whole

Kind = Literal["stations", "inventory", "record"]

#: A line of ghcnd-inventory.txt and of ghcnd-stations.txt: identifier, latitude, longitude, then element and
#: years, or elevation (GHCN-Daily readme, sections IV and VII).
_INVENTORY = re.compile(r"^\S{11} [ \d.-]{8} [ \d.-]{9} [A-Z]\w{3} \d{4} \d{4}\s*$")
_STATIONS = re.compile(r"^\S[\w-]{0,10}\s* +-?\d+\.\d+ +-?\d+\.\d+ +-?\d+\.\d+( |$)")

#: Names of stations that are taken as the name of a file.
_FILE_NAME = re.compile(r"^[A-Za-z0-9_-]{1,40}$")


@dataclass(frozen=True)
class TakenStation:
    """What became of one station's record."""

    station: str
    new: int = 0
    changed: int = 0
    withdrawn: int = 0
    last_day: str | None = None
    trouble: str = ""


@dataclass
class WeatherReport:
    """What became of weather files, station by station, and how many stations were listed."""

    stations: list[TakenStation] = field(default_factory=list)
    listed: int = 0
    without_place: list[str] = field(default_factory=list)

    @property
    def troubles(self) -> list[TakenStation]:
        """Return the stations whose record could not be taken."""
        return [each for each in self.stations if each.trouble]


def take_files(workspace: Workspace, paths: Iterable[Path]) -> WeatherReport:
    """Take station lists, inventories and records into the workspace; a folder stands for its files.

    Of a list or an inventory only the stations are kept that a garden can reach, or that have a record.
    Raises InputError for a file that is none of these, before anything of it is taken.
    """
    report = WeatherReport()
    files = [
        file
        for path in paths
        for file in (sorted(each for each in path.iterdir() if is_record(each)) if path.is_dir() else [path])
    ]
    kinds = [(kind_of(path), path) for path in files]
    # Records first: a list keeps the stations that have one.
    for kind, path in sorted(kinds, key=lambda each: each[0] != "record"):
        if kind == "record":
            report.stations += take_record(workspace, read_values(path))
        elif kind == "stations":
            report.listed += _take_list(workspace, path)
        else:
            _take_inventory(workspace, path)
    report.without_place = _without_place(workspace, report)
    return report


def kind_of(path: Path) -> Kind:
    """Return what a weather file is, by its first line."""
    try:
        with path.open("rb") as file:
            first = file.readline(400).decode("utf-8-sig", errors="replace").rstrip()
    except OSError as problem:
        raise InputError(f"{path} cannot be read ({problem.strerror}). Check the name.") from problem
    names = {name.strip().lower() for name in first.split(",")}
    if _INVENTORY.match(first):
        return "inventory"
    if _STATIONS.match(first) or {"station", "lat", "lon", "elevation_m"} <= names:
        return "stations"
    return "record"


def take_record(workspace: Workspace, values: pd.DataFrame) -> list[TakenStation]:
    """Join values with what is held of their stations; each station has a file of its own."""
    return [
        _take_station(workspace, str(station), own)
        for station, own in values.groupby("station", observed=True)
    ]


def fetch_all(
    workspace: Workspace, fetch: Callable[[str], bytes], told: Callable[[TakenStation], None] | None = None
) -> WeatherReport:
    """Fetch the record of each station that gardens need and join it with what is held.

    `fetch` returns what stands at an address, or raises InputError; then, as for an answer that cannot be
    read or is about another station, the last good copy stays. The last 60 days that are held are asked for
    again. Raises InputError where the settings have no address or no station is known.
    """
    address = workspace.settings.weather.address
    if not address:
        raise InputError(
            "Nothing is fetched: [weather] address in network.toml is blank. Write the address of a "
            "station's record there, with {station} in it, or give files: longrow weather FILE"
        )
    registry = read_registry(workspace.registry)
    report = WeatherReport()
    for station in _wanted(workspace, registry):
        start = _since(workspace, registry, station)
        where = address.format(station=station, start=start, end=workspace.today())
        taken = _fetched(workspace, station, where, fetch)
        report.stations.append(taken)
        if told is not None:
            told(taken)
    return report


def _fetched(workspace: Workspace, station: str, where: str, fetch: Callable[[str], bytes]) -> TakenStation:
    try:
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / f"{station}.csv"
            path.write_bytes(fetch(where))
            values = read_values(path)
        if set(values["station"].astype("str")) != {station}:
            others = ", ".join(sorted(values["station"].astype("str").unique())[:3]) or "no station"
            raise InputError(f"{where} answers for {others} and not for {station}. Check the address.")
        return _take_station(workspace, station, values)
    except LongrowError as problem:
        return TakenStation(station, trouble=str(problem), last_day=_last_day(_held(workspace, station)))


def _take_station(workspace: Workspace, station: str, values: pd.DataFrame) -> TakenStation:
    if not _FILE_NAME.match(station):
        raise InputError(
            f"Station {station[:60]!r} cannot be the name of a file. Use letters, digits, - and _ only."
        )
    held = _held(workspace, station)
    found = joined(held, values) if held is not None else joined(values.iloc[:0], values)
    put_whole(workspace.daily / f"{station}.csv", by_station_text(found.record).encode())
    own = found.record[found.record["station"] == station]
    return TakenStation(station, found.new, found.changed, found.withdrawn, _last_day(own))


def _held(workspace: Workspace, station: str) -> pd.DataFrame | None:
    path = workspace.daily / f"{station}.csv"
    return read_values(path) if path.exists() else None


def _last_day(values: pd.DataFrame | None) -> str | None:
    if values is None or values.empty:
        return None
    return str(values["date"].max().date())


def _take_list(workspace: Workspace, path: Path) -> int:
    """Take the stations of a list that gardens can reach or that have a record; return how many there are."""
    incoming, target = read_stations(path), workspace.climate / "stations.txt"
    known = read_stations(target) if target.exists() else incoming.iloc[:0]
    needed = incoming["station"].isin(known["station"]) | incoming["station"].isin(_recorded(workspace))
    chosen = incoming[needed | _in_reach(workspace, incoming)]
    kept = known[~known["station"].isin(chosen["station"])]
    listed = pd.concat([kept, chosen]).sort_values("station", ignore_index=True)
    put_whole(target, stations_text(listed).encode())
    return len(listed)


def _take_inventory(workspace: Workspace, path: Path) -> None:
    """Take the lines of an inventory whose stations gardens can reach."""
    incoming = read_inventory(path)
    chosen = incoming[_in_reach(workspace, incoming)]
    put_whole(workspace.climate / "inventory.txt", inventory_text(chosen).encode())


def _in_reach(workspace: Workspace, stations: pd.DataFrame) -> pd.Series:
    """Return which stations lie within the limit of a garden."""
    gardens = read_registry(workspace.registry).gardens.dropna(subset=["lon", "lat"])
    limit_km = workspace.settings.weather.limit_km
    near = nearest_stations(stations["lon"], stations["lat"], gardens, limit_km, most=1)
    return pd.Series((near.weight > 0).any(axis=1), stations.index)


def _recorded(workspace: Workspace) -> set[str]:
    return {path.name.split(".")[0] for path in workspace.daily.iterdir() if is_record(path)}


def _without_place(workspace: Workspace, report: WeatherReport) -> list[str]:
    """Return the stations that were taken and stand in no list: their records cannot be used yet."""
    target = workspace.climate / "stations.txt"
    known = set(read_stations(target)["station"]) if target.exists() else set()
    return sorted({each.station for each in report.stations if not each.trouble} - known)


def _wanted(workspace: Workspace, registry: Registry) -> list[str]:
    """Return the stations whose records gardens need: by the inventory if there is one, else all listed."""
    inventory, listed = workspace.climate / "inventory.txt", workspace.climate / "stations.txt"
    if inventory.exists():
        gardens = registry.gardens.dropna(subset=["lon", "lat"])
        found = stations_for(
            read_inventory(inventory),
            gardens["lon"],
            gardens["lat"],
            first_year=_first_year(workspace, registry),
            last_year=workspace.today().year - 1,
            limit_km=workspace.settings.weather.limit_km,
        )
        return [str(station) for station in found["station"]]
    if not listed.exists():
        raise InputError(
            f"There is no {listed}. Take the open station list first: longrow weather ghcnd-stations.txt"
        )
    return [str(station) for station in read_stations(listed)["station"]]


def _since(workspace: Workspace, registry: Registry, station: str) -> str:
    """Return the first day to ask for: 60 days before the last that is held, else the year before trials."""
    last = _last_day(_held(workspace, station))
    if last is None:
        return f"{_first_year(workspace, registry)}-01-01"
    return str((pd.Timestamp(last) - pd.Timedelta(days=READ_AGAIN_DAYS)).date())


def _first_year(workspace: Workspace, registry: Registry) -> int:
    """Return the year before the first trial, from which on a trend can be taken."""
    starts = registry.trials["start"]
    first = starts.min().year if len(starts) else workspace.today().year
    return min(int(first), workspace.today().year) - 1
