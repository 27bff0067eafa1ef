"""Everything a night reads besides what was sent: registry, crops, weather, soil and counties."""

from dataclasses import dataclass
from functools import cached_property

import pandas as pd

from pipeline.corrections import Corrections, read_corrections
from pipeline.intake.units import BARE_WEIGHT
from pipeline.workspace import Workspace
from sites.climate import (
    freeze_risk,
    freezes_of_record,
    read_daily,
    read_extremes,
    read_freezes,
    read_normals,
    read_stations,
)
from sites.climate.freeze_risk import LEAST_YEARS, no_freeze_risk
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
class StationFreezes:
    """The stations of a network and their freeze dates by probability."""

    stations: pd.DataFrame
    risk: pd.DataFrame


@dataclass(frozen=True)
class Surroundings:
    """The registry and the place of one network; nothing in it is dated after the network's day.

    A network may have no stations and no soil map units yet: then gardens have no weather and no soil, and
    their attributes say so. `normals` are monthly, of thirty years; `freezes` are the freeze dates and
    `extremes` the lowest minima of past years.
    """

    registry: Registry
    crops: pd.DataFrame
    counties: pd.DataFrame
    stations: pd.DataFrame
    daily: pd.DataFrame
    normals: pd.DataFrame | None
    freezes: pd.DataFrame | None
    extremes: pd.DataFrame | None
    map_units: pd.DataFrame | None
    corrections: Corrections

    @cached_property
    def freeze_risk(self) -> pd.DataFrame:
        """Return the stations' freeze dates by probability, as `sites.climate.freeze_risk` has them.

        From the table of past freezes where there is one, else from the daily record where that is long
        enough; without rows where neither tells.
        """
        if self.freezes is not None:
            return freeze_risk(self.freezes)
        years = self.daily["date"].dt.year
        if self.daily.empty or years.max() - years.min() < LEAST_YEARS:
            return no_freeze_risk()
        whole = range(int(years.min()), int(years.max()))
        return freeze_risk(freezes_of_record(self.stations, self.daily, whole))

    @property
    def station_freezes(self) -> StationFreezes:
        """Return the stations with their freeze dates by probability."""
        return StationFreezes(self.stations, self.freeze_risk)


def read_surroundings(workspace: Workspace) -> Surroundings:
    """Return what surrounds the uploads of a network.

    Raises RegistryError with every problem of the registry, and InputError for a file that cannot be read.
    """
    soil_file = workspace.soil / "map_units.geojson"
    daily_files = sorted(path for path in workspace.daily.iterdir() if is_record(path))
    normals_file, freezes_file = workspace.climate / "normals.csv", workspace.climate / "freezes.csv"
    extremes_file = workspace.climate / "extremes.csv"
    daily = read_daily(daily_files) if daily_files else _nothing(_DAILY)
    return Surroundings(
        registry=read_registry(workspace.registry),
        crops=read_crops(),
        counties=read_counties(),
        stations=network_stations(workspace),
        daily=daily[daily["date"] <= pd.Timestamp(workspace.today())],
        normals=read_normals(normals_file) if normals_file.exists() else None,
        freezes=read_freezes(freezes_file) if freezes_file.exists() else None,
        extremes=read_extremes(extremes_file) if extremes_file.exists() else None,
        map_units=read_map_units(soil_file) if soil_file.exists() else None,
        corrections=read_corrections(
            workspace.registry, workspace.today(), BARE_WEIGHT[workspace.settings.units]
        ),
    )


def network_stations(workspace: Workspace) -> pd.DataFrame:
    """Return the weather stations of a network; a network may have none yet."""
    file = workspace.climate / "stations.txt"
    return read_stations(file) if file.exists() else _nothing(_STATIONS)


def network_freezes(workspace: Workspace) -> StationFreezes:
    """Return what the surroundings say of freezes; days are read only where no table tells them."""
    file = workspace.climate / "freezes.csv"
    if not file.exists():
        return read_surroundings(workspace).station_freezes
    return StationFreezes(network_stations(workspace), freeze_risk(read_freezes(file)))


def _nothing(columns: dict[str, str]) -> pd.DataFrame:
    return pd.DataFrame({name: pd.Series(dtype=dtype) for name, dtype in columns.items()})
