"""From a frame of plots to a frame of garden effects: one row per garden, season and treatment."""

from collections.abc import Hashable
from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np
import pandas as pd

from pipeline.response import defaults
from pipeline.response.arrays import Codes, Flags
from pipeline.response.error_variance import VarianceKind
from pipeline.response.garden_contrasts import Contrasts, arms, contrasts, with_own_arms
from pipeline.response.garden_model import GardenModels, fit_gardens
from pipeline.response.garden_plots import CodedPlots, coded_plots
from sites.errors import InputError

EffectKind = Literal["ratio", "difference"]

NO_VALUE = "no plot has a value"
SINGLE_PLOT = "only one plot has a value"
NO_CONTROL = "no plot of the control has a value"
ONLY_CONTROL = "only plots of the control have a value"
NO_MEAN_FOR_RATIO = "the mean of its plots is not above zero, so no ratio exists"
NO_CONTROL_FOR_RATIO = "the mean of its control is not above zero, so no ratio exists"
NO_TREATMENT_FOR_RATIO = "the mean of this treatment is not above zero, so no ratio exists"
NOT_CONNECTED = "no block, or chain of blocks, compares this treatment with the control"

#: Reasons by their number in `_reasons`; 0 is none.
WHY = np.array(
    [
        "",
        *(NO_VALUE, SINGLE_PLOT, NO_CONTROL, ONLY_CONTROL, NO_MEAN_FOR_RATIO, NO_CONTROL_FOR_RATIO),
        *(NOT_CONNECTED, NO_TREATMENT_FOR_RATIO),
    ],
    dtype=object,
)


@dataclass(frozen=True)
class GardenEffects:
    """What each garden says, in frames sorted by site, season and treatment.

    `effects`: site, season, treatment, n_control, n_treatment, blocks, mean_control, mean_treatment,
    difference, difference_se, df (of the difference), log_ratio, log_ratio_variance, variance_from; and
    again as `effect` and `variance` the ones to pool. Means count each block of the garden the same. What
    does not exist is nan.

    `covariances`: site, season, treatment, other, covariance: of the effects to pool of two treatments, which
    share the garden's control; each pair once.

    `left_out`: site, season, treatment (missing where it is the whole garden), why.
    """

    effects: pd.DataFrame
    covariances: pd.DataFrame
    left_out: pd.DataFrame


def garden_effects(
    plots: pd.DataFrame,
    control: Hashable,
    response: str,
    effect: EffectKind = "ratio",
    variance: VarianceKind = defaults.VARIANCE,
    blocked: bool = True,
    *,
    site: str = "site",
    treatment: str = "treatment",
    block: str = "block",
    season: str | None = None,
) -> GardenEffects:
    """Return the effect of every treatment in every garden against the control there.

    `plots` has one row per plot, `response` is its column of values, missing where a plot has none. If
    `blocked`, contrasts come from each garden's linear model block + treatment over all its treatments;
    else its plots are independent, and the garden's own variance is each arm's own. With a `season` column
    every season of a garden stands for itself.

    Raises InputError for an unknown option and for plots that cannot be read; see `garden_plots.coded_plots`.
    """
    for given, choices in ((effect, EffectKind), (variance, VarianceKind)):
        if given not in get_args(choices):
            raise InputError(f"There is no {given}. Choose one of {', '.join(get_args(choices))}.")
    columns = {"site": site, "treatment": treatment, "response": response}
    columns |= {"block": block} if blocked else {}
    columns |= {"season": season} if season is not None else {}
    coded = coded_plots(plots, columns, control)
    counts = {"gardens": len(coded.units), "treatments": len(coded.treatments)}
    models = fit_gardens(coded.response, coded.unit, coded.treatment, coded.block, **counts)
    why_garden, why_treatment = _reasons(models, effect)
    used = (why_garden == 0)[:, None] & (why_treatment == 0) & (models.plots > 0)
    used[:, 0] = False
    found = contrasts(models, variance, np.any(used, axis=1))
    if variance == "garden" and not blocked:
        found = with_own_arms(found, arms(coded.response, coded.unit, coded.treatment, models))
    return GardenEffects(
        _effects(coded, models, found, used, effect),
        _covariances(coded, found, used, effect),
        _left_out(coded, models, why_garden, why_treatment),
    )


