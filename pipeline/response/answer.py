"""The whole answer from a table of plots: every garden, the network, all plots at once as the cross-check."""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np
import pandas as pd

from pipeline.response import defaults
from pipeline.response.between_gardens import Method
from pipeline.response.cross_check import differences
from pipeline.response.error_variance import VarianceKind
from pipeline.response.garden_effects import EffectKind, GardenEffects, garden_effects
from pipeline.response.intervals import Interval
from pipeline.response.known_numbers import known
from pipeline.response.network import pool
from pipeline.response.network_answer import Pooled
from pipeline.response.one_stage import fit_one_stage
from pipeline.response.permutation import sign_flip_test
from pipeline.response.prediction import Prediction
from pipeline.response.seasons import pool_seasons
from pipeline.response.simultaneous import bonferroni, compare_with_control, network_correlation
from sites.errors import InputError

#: The one-stage model is a cross-check for trials up to this many gardens; beyond, it costs minutes.
MOST_GARDENS_AT_ONCE = 500

Scale = Literal["means", "log"]


@dataclass(frozen=True)
class How:
    """How an answer is worked out; `at_once` asks for the model of all plots beside it."""

    effect: EffectKind = "ratio"
    method: Method = defaults.METHOD
    interval: Interval = defaults.INTERVAL
    variance: VarianceKind = defaults.VARIANCE
    prediction: Prediction = defaults.PREDICTION
    level: float = defaults.LEVEL
    scale: Scale = "means"
    at_once: bool = True


@dataclass(frozen=True)
class TreatmentAnswer:
    """What one treatment did over the network.

    `p_adjusted` allows for the other treatments that were compared with the same control, `p_permutation`
    assumes no distribution and is None for many gardens. On the scale of logarithms `percent` and its limits
    are of the treatment over the control; on that of differences None.
    """

    treatment: Hashable
    pooled: Pooled
    plots: int
    p_adjusted: float | None
    p_permutation: float | None
    percent: tuple[float | None, float | None, float | None]


@dataclass(frozen=True)
class TrialAnswer:
    """The answer of a trial: garden effects, the network for each treatment, the one-stage model.

    Each entry of the model lists under `differs` where it and the network's answer part ways.
    """

    how: How
    gardens: GardenEffects
    network: list[TreatmentAnswer]
    mixed_model: list[dict[str, Any]]
    mixed_model_unknown: str | None


def trial_answer(
    plots: pd.DataFrame,
    control: str,
    response: str,
    how: How | None = None,
    *,
    site: str = "site",
    treatment: str = "treatment",
    block: str | None = "block",
    season: str | None = None,
    gradients: Sequence[str] = (),
) -> TrialAnswer:
    """Return what the treatments did against the control.

    `plots` has one row per plot. With `season` gardens that come back are one garden, and degrees of freedom
    count gardens. `gradients` name columns with one number for each garden (and season).

    On the `log` scale the effect is the mean of within-block differences of logarithms: a ratio of geometric
    means, the cross-check of the ratio of means. Raises InputError where there is no answer at all.
    """
    how = how or How()
    table = _on_scale(plots, response, how)
    gardens = garden_effects(
        table,
        control,
        response,
        _garden_effect(how),
        how.variance,
        block is not None,
        site=site,
        treatment=treatment,
        block=block or "block",
        season=season,
    )
    if gardens.effects.empty:
        why = (
            gardens.left_out["why"].iloc[0]
            if len(gardens.left_out)
            else "no garden has the control and a treatment"
        )
        raise InputError(f"No garden can be used: {why}.")
    at = _gradient_values(plots, gardens.effects, gradients, site, season)
    network = _network(gardens, at, how, has_seasons=season is not None)
    mixed, unknown = _at_once(plots, control, response, how, site, treatment, block, season)
    without = int((plots[response] <= 0).sum()) if _takes_logarithms(how) else 0
    over_gardens = {str(each.treatment): each.pooled for each in network}
    beside = [
        entry | {"differs": differences(over_gardens[entry["treatment"]], entry, without)}
        for entry in mixed
        if entry["treatment"] in over_gardens
    ]
    return TrialAnswer(how, gardens, network, beside, unknown)


def _takes_logarithms(how: How) -> bool:
    return how.effect == "ratio" or how.scale == "log"


def _garden_effect(how: How) -> EffectKind:
    return "difference" if how.scale == "log" else how.effect


def _on_scale(plots: pd.DataFrame, response: str, how: How) -> pd.DataFrame:
    if how.scale == "means":
        return plots
    values = plots[response].to_numpy(dtype=float)
    logs = np.full(len(values), np.nan)
    np.log(values, out=logs, where=values > 0)
    return plots.assign(**{response: logs})


def _gradient_values(
    plots: pd.DataFrame, effects: pd.DataFrame, gradients: Sequence[str], site: str, season: str | None
) -> pd.DataFrame:
    """Return the gradients of each row of the effects.

    Raises InputError where a garden has several values or none, since nobody could say where it lies.
    """
    if not gradients:
        return pd.DataFrame(index=effects.index)
    keys = [site] if season is None else [site, season]
    by_garden = plots.groupby(keys)[list(gradients)]
    spread = by_garden.nunique(dropna=False)
    for name in gradients:
        if (spread[name] > 1).any():
            garden = spread.index[spread[name] > 1][0]
            raise InputError(f"{name} has several values in garden {garden}. Give one value for each garden.")
    renamed = by_garden.first().reset_index().rename(columns={site: "site", season or "": "season"})
    on = ["site"] if season is None else ["site", "season"]
    found = effects[on].merge(renamed, on=on, how="left", validate="many_to_one")[list(gradients)]
    blank = found.isna().to_numpy() & effects["effect"].notna().to_numpy()[:, None]
    if blank.any():
        row, column = np.argwhere(blank)[0]
        garden = effects["site"].iloc[row]
        raise InputError(f"{gradients[column]} is blank in garden {garden}. Fill it in, or leave it out.")
    return found.set_index(effects.index)


