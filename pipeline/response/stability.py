"""How steadily each treatment does from garden to garden: joint regression and its neighbours."""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from pipeline.response.known_numbers import known
from sites.errors import InputError

FloatArray = NDArray[np.float64]

#: Two environments lie on every line through them, and their variances have one degree of freedom.
FEWEST_ENVIRONMENTS = 3

#: Below this a slope rests on at most two degrees of freedom; called weak (common practice, no source).
FEW_ENVIRONMENTS = 5

#: Shukla's variance divides by the treatments less two.
FEWEST_TREATMENTS = 3

#: Environments whose means differ by less than this share of the grand mean are level but for rounding.
LEVEL = 1e-12

MEASURES = ("slope", "slope_se", "deviation_ms", "shukla_variance", "superiority", "ecovalence")
SLOPE_MEASURES = ("slope", "slope_se", "deviation_ms")


@dataclass(frozen=True)
class JointRegression:
    """Analysis of variance of a treatment x environment table, with the interaction split by slopes.

    `f` tests equal slopes against the deviations, on treatments - 1 and (treatments - 1)(environments - 2)
    degrees of freedom (Yates & Cochran 1938, J. Agric. Sci. 28:556; Freeman 1973, Heredity 31:339).
    """

    ss_treatments: float
    ss_environments: float
    ss_interaction: float
    df_interaction: int
    ss_slopes: float
    df_slopes: int
    ss_deviations: float
    df_deviations: int
    f: float
    p: float


@dataclass(frozen=True)
class Stability:
    """The stability of treatments over environments.

    `treatments` has one row per treatment with its mean and the `MEASURES` (nan where not known: `unknown`
    says why, by measure), in the response's unit or its square; `index` is each environment's mean less the
    grand mean; `left_out` has environment and why; `strength` is "weak" below five environments.
    """

    treatments: pd.DataFrame
    index: pd.Series
    joint_regression: JointRegression | None
    unknown: dict[str, str]
    left_out: list[dict[str, str]]
    strength: Literal["weak"] | None

    def to_json(self) -> dict[str, Any]:
        """Return plain values; what is not known is None."""
        numbers = ["mean", *MEASURES]
        return {
            "treatments": [
                {"treatment": name} | {number: known(row[number]) for number in numbers}
                for name, row in self.treatments.set_index("treatment").iterrows()
            ],
            "environments": len(self.index),
            "strength": self.strength,
            "unknown": self.unknown,
            "left_out": self.left_out,
        }


def stability(
    plots: pd.DataFrame,
    *,
    site: str | Sequence[str],
    treatment: str,
    response: str,
    incomplete: Literal["reduce", "refuse"] = "reduce",
) -> Stability:
    """Return the stability of each treatment over the environments that grew all of them.

    `plots` has one row per plot; the columns `site` (garden, or garden and season) name an environment. Plots
    of a treatment in an environment are averaged first; a plot without a response is no plot. An environment
    that lacks a treatment is left out and named (`reduce`), or refused. With two treatments the slopes mirror
    each other about 1: they say which of the two gains more where yields are high, and no more than that.
    Raises InputError for fewer than two treatments, and where no environment grew them all.
    """
    keys = [site] if isinstance(site, str) else list(site)
    grown = plots[plots[response].notna()]
    if grown[[*keys, treatment]].isna().any(axis=None):
        raise InputError("A plot with a response has no environment or no treatment; fill it in or blank it.")
    table = grown.pivot_table(response, treatment, keys, aggfunc="mean")
    if len(table) < 2:
        raise InputError("Stability compares treatments; at least two with a response are needed.")
    complete = table.notna().all()
    left_out = [_left_out(environment, row) for environment, row in table.loc[:, ~complete].items()]
    if left_out and incomplete == "refuse":
        raise InputError(f"{left_out[0]['environment']}: {left_out[0]['why']}. Leave it out, or reduce.")
    if not complete.any():
        rarest = table.notna().sum(axis=1).idxmin()
        raise InputError(
            f"No environment grew every treatment, {rarest} least of all "
            f"({table.loc[rarest].notna().sum()} of {len(complete)}). Leave out the treatments grown in few."
        )
    return measures(table.loc[:, complete], left_out)