def _reasons(models: GardenModels, effect: EffectKind) -> tuple[Codes, Codes]:
    """Return why a garden `(G,)`, and why a treatment there `(G, T)`, cannot enter, as places in `WHY`."""
    plots, total = models.plots, models.plots.sum(axis=1)
    garden = {
        NO_VALUE: total == 0,
        SINGLE_PLOT: total == 1,
        NO_CONTROL: plots[:, 0] == 0,
        ONLY_CONTROL: plots[:, 0] == total,
    }
    treatment = {NOT_CONNECTED: ~models.connected}
    if effect == "ratio":
        garden |= {NO_MEAN_FOR_RATIO: ~(models.plot_mean > 0), NO_CONTROL_FOR_RATIO: ~(models.mean[:, 0] > 0)}
        treatment |= {NO_TREATMENT_FOR_RATIO: ~(models.mean > 0)}
    return _first(garden), np.where(plots > 0, _first(treatment), 0)


def _first(reasons: dict[str, Flags]) -> Codes:
    """Return the place in `WHY` of the first reason that holds, 0 where none does."""
    return np.select(list(reasons.values()), [list(WHY).index(why) for why in reasons], 0)


def _effects(
    coded: CodedPlots, models: GardenModels, found: Contrasts, used: Flags, effect: EffectKind
) -> pd.DataFrame:
    unit, treatment = np.nonzero(used)
    here, twice = (unit, treatment), (unit, treatment, treatment)
    difference_variance = found.difference_covariance[twice]
    frame = pd.DataFrame(
        {
            "site": coded.units["site"].array.take(unit),
            "season": coded.units["season"].array.take(unit),
            "treatment": _named(coded, treatment),
            "n_control": models.plots[unit, 0],
            "n_treatment": models.plots[here],
            "blocks": models.blocks[unit] if coded.block is not None else np.nan,
            "mean_control": models.mean[unit, 0],
            "mean_treatment": models.mean[here],
            "difference": found.difference[here],
            "difference_se": np.sqrt(difference_variance),
            "df": found.df[here],
            "log_ratio": found.log_ratio[here],
            "log_ratio_variance": found.log_ratio_covariance[twice],
            "variance_from": found.variance_from[here],
        }
    )
    if effect == "ratio":
        return frame.assign(effect=frame["log_ratio"], variance=frame["log_ratio_variance"])
    return frame.assign(effect=frame["difference"], variance=difference_variance)


def _covariances(coded: CodedPlots, found: Contrasts, used: Flags, effect: EffectKind) -> pd.DataFrame:
    covariance = found.log_ratio_covariance if effect == "ratio" else found.difference_covariance
    pairs = used[:, :, None] & used[:, None, :] & np.triu(np.ones(covariance.shape[1:], dtype=bool), 1)
    unit, treatment, other = np.nonzero(pairs)
    return pd.DataFrame(
        {
            "site": coded.units["site"].array.take(unit),
            "season": coded.units["season"].array.take(unit),
            "treatment": _named(coded, treatment),
            "other": _named(coded, other),
            "covariance": covariance[unit, treatment, other],
        }
    )


def _left_out(
    coded: CodedPlots, models: GardenModels, why_garden: Codes, why_treatment: Codes
) -> pd.DataFrame:
    out = why_garden > 0
    whole = coded.units[out].assign(treatment=np.nan, why=WHY[why_garden[out]])
    unit, treatment = np.nonzero(~out[:, None] & (why_treatment > 0))
    part = coded.units.iloc[unit].assign(
        treatment=_named(coded, treatment), why=WHY[why_treatment[unit, treatment]]
    )
    return pd.concat([whole, part]).sort_values(["site", "season"], kind="stable", ignore_index=True)


def _named(coded: CodedPlots, treatment: np.ndarray) -> pd.api.extensions.ExtensionArray:
    return pd.Series(np.array(coded.treatments, dtype=object)).array.take(treatment)
