"""The frames of one trial and season."""

from dataclasses import dataclass
from typing import Any

import pandas as pd
import sqlalchemy as sa

from pipeline.publish import frames as published
from pipeline.publish.place import place_frame
from pipeline.publish.season_sentences import season_sentences
from pipeline.publish.snapshot import FrameKey
from pipeline.publish.states import garden_states, state_of_trial, weeks
from pipeline.response.plot_curves import plot_curves
from pipeline.response.plots import harvest_curves, plot_seasons
from pipeline.response.season import season_answer
from pipeline.store.read import (
    counting_rows,
    held_days,
    open_findings,
    planted_swaps,
    sheets_received,
    sites_of_sheets,
)
from pipeline.surroundings import Surroundings
from pipeline.workspace import Workspace
from sites.registry import Registry


@dataclass(frozen=True)
class SeasonFrames:
    """The frames of one trial and season, and how many rows they rest on."""

    frames: dict[FrameKey, pd.DataFrame]
    rows: int


def season_place(
    connection: sa.Connection, workspace: Workspace, surroundings: Surroundings, trial: Any
) -> pd.DataFrame:
    """Return the attributes of the gardens of one trial and season; `trial` is its row of the registry."""
    tonight = pd.Timestamp(workspace.today())
    layout = surroundings.registry.plots_of(trial.trial, trial.season)
    planting = _rows(connection, surroundings, "planting", layout, trial.season, tonight)
    return place_frame(workspace, surroundings, trial, layout["site"], planting)


def season_frames(
    connection: sa.Connection,
    workspace: Workspace,
    surroundings: Surroundings,
    trial: Any,
    place: pd.DataFrame,
) -> SeasonFrames:
    """Return every frame of one trial and season; `place` are the attributes of its gardens."""
    tonight = pd.Timestamp(workspace.today())
    registry, answer = surroundings.registry, workspace.settings.answer
    layout = _as_planted(registry.plots_of(trial.trial, trial.season), planted_swaps(connection))
    layout = layout.assign(plants_per_plot=trial.plants_per_plot)
    harvest, planting = (
        _rows(connection, surroundings, kind, layout, trial.season, tonight)
        for kind in ("harvest", "planting")
    )
    plots = plot_seasons(
        layout,
        harvest,
        planting,
        control=trial.control,
        completeness=answer.completeness,
        early_days=answer.early_days,
    )
    state = state_of_trial(trial.start.date(), trial.close.date(), workspace.today())
    found = season_answer(
        plots, place.set_index("site")["position_km"], trial.control, answer, is_closed=state == "closed"
    )
    treatments = _treatments(registry, trial)
    made = {
        "treatments": treatments,
        "plot_seasons": plots,
        "harvest_curves": harvest_curves(plots, harvest),
        "plot_curves": plot_curves(plots, harvest),
        "attributes": place,
        "effects": _joined(published.EFFECTS, found.effects),
        "network": pd.DataFrame(found.network) if found.network else published.NETWORK.empty(),
        "gradient": pd.DataFrame(found.gradient) if found.gradient else published.GRADIENT.empty(),
        "gradient_band": _joined(published.GRADIENT_BAND, found.bands),
        **_watch_frames(connection, workspace, registry, trial, plots, harvest),
    }
    made["sentences"] = season_sentences(
        found,
        treatments,
        trial.control,
        made["garden_states"]["state"],
        workspace.today(),
        trial.close.date(),
    )
    frames = {FrameKey(name, trial.trial, trial.season): frame for name, frame in made.items()}
    return SeasonFrames(frames, len(harvest) + len(planting))


def _rows(
    connection: sa.Connection,
    surroundings: Surroundings,
    kind: str,
    layout: pd.DataFrame,
    season: str,
    tonight: pd.Timestamp,
) -> pd.DataFrame:
    """Return the rows that count for the trial's plots until tonight, known faults put right."""
    rows = counting_rows(connection, kind, season).merge(
        layout[["site", "plot"]], on=["site", "plot"], how="inner"
    )
    return surroundings.corrections.corrected(kind, rows[rows["date"] <= tonight])


def _as_planted(layout: pd.DataFrame, swaps: pd.DataFrame) -> pd.DataFrame:
    """Return the layout with what stands in the ground where plots were planted in each other's place."""
    ground = layout.set_index(["site", "plot"])["in_ground"]
    changed = ground.copy()
    for swap in swaps.itertuples():
        one, other = (swap.site, swap.one), (swap.site, swap.other)
        if one in ground.index and other in ground.index:
            changed[one], changed[other] = changed[other], changed[one]
    return layout.assign(in_ground=changed.to_numpy())


def _joined(frame: published.Frame, parts: list[pd.DataFrame]) -> pd.DataFrame:
    return pd.concat(parts, ignore_index=True) if parts else frame.empty()


def _treatments(registry: Registry, trial: Any) -> pd.DataFrame:
    rows = registry.treatments_of(trial.trial, trial.control)
    return rows.assign(order=range(len(rows)))[["treatment", "code", "label", "order", "is_control"]]


def _watch_frames(
    connection: sa.Connection,
    workspace: Workspace,
    registry: Registry,
    trial: Any,
    plots: pd.DataFrame,
    harvest: pd.DataFrame,
) -> dict[str, pd.DataFrame]:
    """Return the states of the gardens and their weeks."""
    tonight = pd.Timestamp(workspace.today())
    sites = sorted(plots["site"].unique())
    of_trial = harvest[harvest["site"].isin(sites)]
    findings = open_findings(connection)
    findings = findings[(findings["season"] == trial.season) & findings["site"].isin(sites)]
    received = sheets_received(connection).merge(sites_of_sheets(connection, ["harvest"]), on="sheet_id")
    last_sheet = received.groupby("site")["received"].max().dt.normalize()
    held = held_days(connection, trial.season)
    return {
        "garden_states": garden_states(
            plots,
            registry.gardens,
            of_trial,
            findings,
            last_sheet,
            registry.absences,
            start=trial.start,
            close=trial.close,
            tonight=tonight,
            late_days=workspace.settings.watch.late_days,
        ),
        "weeks": weeks(
            sites,
            of_trial,
            held[held["site"].isin(sites)],
            registry.absences,
            start=trial.start,
            until=min(tonight, trial.close),
        ),
    }
