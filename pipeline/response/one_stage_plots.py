"""From a table of plots to the sums that the one-stage model needs, and what its layout cannot tell."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from pipeline.response.mixed_likelihood import GardenSums
from pipeline.response.variance_ratios import NO_PLOT_ERROR
from sites.errors import InputError

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

Effect = Literal["difference", "ratio"]

#: Responses that spread by less than this share of their size are equal but for rounding.
EQUAL = 1e-12


@dataclass(frozen=True)
class TrialPlots:
    """The plots of a trial for one model.

    `sums` holds the responses less `centre`, over `scale`, so that the search meets numbers near one.
    `terms` names the columns of the fixed part, `treatments` those but the control. `unknown` says which
    variances the layout cannot tell from another, and why.
    """

    sums: GardenSums
    terms: tuple[str, ...]
    treatments: tuple[str, ...]
    centre: float
    scale: float
    unknown: dict[str, str]


def trial_plots(
    plots: pd.DataFrame,
    site: Sequence[str],
    treatment: str,
    control: str,
    response: str,
    block: str | None,
    gradient: str | None,
    effect: Effect,
) -> TrialPlots:
    """Return the plots that have a response, as codes and sums.

    Raises InputError for blank keys, fewer than two gardens, a control that nobody grew, responses at or
    below zero where logarithms are asked for, a gradient that differs within a garden, and terms that the
    gardens cannot tell apart.
    """
    keys = [*site, treatment, *(column for column in (block, gradient) if column is not None)]
    used = plots.loc[plots[response].notna(), [*keys, response]].reset_index(drop=True)
    for column in keys:
        if used[column].isna().any():
            raise InputError(f"Column {column} is blank for a plot that has a response; fill it in.")
    garden = used.groupby(list(site)).ngroup().to_numpy()
    if np.unique(garden).size < 2:
        raise InputError("A mixed model over gardens needs plots with a response from at least two gardens.")
    names = _treatment_names(used[treatment].astype(str), control)
    codes = used[treatment].astype(str).map({name: code for code, name in enumerate(names)}).to_numpy()
    values = _values(used[response].to_numpy(dtype=np.float64), used[site[0]].astype(str), effect)
    blocks = (
        np.zeros_like(garden) if block is None else _within(garden, used.groupby([*site, block]).ngroup())
    )
    position = None if gradient is None else _positions(garden, used[gradient], gradient)
    design = _design(int(garden.max()) + 1, len(names), position)
    centre, scale = float(values.mean()), float(values.std())
    if scale <= EQUAL * abs(centre) or scale == 0.0:
        raise InputError("All plots have the same response, so nothing can be estimated from them.")
    sums = GardenSums((values - centre) / scale, garden, blocks, codes, design)
    _refuse_aliased(sums)
    _refuse_exact(sums)
    return TrialPlots(
        sums=sums,
        terms=_term_names(names[1:], gradient),
        treatments=tuple(names[1:]),
        centre=centre,
        scale=scale,
        unknown=_unknown(sums, block is not None),
    )


def _treatment_names(treatment: pd.Series, control: str) -> list[str]:
    names = sorted(treatment.unique())
    if control not in names:
        raise InputError(
            f"No plot with a response grew the control {control}; treatments: {', '.join(names)}."
        )
    if len(names) < 2:
        raise InputError(f"Only {control} has plots with a response; there is nothing to compare it with.")
    return [control, *(name for name in names if name != control)]


def _term_names(treatments: Sequence[str], gradient: str | None) -> tuple[str, ...]:
    along = [] if gradient is None else [gradient, *(f"{name}:{gradient}" for name in treatments)]
    return ("intercept", *treatments, *along)


def _values(response: FloatArray, garden: pd.Series, effect: Effect) -> FloatArray:
    if not np.isfinite(response).all():
        raise InputError("A response is infinite; fill in a number or leave it blank.")
    if effect == "difference":
        return response
    low = np.flatnonzero(response <= 0)
    if low.size:
        raise InputError(
            f"{low.size} of {response.size} plots have a response of 0 or below, the first in garden "
            f"{garden.iloc[low[0]]}. A ratio needs every response above 0: ask for the difference."
        )
    return np.log(response)


def _within(garden: IntArray, numbered: pd.Series) -> IntArray:
    """Return codes that start at 0 in each garden, from codes that run on through the gardens."""
    first: pd.Series = numbered.groupby(garden).transform("min")
    return (numbered - first).to_numpy()


def _positions(garden: IntArray, column: pd.Series, name: str) -> FloatArray:
    """Return one value per garden, less their mean."""
    by_garden = column.astype(np.float64).groupby(garden)
    if (by_garden.min() < by_garden.max()).any():
        raise InputError(f"Column {name} differs between plots of one garden; give one value per garden.")
    position: FloatArray = by_garden.first().to_numpy()
    return position - position.mean()


def _design(gardens: int, treatments: int, position: FloatArray | None) -> FloatArray:
    """Return the fixed part (gardens, treatments, p): intercept, treatments, and both times the position."""
    contrasts = np.eye(treatments)
    contrasts[:, 0] = 1.0
    plain = np.broadcast_to(contrasts, (gardens, treatments, treatments))
    if position is None:
        return plain
    return np.concatenate([plain, plain * position[:, np.newaxis, np.newaxis]], axis=2)


def _refuse_aliased(sums: GardenSums) -> None:
    counts = np.zeros(sums.design.shape[:2])
    np.add.at(counts, (sums.garden, sums.treatment), 1.0)
    crossed = np.einsum("gt,gtp,gtr->pr", counts, sums.design, sums.design)
    scale = np.sqrt(np.diag(crossed))
    if (
        np.any(scale == 0)
        or np.linalg.matrix_rank(crossed / np.outer(scale, scale), hermitian=True) < scale.size
    ):
        raise InputError(
            "The gradient does not differ enough between the gardens of each treatment to give it a slope. "
            "Leave the gradient out, or the treatments that few gardens grew."
        )
    if sums.response.size <= scale.size + 1:
        raise InputError(
            f"{sums.response.size} plots are too few for {scale.size} terms and their error. "
            "Leave treatments out, or wait for more plots."
        )


def _refuse_exact(sums: GardenSums) -> None:
    """Refuse plots that the treatments alone explain: with no spread left a likelihood has no top."""
    design = sums.design[sums.garden, sums.treatment]
    left = sums.response - design @ np.linalg.lstsq(design, sums.response, rcond=None)[0]
    if left @ left <= EQUAL * sums.response.size:
        raise InputError(NO_PLOT_ERROR)


def _unknown(sums: GardenSums, blocked: bool) -> dict[str, str]:
    plots = pd.DataFrame({"garden": sums.garden, "block": sums.block, "treatment": sums.treatment})
    unknown = {}
    if not blocked:
        unknown["block"] = "no block column was given"
    elif (plots.groupby("garden")["block"].nunique() < 2).all():
        unknown["block"] = "every garden has one block, so blocks are gardens"
    elif not plots.duplicated(["garden", "block"]).any():
        unknown["block"] = "every block has one plot, so blocks are plots"
    if not plots.duplicated(["garden", "treatment"]).any():
        unknown["site_treatment"] = (
            "no garden has two plots of one treatment, so how gardens differ in the effect is in the residual"
        )
    if not plots.duplicated("garden").any():
        unknown["site"] = "every garden has one plot, so gardens are plots"
    return unknown
