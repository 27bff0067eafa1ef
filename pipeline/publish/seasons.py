"""The frames of one trial and season."""

from dataclasses import dataclass
from typing import Any

import pandas as pd
import sqlalchemy as sa

from pipeline.publish import answer_frames as answers
from pipeline.publish.close_pairs import close_pairs_frame
from pipeline.publish.frame import Frame
from pipeline.publish.interim import interim_frame
from pipeline.publish.kept_answer import answer_mark, kept_answer
from pipeline.publish.notes import season_note_frame
from pipeline.publish.place import KnownPlaces, place_frame
from pipeline.publish.public import public_frames
from pipeline.publish.questions import Rested, questions_frame
from pipeline.publish.season_sentences import season_sentences
from pipeline.publish.snapshot import FrameKey, PublishedSnapshot
from pipeline.publish.states import garden_states, state_of_trial, weeks
from pipeline.publish.watching import double_scores, planting_week, score_agreement, weather_events
from pipeline.publish.weather_sentences import weather_sentences
from pipeline.response.plot_curves import plot_curves
from pipeline.response.plots import harvest_curves, season_plots
from pipeline.response.season import SeasonAnswer, season_answer
from pipeline.settings import Answer
from pipeline.store.pictures import kept_pictures
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
    connection: sa.Connection,
    workspace: Workspace,
    surroundings: Surroundings,
    known: KnownPlaces,
    trial: Any,
) -> pd.DataFrame:
    """Return the attributes of the gardens of one trial and season; `trial` is its row of the registry."""
    tonight = pd.Timestamp(workspace.today())
    layout = surroundings.registry.plots_of(trial.trial, trial.season)
    planting = _rows(connection, surroundings, "planting", layout, trial.season, tonight)
    return place_frame(workspace, surroundings, known, trial, layout["site"], planting)


def season_frames(
    connection: sa.Connection,
    workspace: Workspace,
    surroundings: Surroundings,
    known: KnownPlaces,
    trial: Any,
    place: pd.DataFrame,
    before: PublishedSnapshot | None = None,
) -> SeasonFrames:
    """Return every frame of one trial and season; `place` are the attributes of its gardens.

    The answer of a closed season is taken from the snapshot `before` while it rests on the same.
    """
    tonight = pd.Timestamp(workspace.today())
    registry, answer = surroundings.registry, workspace.settings.answer
    layout = _as_planted(registry.plots_of(trial.trial, trial.season), planted_swaps(connection))
    layout = layout.assign(plants_per_plot=trial.plants_per_plot)
    counting = {
        kind: _rows(connection, surroundings, kind, layout, trial.season, tonight)
        for kind in ("harvest", "planting", "condition")
    }
    harvest, planting, condition = (counting[kind] for kind in ("harvest", "planting", "condition"))
    plots = season_plots(trial, answer, layout, **counting)
    state = state_of_trial(trial.start.date(), trial.close.date(), workspace.today())
    found, basis = _answer(plots, place, trial, answer, before, is_closed=state == "closed")
    treatments = treatments_frame(registry, trial.trial, trial.control)
    made = {
        "treatments": treatments,
        "plot_seasons": plots,
        "harvest_curves": harvest_curves(plots, harvest),
        "plot_curves": plot_curves(plots, harvest),
        "attributes": place,
        "season_notes": season_note_frame(
            workspace,
            surroundings,
            known,
            trial,
            layout["site"],
            planting.groupby("site")["date"].min(),
            harvest[harvest["marketable_weight"] > 0].groupby("site")["date"].min(),
            condition,
        ),
        "close_pairs": close_pairs_frame(registry.gardens, place, workspace.settings),
        "answer_basis": basis,
        **answer_frames(found),
        "interim": interim_frame(trial, layout, counting, registry.gardens, answer, workspace.today()),
        **_watch_frames(connection, workspace, registry, trial, plots, harvest),
    }
    said = season_sentences(
        found,
        treatments,
        trial.control,
        made["garden_states"]["state"],
        workspace.today(),
        trial.close.date(),
        answer.margin_pct,
    )
    of_weather = weather_sentences(known.record, place, workspace.settings.units)
    made["sentences"] = pd.concat([said, of_weather], ignore_index=True)
    codes = treatments.set_index("treatment")["code"]
    made["layout"] = layout.assign(code=layout["in_ground"].map(codes)).sort_values(["site", "row", "col"])
    made |= _watched(connection, workspace, surroundings, known, trial, plots, planting, condition)
    names = registry.gardens.set_index("site")["name"].to_dict()
    plots_of_season = registry.plots[registry.plots["season"] == trial.season]
    others = plots_of_season[plots_of_season["trial"] != trial.trial]
    rested = Rested(trial, names, layout, others, counting, treatments, found)
    made["questions"] = questions_frame(connection, workspace.settings, rested)
    if state == "closed":
        made |= public_frames(workspace, surroundings, known, trial, found, treatments)
    frames = {FrameKey(name, trial.trial, trial.season): frame for name, frame in made.items()}
    return SeasonFrames(frames, sum(len(rows) for rows in counting.values()))


