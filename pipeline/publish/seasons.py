"""The frames of one trial and season."""

from dataclasses import dataclass
from datetime import date
from typing import Any

import pandas as pd
import sqlalchemy as sa

from pipeline.publish import frames as published
from pipeline.publish.place import place_frame
from pipeline.publish.sentences import (
    LANGUAGES,
    Interval,
    gradient_sentence,
    network_sentence,
    pattern_not_cause,
    so_far_sentence,
)
from pipeline.publish.snapshot import FrameKey
from pipeline.publish.states import garden_states, state_of_trial, weeks
from pipeline.response.plots import harvest_curves, plot_seasons
from pipeline.response.season import SeasonAnswer, season_answer
from pipeline.store.read import counting_rows, held_days, open_findings, sheets_received, sites_of_sheets
from pipeline.surroundings import Surroundings
from pipeline.workspace import Workspace
from sites.registry import Registry


@dataclass(frozen=True)
class SeasonFrames:
    """The frames of one trial and season, and how many rows they rest on."""

    frames: dict[FrameKey, pd.DataFrame]
    rows: int


def season_frames(
    connection: sa.Connection, workspace: Workspace, surroundings: Surroundings, trial: Any
) -> SeasonFrames:
    """Return every frame of one trial and season; `trial` is its row of the registry."""
    tonight = pd.Timestamp(workspace.today())
    registry, answer = surroundings.registry, workspace.settings.answer
    layout = registry.plots_of(trial.trial, trial.season).assign(plants_per_plot=trial.plants_per_plot)
    harvest = _until(counting_rows(connection, "harvest", trial.season), tonight)
    planting = _until(counting_rows(connection, "planting", trial.season), tonight)
    plots = plot_seasons(
        layout,
        harvest,
        planting,
        control=trial.control,
        completeness=answer.completeness,
        early_days=answer.early_days,
    )
    place = place_frame(workspace, surroundings, trial, layout["site"], planting)
    state = state_of_trial(trial.start.date(), trial.close.date(), workspace.today())
    found = season_answer(
        plots, place.set_index("site")["position_km"], trial.control, answer, is_closed=state == "closed"
    )
    treatments = _treatments(registry, trial)
    made = {
        "treatments": treatments,
        "plot_seasons": plots,
        "harvest_curves": harvest_curves(plots, harvest),
        "attributes": place,
        "effects": _joined(published.EFFECTS, found.effects),
        "network": pd.DataFrame(found.network) if found.network else published.NETWORK.empty(),
        "gradient": pd.DataFrame(found.gradient) if found.gradient else published.GRADIENT.empty(),
        "gradient_band": _joined(published.GRADIENT_BAND, found.bands),
        "sentences": _sentences(found, treatments, trial, plots, workspace.today(), state),
        **_watch_frames(connection, workspace, registry, trial, plots, harvest),
    }
    frames = {FrameKey(name, trial.trial, trial.season): frame for name, frame in made.items()}
    return SeasonFrames(frames, len(harvest) + len(planting))


def _until(rows: pd.DataFrame, tonight: pd.Timestamp) -> pd.DataFrame:
    """Return the rows dated no later than tonight."""
    return rows[rows["date"] <= tonight]


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


def _sentences(
    found: SeasonAnswer, treatments: pd.DataFrame, trial: Any, plots: pd.DataFrame, today: date, state: str
) -> pd.DataFrame:
    """Return what stands above the figures, by outcome, treatment, place and language."""
    labels = treatments.set_index("treatment")["label"]
    control = labels[trial.control]
    rows = []
    if state != "closed":
        gardens = plots.loc[plots["marketable_kg"].notna(), "site"].nunique()
        for language in LANGUAGES:
            said = so_far_sentence(gardens, today, trial.close.date(), language)
            rows += [
                _sentence({}, place, language, said.sentence, said.sure) for place in ("network", "gradient")
            ]
    for row in found.network:
        for language in LANGUAGES:
            said = network_sentence(
                labels[row["treatment"]],
                control,
                _interval(row, "percent", "percent_low", "percent_high"),
                _interval(row, "percent", "new_low_percent", "new_high_percent"),
                row["gardens"],
                row["plots"],
                language,
            )
            rows.append(_sentence(row, "network", language, said.sentence, said.sure))
            slope = _gradient_words(found, row, control, language)
            if slope:
                rows.append(_sentence(row, "gradient", language, slope, pattern_not_cause(language)))
    return pd.DataFrame(rows, columns=published.SENTENCES.column_names)


def _sentence(row: dict[str, Any], place: str, language: str, sentence: str, sure: str) -> dict[str, str]:
    return {
        "outcome": row.get("outcome", ""),
        "treatment": row.get("treatment", ""),
        "place": place,
        "language": language,
        "sentence": sentence,
        "sure": sure,
    }


def _interval(row: dict[str, Any], middle: str, low: str, high: str) -> Interval | None:
    if row[low] is None or row[high] is None:
        return None
    return Interval(row[middle], row[low], row[high])


def _gradient_words(found: SeasonAnswer, row: dict[str, Any], control: str, language: str) -> str:
    named = (row["outcome"], row["treatment"])
    bands = [band for band in found.bands if (band["outcome"].iloc[0], band["treatment"].iloc[0]) == named]
    slopes = [term for term in found.gradient if (term["outcome"], term["treatment"]) == named][1:]
    if not bands or not slopes:
        return ""
    line = bands[0].sort_values("at")["percent"].to_numpy()
    low, high = slopes[0]["ci_low"], slopes[0]["ci_high"]
    return gradient_sentence(control, float(line[0]), float(line[-1]), low, high, row["gardens"], language)
