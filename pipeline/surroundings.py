"""Everything a night reads besides what was sent: registry, crops, weather, soil and counties."""

from dataclasses import dataclass

import pandas as pd

from pipeline.workspace import Workspace
from sites.climate import read_daily, read_stations
from sites.crops import read_crops
from sites.geography import read_counties
from sites.registry import Registry, read_registry
from sites.soil import read_map_units


@dataclass(frozen=True)
class Surroundings:
    """The registry and the place of one network; nothing in it is dated after the network's day."""

    registry: Registry
    crops: pd.DataFrame
    counties: pd.DataFrame
    stations: pd.DataFrame
    daily: pd.DataFrame
    map_units: pd.DataFrame


def read_surroundings(workspace: Workspace) -> Surroundings:
    """Return what surrounds the uploads of a network.

    Raises RegistryError with every problem of the registry, and InputError for a file that cannot be read.
    """
    registry = read_registry(workspace.registry)
    stations_file = workspace.climate / "stations.txt"
    daily_files = sorted((workspace.climate / "daily").glob("*.csv"))
    soil_file = workspace.soil / "map_units.geojson"
    daily = read_daily(daily_files)
    return Surroundings(
        registry=registry,
        crops=read_crops(),
        counties=read_counties(),
        stations=read_stations(stations_file),
        daily=daily[daily["date"] <= pd.Timestamp(workspace.today())],
        map_units=read_map_units(soil_file),
    )
