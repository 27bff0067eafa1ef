"""All plots of a trial in one linear mixed model: the cross-check of the two-stage answer."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from pipeline.response.known_numbers import known
from pipeline.response.mixed_likelihood import COMPONENTS, Likelihood, likelihood
from pipeline.response.one_stage_plots import Effect, TrialPlots, trial_plots
from pipeline.response.variance_ratios import likeliest
from sites.errors import InputError

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

#: How degrees of freedom are found. For one contrast they are Kenward and Roger's; their enlarged standard
#: error is left out, so that the standard error is the fit's own, which anybody else gets from these plots,
#: and because small networks are answered by the two-stage estimate with its own small-sample interval.
DF_RULE = "Satterthwaite, with the expected information of all variances, those at zero included"

#: Smallest eigenvalue of the variances' information, as a correlation, with which they are told apart.
COLLINEAR = 1e-9


@dataclass(frozen=True)
class OneStage:
    """The fit of response ~ treatment + (1|site) + (1|site:block) + (1|site:treatment).

    `terms` has term, estimate, se, df, p, ci_low, ci_high; the term of a treatment is its difference to the
    control, of logarithms where `effect` is "ratio". `components` are variances, None where the layout cannot
    tell one, with the reason in `unknown`.
    """

    terms: pd.DataFrame
    components: dict[str, float | None]
    unknown: dict[str, str]
    treatments: tuple[str, ...]
    effect: Effect
    minus_2_log_likelihood: float
    gardens: int
    plots: int

    def mixed_model(self) -> list[dict[str, Any]]:
        """Return one entry per treatment for JSON; what is not known is None."""
        numbers = ("estimate", "se", "df", "p", "ci_low", "ci_high")
        shared = {
            "components": self.components,
            "unknown": self.unknown,
            "effect": self.effect,
            "df_rule": DF_RULE,
            "gardens": self.gardens,
            "plots": self.plots,
        }
        rows = self.terms.set_index("term")
        return [
            {"treatment": name} | {number: known(rows.loc[name, number]) for number in numbers} | shared
            for name in self.treatments
        ]


def fit_one_stage(
    plots: pd.DataFrame,
    *,
    site: str | Sequence[str],
    treatment: str,
    control: str,
    response: str,
    block: str | None = None,
    gradient: str | None = None,
    effect: Effect = "difference",
    confidence: float = 0.95,
) -> OneStage:
    """Return the REML fit of all plots at once.

    `plots` has one row per plot; one without a response is left out. `site` may be several columns, garden
    and season. `effect="ratio"` takes logarithms. `gradient` names a column with one number per garden: it
    enters less the gardens' mean, alone and by treatment, and the treatments' own terms hold at that mean.

    Gardens are independent, so the likelihood is a sum over gardens, and its top is found with exact
    derivatives; a variance at its bound is 0. A block or garden-by-treatment variance that the layout cannot
    tell from another is left out of the model. Degrees of freedom by `DF_RULE` (Fai & Cornelius 1996, J.
    Stat. Comput. Simul. 54:363; Kenward & Roger 1997, Biometrics 53:983). Raises InputError for plots from
    which there is no such model.
    """
    keys = [site] if isinstance(site, str) else list(site)
    trial = trial_plots(plots, keys, treatment, control, response, block, gradient, effect)
    estimated = np.array([part not in trial.unknown for part in COMPONENTS])
    _refuse_confounded(trial, estimated)
    ratios, at = likeliest(trial.sums, estimated)
    variances = np.append(ratios, 1.0) * at.residual * trial.scale**2
    components = zip([*COMPONENTS, "residual"], variances, strict=True)
    residual_df = trial.sums.response.size - len(trial.terms)
    return OneStage(
        terms=_terms(trial, at, _degrees_of_freedom(at, ratios, estimated, residual_df), confidence),
        components={part: None if part in trial.unknown else float(value) for part, value in components},
        unknown=trial.unknown,
        treatments=trial.treatments,
        effect=effect,
        minus_2_log_likelihood=float(at.value + 2.0 * residual_df * np.log(trial.scale)),
        gardens=trial.sums.design.shape[0],
        plots=trial.sums.response.size,
    )


def _refuse_confounded(trial: TrialPlots, estimated: BoolArray) -> None:
    """Refuse a layout in which two variances would be one, such as a block for each treatment."""
    ratios = estimated.astype(np.float64)
    at = likelihood(trial.sums, trial.sums.gram(), ratios)
    information = _information(at, ratios, estimated, trial.sums.response.size - len(trial.terms))
    scale = np.sqrt(np.diag(information))
    if np.any(scale == 0) or np.linalg.eigvalsh(information / np.outer(scale, scale))[0] < COLLINEAR:
        names = [part for part, told in zip(COMPONENTS, estimated, strict=True) if told]
        raise InputError(
            f"The layout cannot tell the variances of {', '.join(names)} and plots apart, as where each "
            "block or each garden holds one treatment. Leave the block out, or such gardens."
        )


def _information(at: Likelihood, ratios: FloatArray, estimated: BoolArray, residual_df: int) -> FloatArray:
    """Return tr(P Hk P Hl) over the estimated components and, last, the residual, whose H is the identity.

    The identity is H less the components' parts, and P H P = P, so its traces follow from theirs.
    """
    with_residual = at.traces - at.products @ ratios
    last = residual_df - 2.0 * ratios @ at.traces + ratios @ at.products @ ratios
    whole = np.block([[at.products, with_residual[:, np.newaxis]], [with_residual, np.array([last])]])
    kept = np.append(estimated, True)
    return whole[np.ix_(kept, kept)]


def _degrees_of_freedom(
    at: Likelihood, ratios: FloatArray, estimated: BoolArray, residual_df: int
) -> FloatArray:
    """Return Satterthwaite's df (p,) of each coefficient: 2 variance^2 / variance of the variance."""
    variance = np.diag(at.unscaled)
    slopes = np.array([np.diag(at.unscaled @ part @ at.unscaled) for part in at.leverage])
    slopes = np.vstack([slopes[estimated], variance - ratios @ slopes])
    information = _information(at, ratios, estimated, residual_df)
    spread = np.sum(slopes * np.linalg.solve(information, slopes), axis=0)
    freedom: FloatArray = variance**2 / spread
    return freedom


def _terms(trial: TrialPlots, at: Likelihood, df: FloatArray, confidence: float) -> pd.DataFrame:
    from scipy import special

    estimate = at.coefficients * trial.scale
    estimate[0] += trial.centre
    se = np.sqrt(at.residual * np.diag(at.unscaled)) * trial.scale
    margin = special.stdtrit(df, 0.5 + confidence / 2.0) * se
    return pd.DataFrame(
        {
            "term": list(trial.terms),
            "estimate": estimate,
            "se": se,
            "df": df,
            "p": 2.0 * special.stdtr(df, -np.abs(estimate / se)),
            "ci_low": estimate - margin,
            "ci_high": estimate + margin,
        }
    )
