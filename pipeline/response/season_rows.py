"""Answers as rows: what the frames of a season hold of garden effects, the network and lines."""

from typing import Any

import numpy as np
import pandas as pd

from pipeline.response.answer import TreatmentAnswer
from pipeline.response.garden_effects import NO_CONTROL_FOR_RATIO, NO_MEAN_FOR_RATIO, GardenEffects
from pipeline.response.gradient import Gradient
from pipeline.response.outcomes import Outcome

#: What is withheld of a garden's effect until the trial closes.
UNKNOWN_YET = (
    *("log_ratio_variance", "percent_low", "percent_high"),
    *("difference_se", "difference_low", "difference_high"),
)

_POOLED = (
    *("estimate", "se", "df", "ci_low", "ci_high", "p", "pi_low", "pi_high"),
    *("tau2", "tau2_low", "tau2_high", "i2", "q", "q_p"),
)


def effect_rows(effects: pd.DataFrame, outcome: Outcome, position_km: pd.Series) -> pd.DataFrame:
    """Return garden effects with their own 95 % intervals: in percent for a ratio, else as differences."""
    from scipy.special import ndtri, stdtrit

    reach = ndtri(0.975) * np.sqrt(effects["log_ratio_variance"])
    middle = effects["log_ratio"]
    percent = {"percent": middle, "percent_low": middle - reach, "percent_high": middle + reach}
    as_percent = {name: np.expm1(value) * 100 for name, value in percent.items()}
    own = stdtrit(effects["df"], 0.975) * effects["difference_se"]
    if outcome.scale == "difference":
        as_percent = dict.fromkeys(as_percent, np.nan)
    return effects.assign(
        outcome=outcome.name,
        scale=outcome.scale,
        position_km=effects["site"].map(position_km).astype("float64"),
        plots=effects["n_control"] + effects["n_treatment"],
        difference_low=effects["difference"] - own,
        difference_high=effects["difference"] + own,
        **as_percent,
    )


def network_row(
    outcome: Outcome, answer: TreatmentAnswer, at_once: dict[str, Any] | None, gave_nothing: int
) -> dict[str, Any]:
    """Return the network's answer for one treatment, with the model of all plots at once beside it.

    `gave_nothing` counts the gardens that a ratio had to leave out because the control gave nothing.
    """
    pooled = answer.pooled
    beside = at_once or {"estimate": None, "ci_low": None, "ci_high": None}
    shown = {
        "{}": pooled.estimate,
        "{}_low": pooled.ci_low,
        "{}_high": pooled.ci_high,
        "new_low_{}": pooled.pi_low,
        "new_high_{}": pooled.pi_high,
    }
    at_once_shown = {
        "at_once_percent": beside["estimate"],
        "at_once_low": beside["ci_low"],
        "at_once_high": beside["ci_high"],
    }
    is_ratio = outcome.scale == "ratio"
    return {
        "outcome": outcome.name,
        "treatment": str(answer.treatment),
        "scale": outcome.scale,
        "gardens": pooled.k,
        "garden_seasons": pooled.k if pooled.garden_seasons is None else pooled.garden_seasons,
        "plots": answer.plots,
        "gave_nothing": gave_nothing,
        **{name: getattr(pooled, name) for name in _POOLED},
        "season_tau2": pooled.season_tau2,
        "p_adjusted": answer.p_adjusted,
        **{name.format("percent"): percent_of(n) if is_ratio else None for name, n in shown.items()},
        **{name.format("difference"): None if is_ratio else n for name, n in shown.items()},
        **{name: percent_of(n) if is_ratio else None for name, n in at_once_shown.items()},
        "method": pooled.method,
        "interval": pooled.interval,
        "prediction": pooled.prediction,
    }


def gave_nothing(gardens: GardenEffects) -> int:
    """Return in how many gardens there is no ratio because the control gave nothing."""
    why = gardens.left_out["why"]
    return int(why.isin([NO_CONTROL_FOR_RATIO, NO_MEAN_FOR_RATIO]).sum())


def gradient_rows(line: Gradient, about: dict[str, Any], moves_with: str) -> list[dict[str, Any]]:
    """Return one row per term; `moves_with` names axes that the gardens' places on this one go along with."""
    test = line.tests.iloc[0]
    return [
        {
            **about,
            "term": term.name,
            "coefficient": term.coefficient,
            "se": term.se,
            "df": term.df,
            "ci_low": term.ci_low,
            "ci_high": term.ci_high,
            "p": term.p,
            "p_permutation": None if term.name == "intercept" else float(test["p"]),
            "tau2": line.regression.tau2,
            "r2": line.regression.r2,
            "gardens": len(line.gardens),
            "enough_gardens": line.enough_gardens,
            "moves_with": moves_with,
            "bend_p": None if line.curve is None else line.curve.test.p,
        }
        for term in line.regression.terms
    ]


def band_rows(band: pd.DataFrame, about: dict[str, Any], scale: str) -> pd.DataFrame:
    """Return a line or curve with its bands, in percent for a ratio, else in the outcome's unit."""
    names = ["percent", "mean_low", "mean_high", "new_low", "new_high"]
    values = band[["mean", "low", "high", "new_low", "new_high"]].set_axis(names, axis=1)
    values = np.expm1(values) * 100 if scale == "ratio" else values
    return values.assign(at=band["axis"], scale=scale, **about)


def estimate_rows(line: Gradient, about: dict[str, Any], scale: str) -> pd.DataFrame:
    """Return each garden's estimate pulled toward the line, and the answers without it."""
    rows = line.gardens.rename(columns={"garden": "site"})
    shown = ["effect", "fitted", "estimate", "estimate_low", "estimate_high", "mean_without"]
    rows[shown] = np.expm1(rows[shown]) * 100 if scale == "ratio" else rows[shown]
    return rows.assign(scale=scale, **about)


def percent_of(log_ratio: float | None) -> float | None:
    """Return percent more than the control for a log ratio."""
    return None if log_ratio is None else float(np.expm1(log_ratio) * 100)
