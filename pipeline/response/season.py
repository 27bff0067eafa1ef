"""One trial and season: plot seasons in; garden effects, the network's answer and its lines out."""

from dataclasses import dataclass, field, replace
from typing import Any

import pandas as pd

from pipeline.response.answer import How, TrialAnswer, trial_answer
from pipeline.response.error_variance import VarianceKind
from pipeline.response.outcomes import OUTCOMES, PRIMARY, Outcome, plots_with
from pipeline.response.season_lines import AXES, FEWEST_FOR_A_LINE, ROW_AXIS, Line, lines
from pipeline.response.season_rows import (
    UNKNOWN_YET,
    band_rows,
    effect_rows,
    estimate_rows,
    gave_nothing,
    gradient_rows,
    network_row,
)
from pipeline.response.sensitivity import sensitivity
from pipeline.settings import Answer
from sites.errors import InputError

__all__ = ["FEWEST_FOR_A_LINE", "SeasonAnswer", "add_answer", "add_line", "how_of", "season_answer"]


@dataclass
class SeasonAnswer:
    """The answer of one trial and season; all but the effects is empty before the trial closes."""

    effects: list[pd.DataFrame] = field(default_factory=list)
    network: list[dict[str, Any]] = field(default_factory=list)
    gradient: list[dict[str, Any]] = field(default_factory=list)
    bands: list[pd.DataFrame] = field(default_factory=list)
    curves: list[pd.DataFrame] = field(default_factory=list)
    estimates: list[pd.DataFrame] = field(default_factory=list)
    sensitivity: list[dict[str, Any]] = field(default_factory=list)
    left_out: list[pd.DataFrame] = field(default_factory=list)


def how_of(answer: Answer, outcome: Outcome) -> How:
    """Return how a network's settings have an outcome worked out.

    Shares of few plants and days are often equal in all plots of a garden. Such a garden's error is not known
    to be nothing, so differences take one mean square of all gardens in place of a moderated one.
    """
    pooled = outcome.scale == "difference" and answer.variance == "moderated"
    variance: VarianceKind = "pooled" if pooled else answer.variance
    return How(outcome.scale, answer.method, answer.interval, variance, answer.prediction)


def season_answer(
    plots: pd.DataFrame,
    place: pd.DataFrame,
    control: str,
    answer: Answer,
    *,
    is_closed: bool,
    primary: str = PRIMARY,
) -> SeasonAnswer:
    """Return what the plots of one trial and season say of every outcome.

    `plots` are plot seasons (`response.plots`), `place` the attributes of gardens with a column site. Before
    the trial closes garden values are given without any error: yield to date is not the season's yield. The
    row of gardens is an axis for every outcome; climate and soil are axes for the `primary` one only, which
    was named before the season, so that nobody picks the outcome after seeing which line is steep. All plots
    in one model are the cross-check of that outcome too.
    """
    found = SeasonAnswer()
    at = place.set_index("site")
    for outcome in OUTCOMES:
        table = plots_with(plots, outcome)
        how = replace(how_of(answer, outcome), at_once=is_closed and outcome.name == primary)
        try:
            trial = trial_answer(table, control, "value", how)
        except InputError:
            # Nothing to compare yet: no garden has the control and a treatment in this outcome.
            continue
        axes = AXES if outcome.name == primary else (ROW_AXIS,)
        add_answer(found, outcome, trial, at, is_closed=is_closed, axes=axes)
        if is_closed and outcome.name == primary:
            found.sensitivity += sensitivity(plots, outcome, control, trial)
    return found


def add_answer(
    found: SeasonAnswer,
    outcome: Outcome,
    trial: TrialAnswer,
    place: pd.DataFrame,
    *,
    is_closed: bool,
    axes: tuple[str, ...],
) -> None:
    """Add the answer for one outcome; `place` is indexed by site."""
    effects = effect_rows(trial.gardens.effects, outcome, place[ROW_AXIS])
    found.left_out.append(trial.gardens.left_out.assign(outcome=outcome.name))
    if not is_closed:
        effects[list(UNKNOWN_YET)] = float("nan")
        found.effects.append(effects)
        return
    found.effects.append(effects)
    at_once = {str(each["treatment"]): each for each in trial.mixed_model}
    nothing = gave_nothing(trial.gardens)
    for each in trial.network:
        name = str(each.treatment)
        found.network.append(network_row(outcome, each, at_once.get(name), nothing))
        of_treatment = effects[effects["treatment"] == each.treatment]
        for line in lines(of_treatment, place, trial.how, axes):
            add_line(found, outcome, name, line)


def add_line(found: SeasonAnswer, outcome: Outcome, treatment: str, line: Line) -> None:
    """Add a line of one outcome and treatment."""
    about = {"outcome": outcome.name, "treatment": treatment, "axis": line.axis}
    found.gradient += gradient_rows(line.gradient, about, " ".join(line.moves_with))
    found.bands.append(band_rows(line.gradient.band, about, outcome.scale))
    if line.gradient.curve is not None:
        found.curves.append(band_rows(line.gradient.curve.band, about, outcome.scale))
    if line.axis == ROW_AXIS:
        found.estimates.append(estimate_rows(line.gradient, about, outcome.scale))
