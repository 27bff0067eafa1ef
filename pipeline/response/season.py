"""One trial and season: plot seasons in; garden effects, the network's answer and the gradient out."""

from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

from pipeline.response.answer import How, TreatmentAnswer, TrialAnswer, trial_answer
from pipeline.response.gradient import Gradient, gradient
from pipeline.response.outcomes import OUTCOMES
from pipeline.settings import Answer
from sites.errors import InputError

#: The column that the gradient runs along where nobody asks for another.
AXIS = "position_km"

#: A line needs two more gardens than it has coefficients before its error can be told.
FEWEST_FOR_A_LINE = 4

#: What is withheld of a garden's effect until the trial closes.
_UNKNOWN_YET = ["log_ratio_variance", "percent_low", "percent_high", "difference_se"]


@dataclass
class SeasonAnswer:
    """The answer of one trial and season; all but the effects is empty before the trial closes."""

    effects: list[pd.DataFrame] = field(default_factory=list)
    network: list[dict[str, Any]] = field(default_factory=list)
    gradient: list[dict[str, Any]] = field(default_factory=list)
    bands: list[pd.DataFrame] = field(default_factory=list)
    left_out: list[pd.DataFrame] = field(default_factory=list)


def season_answer(
    plots: pd.DataFrame, position_km: pd.Series, control: str, answer: Answer, *, is_closed: bool
) -> SeasonAnswer:
    """Return what the plots of one trial and season say.

    `plots` are plot seasons (`response.plots`), `position_km` the gardens' places by site. Before the trial
    closes garden values are given without any error: yield to date is not the season's yield.
    """
    found = SeasonAnswer()
    used = plots[plots["used"]]
    how = How("ratio", answer.method, answer.interval, answer.variance, answer.prediction)
    for outcome in OUTCOMES:
        table = used.assign(value=used[outcome.name])[["site", "block", "treatment", "value"]]
        try:
            trial = trial_answer(table, control, "value", how)
        except InputError:
            # Nothing to compare yet: no garden has the control and a treatment in this outcome.
            continue
        _add(found, outcome.name, trial, position_km, is_closed=is_closed)
    return found


def _add(
    found: SeasonAnswer, outcome: str, trial: TrialAnswer, position_km: pd.Series, *, is_closed: bool
) -> None:
    effects = _percent_intervals(trial.gardens.effects.assign(outcome=outcome))
    effects["position_km"] = effects["site"].map(position_km)
    effects["plots"] = effects["n_control"] + effects["n_treatment"]
    found.left_out.append(trial.gardens.left_out.assign(outcome=outcome))
    if not is_closed:
        effects[_UNKNOWN_YET] = np.nan
        found.effects.append(effects)
        return
    found.effects.append(effects)
    at_once = {str(each["treatment"]): each for each in trial.mixed_model}
    for each in trial.network:
        name = str(each.treatment)
        found.network.append(_network_row(outcome, each, at_once.get(name)))
        _add_line(found, outcome, name, effects[effects["treatment"] == each.treatment], trial.how)


def _percent_intervals(effects: pd.DataFrame) -> pd.DataFrame:
    """Return the effects with percent more than the control and the garden's own 95 % interval."""
    from scipy.special import ndtri

    reach = ndtri(0.975) * np.sqrt(effects["log_ratio_variance"])
    return effects.assign(
        percent=np.expm1(effects["log_ratio"]) * 100,
        percent_low=np.expm1(effects["log_ratio"] - reach) * 100,
        percent_high=np.expm1(effects["log_ratio"] + reach) * 100,
    )


def _add_line(found: SeasonAnswer, outcome: str, treatment: str, effects: pd.DataFrame, how: How) -> None:
    placed = effects[effects["log_ratio"].notna()]
    along = placed[AXIS].to_numpy()
    if len(placed) < FEWEST_FOR_A_LINE or np.isnan(along).any() or np.ptp(along) == 0:
        return
    data = placed["log_ratio"].to_numpy(), placed["log_ratio_variance"].to_numpy()
    line = gradient(*data, {AXIS: along}, how.method, how.interval, prediction=how.prediction)
    found.gradient += _gradient_rows(outcome, treatment, line)
    found.bands.append(_band(line).assign(outcome=outcome, treatment=treatment, axis=AXIS))


def _band(line: Gradient) -> pd.DataFrame:
    """Return the line and its bands in percent."""
    names = {
        "mean": "percent",
        "low": "mean_low",
        "high": "mean_high",
        "new_low": "new_low",
        "new_high": "new_high",
    }
    values = np.expm1(line.band[list(names)].rename(columns=names)) * 100
    return values.assign(at=line.band["axis"])


def _network_row(outcome: str, answer: TreatmentAnswer, at_once: dict[str, Any] | None) -> dict[str, Any]:
    """Return the network's answer for one treatment, with the model of all plots at once beside it."""
    pooled = answer.pooled
    quantities = (
        "estimate",
        "se",
        "df",
        "ci_low",
        "ci_high",
        "p",
        "pi_low",
        "pi_high",
        "tau2",
        "i2",
        "q",
        "q_p",
    )
    percent, low, high = answer.percent
    beside = at_once or {"estimate": None, "ci_low": None, "ci_high": None}
    return {
        "outcome": outcome,
        "treatment": str(answer.treatment),
        "gardens": pooled.k,
        "plots": answer.plots,
        **{name: getattr(pooled, name) for name in quantities},
        "p_adjusted": answer.p_adjusted,
        "percent": percent,
        "percent_low": low,
        "percent_high": high,
        "new_low_percent": _percent(pooled.pi_low),
        "new_high_percent": _percent(pooled.pi_high),
        "at_once_percent": _percent(beside["estimate"]),
        "at_once_low": _percent(beside["ci_low"]),
        "at_once_high": _percent(beside["ci_high"]),
        "method": pooled.method,
        "interval": pooled.interval,
        "prediction": pooled.prediction,
    }


def _gradient_rows(outcome: str, treatment: str, line: Gradient) -> list[dict[str, Any]]:
    return [
        {
            "outcome": outcome,
            "treatment": treatment,
            "axis": AXIS,
            "term": term.name,
            "coefficient": term.coefficient,
            "se": term.se,
            "df": term.df,
            "ci_low": term.ci_low,
            "ci_high": term.ci_high,
            "p": term.p,
            "tau2": line.regression.tau2,
            "r2": line.regression.r2,
        }
        for term in line.regression.terms
    ]


def _percent(log_ratio: float | None) -> float | None:
    return None if log_ratio is None else float(np.expm1(log_ratio) * 100)
