"""The frames that stand once in a snapshot: gardens, outlines, trials, uploads, open findings."""

from typing import Any

import numpy as np
import pandas as pd
import sqlalchemy as sa

from pipeline.checks.every import EVERY_CHECK
from pipeline.checks.garden_places import find_gardens
from pipeline.checks.words import in_words, values_of
from pipeline.intake.sheets import sheets
from pipeline.publish import frames as published
from pipeline.publish.colour import ROW_DARK, ROW_LIGHT, place_colours
from pipeline.publish.over_seasons import over_seasons_frames
from pipeline.publish.place import KnownPlaces
from pipeline.publish.reach import reach_frames
from pipeline.publish.snapshot import FrameKey, PublishedSnapshot
from pipeline.publish.states import state_of_trial
from pipeline.publish.stations import station_frames
from pipeline.response.moved import moved
from pipeline.store.read import open_findings, sheets_received, sites_of_sheets
from pipeline.surroundings import Surroundings
from pipeline.workspace import Workspace
from sites.geography import coordinate_check, county_of, outline_km, plane_km
from sites.glossary import read_glossary


def network_frames(
    connection: sa.Connection,
    workspace: Workspace,
    surroundings: Surroundings,
    known: KnownPlaces,
    seasons: dict[FrameKey, pd.DataFrame],
    before: PublishedSnapshot | None,
) -> dict[FrameKey, pd.DataFrame]:
    """Return the frames of the whole network.

    `known` is what is known of places, `seasons` are the frames of its trials, `before` the last snapshot.
    """
    axis = workspace.settings.axis
    outlines = outline_km(surroundings.counties, axis.origin, axis.centre, axis.azimuth_deg)
    gardens = _gardens(workspace, surroundings)
    made = {
        "gardens": gardens,
        "outlines": outlines,
        "glossary": read_glossary().reset_index(),
        **station_frames(known.record),
        "trials": _trials(workspace, surroundings, seasons),
        "uploads": _uploads(connection, before),
        "findings": _findings(connection, workspace, surroundings),
    }
    made |= reach_frames(connection, workspace, surroundings, gardens)
    of_network = {FrameKey(name): frame for name, frame in made.items()}
    of_network |= over_seasons_frames(workspace, surroundings.registry, seasons)
    return of_network | _moved(workspace, made["trials"], seasons, before)


def _gardens(workspace: Workspace, surroundings: Surroundings) -> pd.DataFrame:
    """Return the gardens west to east with their place and its colour."""
    axis = workspace.settings.axis
    gardens = surroundings.registry.gardens
    lon, lat = gardens["lon"].to_numpy(), gardens["lat"].to_numpy()
    coordinates = coordinate_check(lon, lat, surroundings.counties).verdict
    good = coordinates == "good"
    along, across = plane_km(np.where(good, lon, np.nan), lat, axis.origin, axis.centre, axis.azimuth_deg)
    county = county_of(lon, lat, surroundings.counties)
    names = surroundings.counties.set_index("geoid")["name"]
    share = pd.Series(along).to_numpy() / axis.length_km
    table = gardens.assign(
        position_km=along,
        across_km=np.where(good, across, np.nan),
        coordinates=coordinates,
        county_fips=county["geoid"].to_numpy(),
        county=county["geoid"].map(names).to_numpy(),
        colour_light=place_colours(share, ROW_LIGHT),
        colour_dark=place_colours(share, ROW_DARK),
    )
    return table.sort_values(["position_km", "site"], ignore_index=True)


def _trials(
    workspace: Workspace, surroundings: Surroundings, seasons: dict[FrameKey, pd.DataFrame]
) -> pd.DataFrame:
    rows = []
    for trial in surroundings.registry.trials.itertuples():
        plots = seasons[FrameKey("plot_seasons", trial.trial, trial.season)]
        crop = surroundings.crops["name_en"].get(trial.crop, trial.crop)
        rows.append(
            {
                "trial": trial.trial,
                "season": trial.season,
                "title": trial.trial.replace("-", " ").capitalize(),
                "crop": trial.crop,
                "crop_name": crop,
                "control": trial.control,
                "start": trial.start,
                "close": trial.close,
                "state": state_of_trial(trial.start.date(), trial.close.date(), workspace.today()),
                "primary_outcome": trial.primary_outcome,
                "gardens": plots["site"].nunique(),
                "plots": len(plots),
                "pickings_expected": plots["pickings_expected"].sum(),
                "pickings_received": plots["pickings_received"].sum(),
            }
        )
    return pd.DataFrame(rows, columns=published.TRIALS.column_names)


def _moved(
    workspace: Workspace,
    trials: pd.DataFrame,
    seasons: dict[FrameKey, pd.DataFrame],
    before: PublishedSnapshot | None,
) -> dict[FrameKey, pd.DataFrame]:
    """Return what changed in each trial and season since the snapshot before; nothing on the first night."""
    frames: dict[FrameKey, pd.DataFrame] = {}
    if before is None:
        return frames
    for trial in trials.itertuples():
        key = FrameKey("effects", str(trial.trial), str(trial.season))
        old, now = (
            rows[(rows["outcome"] == trial.primary_outcome) & rows["log_ratio"].notna()]
            for rows in (before.frame(*key), seasons[key])
        )
        frames[key._replace(name="moved")] = moved(
            old, now, is_closed=trial.state == "closed", method=workspace.settings.answer.method
        )
    return frames


def _uploads(connection: sa.Connection, before: PublishedSnapshot | None) -> pd.DataFrame:
    received = sheets_received(connection)
    sites = (
        sites_of_sheets(connection, list(sheets()))
        .groupby("sheet_id")["site"]
        .agg(lambda of: ", ".join(sorted(of)))
    )
    new = received["run_id"] > (before.run if before is not None else 0)
    table = received.assign(
        upload=received["upload_id"],
        sheet=received["kind"],
        sites=received["sheet_id"].map(sites).astype("str").fillna(received["sender"]),
        is_new=new.astype("bool"),
    )
    return table[published.UPLOADS.column_names]


def _findings(connection: sa.Connection, workspace: Workspace, surroundings: Surroundings) -> pd.DataFrame:
    """Return the open findings in words: those about rows and seasons, and those about gardens' places."""
    settings, gardens = workspace.settings, surroundings.registry.gardens
    names = gardens.set_index("site")["name"]
    of_places = pd.DataFrame(find_gardens(gardens, surroundings.counties).to_dicts())
    of_places = of_places.assign(upload_id=None, file="gardens.csv", kind="gardens")
    rows = []
    for row in [*open_findings(connection).to_dict("records"), *of_places.to_dict("records")]:
        filled: dict[str, Any] = {name: None if pd.isna(value) else value for name, value in row.items()}
        filled["garden"] = names.get(filled["site"], filled["site"])
        words = in_words(
            filled["check"],
            values_of(EVERY_CHECK.get(filled["check"]), filled, settings.language, settings.units),
            settings.language,
        )
        said = {"message": words.message, "why": words.why, "remedy": words.remedy, "read": None}
        rows.append(filled | said | {"upload": filled["upload_id"], "sheet": filled["kind"]})
    return pd.DataFrame(rows, columns=published.FINDINGS.column_names)