def _network(
    gardens: GardenEffects, at: pd.DataFrame, how: How, *, has_seasons: bool
) -> list[TreatmentAnswer]:
    answers = []
    for treatment, rows in gardens.effects.groupby("treatment", sort=False):
        usable = rows[rows["effect"].notna()]
        covariates = at.loc[usable.index] if len(at.columns) else None
        pooled = _pooled(usable, covariates, how, has_seasons=has_seasons)
        plots = int(usable["n_control"].sum() + usable["n_treatment"].sum())
        signs = sign_flip_test(usable.groupby("site")["effect"].mean().to_numpy())
        by_signs = None if signs is None else signs.p
        answers.append(TreatmentAnswer(treatment, pooled, plots, pooled.p, by_signs, _percents(pooled, how)))
    adjusted = _adjusted(gardens, answers)
    return [replace(each, p_adjusted=known(p)) for each, p in zip(answers, adjusted, strict=True)]


def _pooled(usable: pd.DataFrame, covariates: pd.DataFrame | None, how: How, *, has_seasons: bool) -> Pooled:
    effect, variance = usable["effect"].to_numpy(), usable["variance"].to_numpy()
    variance = None if np.isnan(variance).all() else variance
    options: dict[str, Any] = {"prediction": how.prediction, "level": how.level}
    if has_seasons:
        return pool_seasons(
            effect, variance, usable["site"].tolist(), covariates, how.method, how.interval, **options
        )
    return pool(effect, variance, covariates, how.method, how.interval, **options)


def _percents(pooled: Pooled, how: How) -> tuple[float | None, float | None, float | None]:
    if how.effect == "difference" and how.scale == "means":
        return (None, None, None)
    low, middle, high = (
        None if value is None else float(np.expm1(value) * 100)
        for value in (pooled.ci_low, pooled.estimate, pooled.ci_high)
    )
    return (middle, low, high)


def _adjusted(gardens: GardenEffects, answers: list[TreatmentAnswer]) -> np.ndarray:
    """Return p-values that allow for all treatments that share the control (Dunnett 1955)."""
    numbers = {
        name: [getattr(each.pooled, name) for each in answers]
        for name in ("estimate", "se", "df", "tau2", "p")
    }
    table = pd.DataFrame(numbers, dtype="float64")
    if len(answers) == 1 or table.isna().any(axis=None) or (table["se"] <= 0).any():
        return bonferroni(table["p"])
    correlation = _correlation(gardens, answers)
    family = compare_with_control(table["estimate"], table["se"], table["df"], correlation, None)
    return family["p_adjusted"].to_numpy()


def _unit(rows: pd.DataFrame) -> pd.Series:
    """Return one name for each garden and season."""
    return rows["site"].astype("str") + "\x1f" + rows["season"].astype("str").fillna("")


def _correlation(gardens: GardenEffects, answers: list[TreatmentAnswer]) -> np.ndarray:
    """Return the correlation of the pooled estimates through the gardens and controls that they share."""
    names = [each.treatment for each in answers]
    tau2 = np.array([each.pooled.tau2 for each in answers], dtype=float)
    unit = _unit(gardens.effects)
    order = pd.Index(unit.unique())
    variance = np.full((len(order), len(names)), np.nan)
    column = {name: at for at, name in enumerate(names)}
    variance[order.get_indexer(unit), gardens.effects["treatment"].map(column)] = gardens.effects["variance"]
    covariance = np.zeros((len(order), len(names), len(names)))
    diagonal = np.arange(len(names))
    covariance[:, diagonal, diagonal] = np.nan_to_num(variance)
    shared = gardens.covariances
    where = order.get_indexer(_unit(shared))
    one, other = shared["treatment"].map(column), shared["other"].map(column)
    covariance[where, one, other] = covariance[where, other, one] = np.nan_to_num(shared["covariance"])
    with np.errstate(divide="ignore"):
        weights = np.where(np.isfinite(variance), 1 / (variance + tau2), 0.0)
    return network_correlation(weights, covariance, tau2)


def _at_once(
    plots: pd.DataFrame,
    control: str,
    response: str,
    how: How,
    site: str,
    treatment: str,
    block: str | None,
    season: str | None,
) -> tuple[list[dict[str, Any]], str | None]:
    """Return the one-stage model of all plots, or why there is none."""
    if not how.at_once:
        return [], "the model of all plots at once was not asked for"
    if plots[site].nunique() > MOST_GARDENS_AT_ONCE:
        return [], f"the model of all plots at once is for up to {MOST_GARDENS_AT_ONCE} gardens"
    as_ratio = _takes_logarithms(how)
    usable = plots[plots[response] > 0] if as_ratio else plots
    try:
        fitted = fit_one_stage(
            usable,
            site=site if season is None else [site, season],
            treatment=treatment,
            control=control,
            response=response,
            block=block,
            effect="ratio" if as_ratio else "difference",
            confidence=how.level,
        )
    except InputError as error:
        return [], str(error)
    return fitted.mixed_model(), None
