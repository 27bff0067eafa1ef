"""A trial over its closed seasons: their common answer with each season's beside it, their common line."""

from dataclasses import replace
from typing import Any

import pandas as pd
from dash import html

from dashboard import data
from dashboard.components.choice import choice
from dashboard.components.figure import Rows, caption_of, figure_frame
from dashboard.data import TrialSeason, View
from dashboard.differences import Unit, unit_of
from dashboard.figures.gradient_rows import ROW_AXIS
from dashboard.figures.intervals import IntervalRows, intervals_figure
from dashboard.figures.template import Screen
from dashboard.numerals import NO_BREAK, count, number
from dashboard.selection import Selection
from dashboard.wording.sureness import WORDS

#: What an address names to see the seasons together.
ALL = "all"
#: A spread below this reads as nothing at one decimal.
_LEAST_SPREAD = 0.05


def over(trial: TrialSeason) -> TrialSeason:
    """Return the trial over its closed seasons, as the snapshot names it: without a season."""
    return replace(trial, season="")


def closed_seasons(view: View, trial: TrialSeason) -> list[TrialSeason]:
    """Return the closed seasons that one answer is over, oldest first; none where there is no such answer.

    Seasons with another control than the newest one's answer another question.
    """
    if data.of_season(view, "network", over(trial)).empty:
        return []
    closed = [one for one in data.trial_seasons(view) if one.trial == trial.trial and one.is_closed]
    ordered = sorted(closed, key=lambda one: one.close)
    return [one for one in ordered if one.control == ordered[-1].control]


def is_over(view: View, selection: Selection) -> bool:
    """Return whether the reader chose to see the closed seasons together, and there are some."""
    trial = selection.trial
    if trial is None or selection.address.get("over") != ALL or not trial.is_closed:
        return False
    return len(closed_seasons(view, trial)) > 1


def seasons_choice(view: View, selection: Selection, trial: TrialSeason) -> list[Any]:
    """Return the choice between this season and all closed ones; nothing where there is only one."""
    if not trial.is_closed or len(closed_seasons(view, trial)) < 2:
        return []
    options: list[tuple[Any, str]] = [
        (WORDS["this_season"].format(season=trial.season), selection.address.choosing(over=None).href),
        (WORDS["all_seasons"].lower(), selection.address.choosing(over=ALL, axis=None).href),
    ]
    return [choice(WORDS["seasons"], options, int(is_over(view, selection)))]


def effects_over(view: View, selection: Selection, trial: TrialSeason, paper: str) -> pd.DataFrame:
    """Return each garden's difference over its seasons, with place and colour, `x` on the row."""
    estimates = data.of_season(view, "estimates", over(trial))
    own = estimates[(estimates["outcome"] == selection.outcome) & (estimates["axis"] == ROW_AXIS)]
    shown = own[["site", "treatment"]].assign(percent=unit_of(selection.outcome).of_told(own["effect"]))
    placed = data.placed(view, shown.assign(percent_low=float("nan"), percent_high=float("nan")), paper)
    return placed.assign(x=placed["position_km"])


def places_over(view: View, trial: TrialSeason) -> pd.DataFrame:
    """Return the attributes of every garden of the closed seasons, those of its newest one."""
    seasons = reversed(closed_seasons(view, trial))
    every = pd.concat([data.of_season(view, "attributes", one) for one in seasons], ignore_index=True)
    return every.drop_duplicates("site")


def season_by_season(view: View, selection: Selection, trial: TrialSeason, screen: Screen) -> list[Any]:
    """Return the answer over the closed seasons with each season's below it; nothing where there is one."""
    rows = answers_of(view, selection, trial)
    if not trial.is_closed or len(rows) < 3:
        return []
    unit = unit_of(selection.outcome)
    order = int(selection.treatments.set_index("treatment").loc[selection.treatment, "order"])
    seen = seasons_seen(rows, selection.treatment_label, selection.control_label, unit)
    frame = figure_frame(
        intervals_figure(IntervalRows(rows, order, unit), screen),
        finding=seen,
        caption=caption_of(seen, _vary(view, selection, trial, unit), WORDS["season_caption"]),
        rows=Rows("compare", "seasons", selection.address.query),
    )
    return [html.Section([html.H2(WORDS["seasons_title"]), frame], className="block", id="seasons")]


def seasons_table(view: View, selection: Selection, trial: TrialSeason) -> pd.DataFrame:
    """Return the answer over the closed seasons and of each of them, as the figure shows them."""
    unit = unit_of(selection.outcome)
    rows = answers_of(view, selection, trial)
    told = rows[["label", "gardens", "plots", "middle", "low", "high"]]
    named = {"label": "seasons", "middle": "estimate", "low": "ci_low", "high": "ci_high"}
    return told.rename(columns=named).assign(unit=unit.noun)


def answers_of(view: View, selection: Selection, trial: TrialSeason) -> pd.DataFrame:
    """Return the answer over the seasons, then each season's, oldest first, in the number that is said."""
    unit = unit_of(selection.outcome)
    seasons = closed_seasons(view, trial)
    labelled = [(over(trial), WORDS["all_seasons"])]
    labelled += [(one, WORDS["season"].format(season=one.season)) for one in seasons]
    rows = [
        {
            "label": label,
            "gardens": answer["gardens"],
            "plots": answer["plots"],
            "middle": unit.of_scale(answer["estimate"]),
            "low": unit.of_scale(answer["ci_low"]),
            "high": unit.of_scale(answer["ci_high"]),
            "is_answer": one.season == "",
        }
        for one, label in labelled
        if (answer := data.answer(view, one, selection.outcome, selection.treatment)) is not None
    ]
    columns = ["label", "gardens", "plots", "middle", "low", "high", "is_answer"]
    table = pd.DataFrame(rows, columns=columns)
    return table.astype({"middle": "float64", "low": "float64", "high": "float64", "is_answer": "bool"})


def seasons_seen(rows: pd.DataFrame, treatment: str, control: str, unit: Unit) -> str:
    """Return the answer over the seasons with its range, and between what the single seasons lie."""
    answer, single = rows[rows["is_answer"]], rows[~rows["is_answer"]]
    seasons = count(len(single), "closed season", "closed seasons")
    if answer.empty or pd.isna(answer["low"].iloc[0]):
        return WORDS["seasons_few"].format(seasons=seasons)
    middle, low, high = (unit.said(answer[name].iloc[0], 1) for name in ("middle", "low", "high"))
    least, most = (unit.said(value, 1) for value in (single["middle"].min(), single["middle"].max()))
    return WORDS["seasons_seen"].format(
        seasons=seasons,
        treatment=treatment,
        control=control,
        answer=middle,
        low=low,
        high=high,
        least=least,
        most=most,
    )


def _vary(view: View, selection: Selection, trial: TrialSeason, unit: Unit) -> str:
    """Return how far a garden's effect varied between its seasons; blank where that is not known."""
    answer = data.answer(view, over(trial), selection.outcome, selection.treatment)
    if answer is None or pd.isna(answer["season_tau2"]):
        return ""
    spread = abs(float(unit.of_scale(float(answer["season_tau2"]) ** 0.5)))
    if spread < _LEAST_SPREAD:
        return WORDS["seasons_alike"]
    return WORDS["seasons_vary"].format(spread=f"{number(spread, 1)}{NO_BREAK}{unit.noun_apart}")
