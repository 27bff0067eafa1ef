"""Everything a night reads besides what was sent: registry, crops, weather, soil and counties."""

from dataclasses import dataclass

import pandas as pd

from pipeline.corrections import Corrections, read_corrections
from pipeline.intake.units import BARE_WEIGHT
from pipeline.workspace import Workspace
from sites.climate import read_daily, read_freezes, read_normals, read_stations
from sites.climate.records import is_record
from sites.crops import read_crops
from sites.geography import read_counties
from sites.registry import Registry, read_registry
from sites.soil import read_map_units

_STATIONS = {
    "station": "str",
    "name": "str",
    "state": "str",
    "lat": "float",
    "lon": "float",
    "elevation_m": "float",
}
_DAILY = {
    "station": "str",
    "date": "datetime64[us]",
    "tmax_c": "float",
    "tmin_c": "float",
    "prcp_mm": "float",
    "prcp_trace": "bool",
    "set_aside": "int64",
}


@dataclass(frozen=True)
class Surroundings:
    """The registry and the place of one network; nothing in it is dated after the network's day.

    A network may have no stations and no soil map units yet: then gardens have no weather and no soil, and
    their attributes say so. `normals` are monthly, of thirty years; `freezes` the freeze dates of past years.
    """

    registry: Registry
    crops: pd.DataFrame
    counties: pd.DataFrame
    stations: pd.DataFrame
    daily: pd.DataFrame
    normals: pd.DataFrame | None
    freezes: pd.DataFrame | None
    map_units: pd.DataFrame | None
    corrections: Corrections


def read_surroundings(workspace: Workspace) -> Surroundings:
    """Return what surrounds the uploads of a network.

    Raises RegistryError with every problem of the registry, and InputError for a file that cannot be read.
    """
    soil_file = workspace.soil / "map_units.geojson"
    daily_files = sorted(path for path in workspace.daily.iterdir() if is_record(path))
    normals_file, freezes_file = workspace.climate / "normals.csv", workspace.climate / "freezes.csv"
    daily = read_daily(daily_files) if daily_files else _nothing(_DAILY)
    return Surroundings(
        registry=read_registry(workspace.registry),
        crops=read_crops(),
        counties=read_counties(),
        stations=network_stations(workspace),
        daily=daily[daily["date"] <= pd.Timestamp(workspace.today())],
        normals=read_normals(normals_file) if normals_file.exists() else None,
        freezes=read_freezes(freezes_file) if freezes_file.exists() else None,
        map_units=read_map_units(soil_file) if soil_file.exists() else None,
        corrections=read_corrections(
            workspace.registry, workspace.today(), BARE_WEIGHT[workspace.settings.units]
        ),
    )


def network_stations(workspace: Workspace) -> pd.DataFrame:
    """Return the weather stations of a network; a network may have none yet."""
    file = workspace.climate / "stations.txt"
    return read_stations(file) if file.exists() else _nothing(_STATIONS)


def _nothing(columns: dict[str, str]) -> pd.DataFrame:
    return pd.DataFrame({name: pd.Series(dtype=dtype) for name, dtype in columns.items()})
