"""The gardens of a closed season as others may know them, with the weather of their public point."""

from typing import Any

import pandas as pd

from pipeline.publish.place import KnownPlaces
from pipeline.publish.shared_frames import PUBLIC_PLACES
from pipeline.surroundings import Surroundings
from pipeline.workspace import Workspace
from sites.attributes import Sources, attributes
from sites.geography import Axis

#: What of a season's weather is told; distances, soil units and daily values would give the place away.
WEATHER = ("degree_days_c", "hot_days", "warm_nights", "rain_mm", "reference_et_mm")


def public_places_frame(
    workspace: Workspace, surroundings: Surroundings, known: KnownPlaces, trial: Any, sites: pd.Series
) -> pd.DataFrame:
    """Return the public places of some gardens with their season's weather, hidden gardens left out.

    The weather is worked out at the public point and height over the trial's whole season, so that it tells
    no more of the garden than the point does. Rows are ordered by what they show.
    """
    chosen = known.public["site"].isin(sites) & known.public["lon"].notna()
    shown = known.public[chosen].reset_index(drop=True)
    axis = workspace.settings.axis
    season = {"season": trial.season, "trial": trial.trial, "crop": trial.crop}
    if trial.crop in surroundings.crops.index:
        weather = attributes(
            shown,
            pd.DataFrame([season | {"start": trial.start, "end": trial.close}]),
            Sources(known.record.stations, known.record.daily, surroundings.counties, surroundings.crops),
            Axis(axis.origin, axis.centre, axis.azimuth_deg),
            today=workspace.today(),
            method=known.record.method,
        )
        shown = shown.join(weather[list(WEATHER)])
    shown = shown.reindex(columns=PUBLIC_PLACES.column_names)
    return shown.sort_values(["axis_km", "lon", "lat", "public_name"], ignore_index=True)
