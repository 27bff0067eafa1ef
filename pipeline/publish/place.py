"""What is known of each garden's place in one trial and season, as pages show it."""

from dataclasses import dataclass
from typing import Any

import pandas as pd
import sqlalchemy as sa

from pipeline.store.read import counting_rows
from pipeline.surroundings import Surroundings
from pipeline.workspace import Workspace
from sites.attributes import Sources, attributes
from sites.attributes.freezes import year_of
from sites.climate import Interpolation, JudgedRecord, judged_record
from sites.climate.freezes import growing_year
from sites.geography import Axis, coordinate_check, public_place


@dataclass(frozen=True)
class KnownPlaces:
    """What every season of a night draws on.

    The station record as far as it is believed, soil tests, and the one table of places that others may see.
    """

    record: JudgedRecord
    soil_tests: pd.DataFrame
    public: pd.DataFrame


def known_places(connection: sa.Connection, workspace: Workspace, surroundings: Surroundings) -> KnownPlaces:
    """Return what is known of all places tonight."""
    return KnownPlaces(
        believed_record(workspace, surroundings),
        counting_rows(connection, "soil"),
        public_places(workspace, surroundings),
    )


def public_places(workspace: Workspace, surroundings: Surroundings) -> pd.DataFrame:
    """Return the one table of places that public pages and releases rest on; see `public_place`.

    A garden whose coordinates cannot be used has no public place either.
    """
    gardens, axis = surroundings.registry.gardens, workspace.settings.axis
    good = coordinate_check(gardens["lon"], gardens["lat"], surroundings.counties).verdict == "good"
    placed = gardens.assign(lon=gardens["lon"].where(good), lat=gardens["lat"].where(good))
    return public_place(placed, surroundings.counties, axis.origin, axis.centre, axis.azimuth_deg)


def believed_record(workspace: Workspace, surroundings: Surroundings) -> JudgedRecord:
    """Return the station record as far as it is believed, judged over the years of the network's trials."""
    weather, trials = workspace.settings.weather, surroundings.registry.trials
    southern = bool(surroundings.registry.gardens["lat"].mean() < 0)
    first = trials["start"].min() if len(trials) else pd.Timestamp(workspace.today())
    return judged_record(
        surroundings.stations,
        surroundings.daily,
        Interpolation(
            weather.neighbours, weather.power, weather.limit_km, weather.lapse_tmax, weather.lapse_tmin
        ),
        since=growing_year(year_of(first, southern), southern)[0],
        normals=surroundings.normals,
    )


def place_frame(
    workspace: Workspace,
    surroundings: Surroundings,
    known: KnownPlaces,
    trial: Any,
    sites: pd.Series,
    planting: pd.DataFrame,
) -> pd.DataFrame:
    """Return one row of attributes for each garden of a trial and season."""
    gardens, axis = surroundings.registry.gardens, workspace.settings.axis
    planted = planting.groupby("site")["date"].min().rename("planted_on").reset_index()
    season = {"season": trial.season, "trial": trial.trial, "crop": trial.crop}
    return attributes(
        gardens[gardens["site"].isin(sites)],
        pd.DataFrame([season | {"start": trial.start, "end": trial.close}]),
        Sources(
            known.record.stations,
            known.record.daily,
            surroundings.counties,
            surroundings.crops,
            soil_units=surroundings.map_units,
            soil_tests=known.soil_tests,
            normals=surroundings.normals,
            plantings=planted.assign(season=trial.season, trial=trial.trial),
            freeze_risk=surroundings.freeze_risk,
            extremes=surroundings.extremes,
        ),
        Axis(axis.origin, axis.centre, axis.azimuth_deg),
        today=workspace.today(),
        method=known.record.method,
    )