def measures(table: pd.DataFrame, left_out: Sequence[dict[str, str]] = ()) -> Stability:
    """Return the stability of the rows (treatments) of a complete table over its columns (environments).

    Slopes on the environment's mean over all treatments, its own included (Finlay & Wilkinson 1963, Aust. J.
    Agric. Res. 14:742), with their standard error from the treatment's own regression; the mean square of the
    deviations (Eberhart & Russell 1966, Crop Sci. 6:36, before they subtract the error); ecovalence, the
    treatment's share of the interaction sum of squares (Wricke 1962, Z. Pflanzenzuecht. 47:92); its unbiased
    variance, which can fall below zero (Shukla 1972, Heredity 29:237); superiority, half the mean squared
    distance to each environment's best (Lin & Binns 1988, Can. J. Plant Sci. 68:193): small is good.
    """
    yields = table.to_numpy(dtype=np.float64)
    treatments, environments = yields.shape
    means = yields.mean(axis=1)
    index = yields.mean(axis=0) - yields.mean()
    spread = index @ index
    interaction = yields - means[:, np.newaxis] - index
    ecovalence = (interaction**2).sum(axis=1)
    unknown = _unknown(treatments, environments, bool(np.max(np.abs(index)) <= LEVEL * np.abs(yields).max()))
    with np.errstate(divide="ignore", invalid="ignore"):  # what this makes is blanked below, with its reason
        slope = (yields @ index) / spread
        deviations = ((yields - means[:, np.newaxis] - np.outer(slope, index)) ** 2).sum(axis=1)
        deviation_ms = deviations / np.float64(environments - 2)
        slope_se = np.sqrt(deviation_ms / spread)
        shukla = treatments * (treatments - 1) * ecovalence - ecovalence.sum()
        shukla /= np.float64((treatments - 1) * (treatments - 2) * (environments - 1))
    columns = {
        "treatment": table.index.astype(str),
        "mean": means,
        "slope": slope,
        "slope_se": slope_se,
        "deviation_ms": deviation_ms,
        "shukla_variance": shukla,
        "superiority": ((yields - yields.max(axis=0)) ** 2).sum(axis=1) / (2 * environments),
        "ecovalence": ecovalence,
    }
    frame = pd.DataFrame(columns)
    frame[list(unknown)] = np.nan
    has_slopes = not set(SLOPE_MEASURES) & set(unknown)
    return Stability(
        frame,
        pd.Series(index, index=[_name(environment) for environment in table.columns]),
        _joint_regression(yields, slope, deviations) if has_slopes else None,
        unknown,
        list(left_out),
        "weak" if environments < FEW_ENVIRONMENTS else None,
    )


def _name(environment: Hashable) -> str:
    return " ".join(map(str, environment)) if isinstance(environment, tuple) else str(environment)


def _left_out(environment: Hashable, row: pd.Series) -> dict[str, str]:
    lacking = ", ".join(str(name) for name in row.index[row.isna()])
    return {"environment": _name(environment), "why": f"no plot with a response of {lacking}"}


def _unknown(treatments: int, environments: int, level: bool) -> dict[str, str]:
    if environments < FEWEST_ENVIRONMENTS:
        return dict.fromkeys(MEASURES, f"stability needs at least {FEWEST_ENVIRONMENTS} environments")
    unknown = {}
    if level:
        unknown = dict.fromkeys(SLOPE_MEASURES, "the environments have equal means, so nothing has a slope")
    if treatments < FEWEST_TREATMENTS:
        unknown["shukla_variance"] = f"Shukla's variance needs at least {FEWEST_TREATMENTS} treatments"
    return unknown


def _joint_regression(yields: FloatArray, slope: FloatArray, deviations: FloatArray) -> JointRegression:
    from scipy import special

    treatments, environments = yields.shape
    index = yields.mean(axis=0) - yields.mean()
    ss_slopes = float(((slope - 1.0) ** 2).sum() * (index @ index))
    ss_deviations = float(deviations.sum())
    df_slopes, df_deviations = treatments - 1, (treatments - 1) * (environments - 2)
    with np.errstate(divide="ignore", invalid="ignore"):  # no deviations at all: F is infinite, or unknown
        ratio = np.float64(ss_slopes / df_slopes) / np.float64(ss_deviations / df_deviations)
    return JointRegression(
        ss_treatments=float(environments * ((yields.mean(axis=1) - yields.mean()) ** 2).sum()),
        ss_environments=float(treatments * (index @ index)),
        ss_interaction=ss_slopes + ss_deviations,
        df_interaction=(treatments - 1) * (environments - 1),
        ss_slopes=ss_slopes,
        df_slopes=df_slopes,
        ss_deviations=ss_deviations,
        df_deviations=df_deviations,
        f=float(ratio),
        p=float(special.fdtrc(df_slopes, df_deviations, ratio)),
    )
