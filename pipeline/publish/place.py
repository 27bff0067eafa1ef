"""What is known of each garden's place in one trial and season, as pages show it."""

from typing import Any

import pandas as pd

from pipeline.surroundings import Surroundings
from pipeline.workspace import Workspace
from sites.attributes import Sources, attributes
from sites.climate import Interpolation
from sites.geography import Axis


def place_frame(
    workspace: Workspace, surroundings: Surroundings, trial: Any, sites: pd.Series, planting: pd.DataFrame
) -> pd.DataFrame:
    """Return one row of attributes for each garden of a trial and season."""
    gardens = surroundings.registry.gardens
    weather, axis = workspace.settings.weather, workspace.settings.axis
    planted = planting.groupby("site")["date"].min().rename("planted_on").reset_index()
    table = attributes(
        gardens[gardens["site"].isin(sites)],
        pd.DataFrame(
            [
                {
                    "season": trial.season,
                    "trial": trial.trial,
                    "crop": trial.crop,
                    "start": trial.start,
                    "end": trial.close,
                }
            ]
        ),
        Sources(
            surroundings.stations,
            surroundings.daily,
            surroundings.counties,
            surroundings.crops,
            soil_units=surroundings.map_units,
            plantings=planted.assign(season=trial.season, trial=trial.trial),
        ),
        Axis(axis.origin, axis.centre, axis.azimuth_deg),
        today=workspace.today(),
        method=Interpolation(
            weather.neighbours, weather.power, weather.limit_km, weather.lapse_tmax, weather.lapse_tmin
        ),
    )
    estimated = table[["temperature_estimated_pct", "rain_estimated_pct"]].max(axis=1) / 100
    return table.assign(
        degree_days_c_per_day=table["degree_days_per_day_c"],
        rain_mm_per_day=table["rain_per_day_mm"],
        days_estimated_share=estimated,
        weather_note=_weather_note(table),
    )


def _weather_note(table: pd.DataFrame) -> pd.Series:
    """Return what a reader should know of the weather of a garden, blank where it is complete and near."""
    states = table["temperature_state"].where(table["temperature_state"] != "complete", table["rain_state"])
    far = table["stations_far"].map({True: "far from stations"}).fillna("")
    return states.where(states != "complete", far).astype("str")
