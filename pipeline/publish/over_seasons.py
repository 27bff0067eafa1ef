"""The frames of a trial over its closed seasons; their key names the trial and no season."""

from datetime import date
from typing import Any

import pandas as pd

from pipeline.publish.season_sentences import over_seasons_sentences
from pipeline.publish.seasons import answer_frames, treatments_frame
from pipeline.publish.snapshot import FrameKey
from pipeline.publish.states import state_of_trial
from pipeline.response.over_seasons import over_seasons
from pipeline.workspace import Workspace
from sites.registry import Registry

#: Frames that stand for a trial over its seasons. Those of garden effects and of other ways of reckoning
#: stand for each season.
_KEPT = ("network", "gradient", "gradient_band", "gradient_curve", "estimates")


def over_seasons_frames(
    workspace: Workspace, registry: Registry, seasons: dict[FrameKey, pd.DataFrame]
) -> dict[FrameKey, pd.DataFrame]:
    """Return the frames over seasons of every trial with two closed seasons or more.

    `seasons` are the frames of each trial and season. Seasons with another control than the newest one's
    answer another question and are left out.
    """
    frames: dict[FrameKey, pd.DataFrame] = {}
    for trial, rows in registry.trials.groupby("trial", sort=True):
        closed = _comparable(rows, workspace.today())
        if len(closed) > 1:
            made = _frames(str(trial), closed, workspace, registry, seasons)
            frames |= {FrameKey(name, str(trial)): frame for name, frame in made.items()}
    return frames


def _comparable(rows: pd.DataFrame, tonight: date) -> pd.DataFrame:
    states = [state_of_trial(row.start.date(), row.close.date(), tonight) for row in rows.itertuples()]
    closed = rows[[state == "closed" for state in states]].sort_values("close")
    return closed[closed["control"] == closed["control"].iloc[-1]] if len(closed) else closed


def _frames(
    trial: str,
    closed: pd.DataFrame,
    workspace: Workspace,
    registry: Registry,
    seasons: dict[FrameKey, pd.DataFrame],
) -> dict[str, pd.DataFrame]:
    newest: Any = closed.iloc[-1]
    plots, place = (
        pd.concat(
            [seasons[FrameKey(name, trial, season)].assign(season=season) for season in closed["season"]],
            ignore_index=True,
        )
        for name in ("plot_seasons", "attributes")
    )
    found = over_seasons(plots, place, newest.control, workspace.settings.answer, newest.primary_outcome)
    treatments = treatments_frame(registry, trial, newest.control)
    made = answer_frames(found)
    margin = workspace.settings.answer.margin_pct
    said = over_seasons_sentences(found, treatments, newest.control, len(closed), margin)
    return {name: made[name] for name in _KEPT} | {"sentences": said}