def _answer(
    plots: pd.DataFrame,
    place: pd.DataFrame,
    trial: Any,
    answer: Answer,
    before: PublishedSnapshot | None,
    *,
    is_closed: bool,
) -> tuple[SeasonAnswer, pd.DataFrame]:
    """Return the answer and, of a closed season, what it rests on."""
    given = plots, place, trial.control, answer
    if not is_closed:
        open_answer = season_answer(*given, is_closed=False, primary=trial.primary_outcome)
        return open_answer, answers.ANSWER_BASIS.empty()
    mark = answer_mark(*given, trial.primary_outcome)
    found = kept_answer(before, trial.trial, trial.season, mark)
    if found is None:
        found = season_answer(*given, is_closed=True, primary=trial.primary_outcome)
    return found, pd.DataFrame({"mark": [mark]})


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


def answer_frames(found: SeasonAnswer) -> dict[str, pd.DataFrame]:
    """Return the frames that hold an answer; those that it has nothing for are without rows."""
    return {
        "effects": _joined(answers.EFFECTS, found.effects),
        "network": _listed(answers.NETWORK, found.network),
        "gradient": _listed(answers.GRADIENT, found.gradient),
        "gradient_band": _joined(answers.GRADIENT_BAND, found.bands),
        "gradient_curve": _joined(answers.GRADIENT_CURVE, found.curves),
        "estimates": _joined(answers.ESTIMATES, found.estimates),
        "sensitivity": _listed(answers.SENSITIVITY, found.sensitivity),
    }


def _joined(frame: Frame, parts: list[pd.DataFrame]) -> pd.DataFrame:
    return pd.concat(parts, ignore_index=True) if parts else frame.empty()


def _listed(frame: Frame, rows: list[dict[str, Any]]) -> pd.DataFrame:
    return pd.DataFrame(rows) if rows else frame.empty()


def treatments_frame(registry: Registry, trial: str, control: str) -> pd.DataFrame:
    """Return the treatments of a trial, the control first."""
    rows = registry.treatments_of(trial, control)
    return rows.assign(order=range(len(rows)))[["treatment", "code", "label", "order", "is_control"]]


def _watched(
    connection: sa.Connection,
    workspace: Workspace,
    surroundings: Surroundings,
    known: KnownPlaces,
    trial: Any,
    plots: pd.DataFrame,
    planting: pd.DataFrame,
    condition: pd.DataFrame,
) -> dict[str, pd.DataFrame]:
    """Return the week's weather, the planting week, and what two people said of one plot."""
    tonight = pd.Timestamp(workspace.today())
    pairs = double_scores(condition)
    sites = sorted(plots["site"].unique())
    deliveries, pictures = counting_rows(connection, "delivery"), kept_pictures(connection)
    return {
        "weather_events": weather_events(surroundings, known.record, trial, sites, tonight),
        "planting_week": planting_week(plots, planting, deliveries, pictures, trial),
        "double_scores": pairs,
        "score_agreement": score_agreement(pairs),
    }


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
