"""Several treatments against one control: p-values and intervals that hold for all of them together."""

from typing import NamedTuple

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike, NDArray

from pipeline.response.many_to_one import exceedance_by_points, exceedance_exact
from sites.errors import InputError

FloatArray = NDArray[np.float64]

#: How far a matrix may be from one factor's and still be computed as one factor's: below what a rounded
#: correlation carries and far below what moves a p-value.
ONE_FACTOR_GAP = 1e-9

#: Bracket of a critical value is widened by this share, so that rounding does not hide the root at its ends.
BRACKET_ROOM = 1e-9


#: Largest loading on a common factor: at 1 two treatments would be one.
STEEPEST_LOADING = 0.9999


class Family(NamedTuple):
    """The correlation matrix (m, m) of a family of contrasts and the one common factor closest to it."""

    correlation: FloatArray
    loadings: FloatArray

    @property
    def has_one_factor(self) -> bool:
        """Whether the products of the loadings are the correlations."""
        above = np.triu_indices(len(self.loadings), 1)
        gap = np.abs(np.outer(self.loadings, self.loadings) - self.correlation)[above]
        return bool(np.all(gap <= ONE_FACTOR_GAP))

    @property
    def method(self) -> str:
        """How probabilities of this family are computed."""
        return "quadrature" if self.has_one_factor else "quadrature and quasi-Monte-Carlo"


def plot_correlation(n_treatment: ArrayLike, n_control: float) -> FloatArray:
    """Return the correlation matrix (m, m) of m treatments' differences to one control, equal variances.

    The correlation of i and j is the product of sqrt(n_i / (n_i + n_0)) and its like for j, n the plots
    (Dunnett 1955, J. Am. Stat. Assoc. 50:1096). Raises InputError for fewer than one plot.
    """
    plots = np.asarray(n_treatment, dtype=np.float64)
    if not (np.all(plots >= 1) and n_control >= 1):
        raise InputError("Every treatment and the control need at least one plot to be compared.")
    loadings = np.sqrt(plots / (plots + n_control))
    return np.where(np.eye(plots.size, dtype=bool), 1.0, np.outer(loadings, loadings))


def network_correlation(
    weights: ArrayLike,
    sampling_covariance: ArrayLike,
    tau2: ArrayLike,
    heterogeneity_correlation: float = 0.5,
) -> FloatArray:
    """Return the correlation matrix (m, m) of m pooled estimates that share gardens and their controls.

    `weights` (gardens, m) are those of each treatment's pooled mean, 0 where a garden lacks it;
    `sampling_covariance` (gardens, m, m) holds the gardens' variances and covariances of the m effects;
    `tau2` (m,) the between-garden variances. The true effects of two treatments in a garden correlate by
    `heterogeneity_correlation`, one half where every treatment, the control too, strays from its mean by as
    much (compound symmetry; Lu & Ades 2004, Stat. Med. 23:3105). A pooled mean is linear in the gardens'
    effects, so its covariances are sums over gardens. A treatment without any weight has nan.
    """
    share = np.nan_to_num(np.asarray(weights, dtype=np.float64))
    total = share.sum(axis=0)
    share = share / np.where(total > 0, total, np.nan)
    spread = np.sqrt(np.asarray(tau2, dtype=np.float64))
    between = np.outer(spread, spread) * np.where(np.eye(spread.size), 1.0, heterogeneity_correlation)
    within = np.nan_to_num(np.asarray(sampling_covariance, dtype=np.float64))
    covariance = np.einsum("gj,gl,gjl->jl", share, share, within + between)
    deviation = np.sqrt(np.diag(covariance))
    correlation: FloatArray = covariance / np.outer(deviation, deviation)
    np.fill_diagonal(correlation, 1.0)
    return correlation


def family(correlation: ArrayLike) -> Family:
    """Return the family behind a correlation matrix (m, m), with the common factor closest to it.

    Raises InputError where the matrix is not symmetric and positive definite with ones on its diagonal.
    """
    matrix = np.atleast_2d(np.asarray(correlation, dtype=np.float64))
    proper = matrix.shape[0] == matrix.shape[1] and np.allclose(np.diag(matrix), 1.0, atol=1e-9)
    if not proper or not np.allclose(matrix, matrix.T, atol=1e-9) or np.linalg.eigvalsh(matrix)[0] < 1e-9:
        raise InputError(
            "The correlations of the treatments do not form a correlation matrix, or two treatments carry "
            "the same information. Leave one of them out."
        )
    return Family(matrix, _closest_loadings(matrix))


def exceedance(bound: float, contrasts: Family, df: float) -> float:
    """Return the probability that the largest |t| of the family, without any effect, passes `bound`.

    With one common factor, as where plots of one control serve all, by nested Gauss-Legendre quadrature, to
    about 12 digits. Else that value for the closest common factor, plus the difference that the correlations
    make by deterministic quasi-Monte-Carlo, within 1e-5; never outside the bounds that any correlation keeps,
    one treatment's own probability and Bonferroni's sum. `df` may be infinite.
    """
    from scipy import stats

    close = exceedance_exact(bound, contrasts.loadings, df)
    if contrasts.has_one_factor:
        return close
    one_factor = np.outer(contrasts.loadings, contrasts.loadings)
    np.fill_diagonal(one_factor, 1.0)
    difference = exceedance_by_points(bound, contrasts.correlation, df)
    difference -= exceedance_by_points(bound, one_factor, df)
    alone = 2.0 * float(stats.t.sf(bound, df))
    return min(max(close + difference, alone), alone * len(contrasts.loadings), 1.0)


def critical_value(contrasts: Family, df: float, confidence: float = 0.95) -> float:
    """Return the two-sided bound that the largest |t| of the family passes with 1 - `confidence`."""
    from scipy import optimize, stats

    alpha = 1.0 - confidence
    members = contrasts.correlation.shape[0]
    alone = float(stats.t.isf(alpha / 2.0, df))
    if members == 1:
        return alone
    bonferroni_bound = float(stats.t.isf(alpha / 2.0 / members, df))
    return float(
        optimize.brentq(
            lambda bound: exceedance(bound, contrasts, df) - alpha,
            alone * (1.0 - BRACKET_ROOM),
            bonferroni_bound * (1.0 + BRACKET_ROOM),
            xtol=1e-12,
            rtol=1e-13,
        )
    )


def compare_with_control(
    estimate: ArrayLike,
    se: ArrayLike,
    df: ArrayLike,
    correlation: ArrayLike,
    confidence: float | None = 0.95,
) -> pd.DataFrame:
    """Return estimate, se, df, t, p, p_adjusted, ci_low, ci_high of m treatments, in their order.

    `p` is each treatment's own, `p_adjusted` and the interval hold for the whole family (Dunnett 1955); `df`
    is one number or one for each treatment, which then takes the family's law at its own degrees of freedom.
    `correlation` (m, m) comes from `plot_correlation` or `network_correlation`. A treatment whose estimate or
    standard error is unknown (nan) has nan throughout and does not count in the family. `attrs["method"]`
    says how the probabilities were computed. Without a `confidence` there are no intervals, whose search for
    the critical value takes most of the time. Raises InputError for a standard error or df not above 0.
    """
    from scipy import stats

    table = pd.DataFrame({"estimate": np.asarray(estimate, float), "se": np.asarray(se, float)})
    table["df"] = np.broadcast_to(np.asarray(df, dtype=np.float64), len(table))
    known = table[["estimate", "se", "df"]].notna().all(axis=1).to_numpy()
    if (table.loc[known, ["se", "df"]] <= 0).any(axis=None):
        raise InputError("A standard error or its degrees of freedom are not above 0; nothing can be tested.")
    table["t"] = table["estimate"] / table["se"]
    table["p"] = 2.0 * stats.t.sf(table["t"].abs(), table["df"])
    table[["p_adjusted", "ci_low", "ci_high"]] = np.nan
    if known.any():
        contrasts = family(np.atleast_2d(np.asarray(correlation, dtype=np.float64))[np.ix_(known, known)])
        table.loc[known, "p_adjusted"] = [
            exceedance(abs(t), contrasts, freedom)
            for t, freedom in table.loc[known, ["t", "df"]].itertuples(index=False)
        ]
        if confidence is not None:
            freedoms = table.loc[known, "df"]
            bound_at = {one: critical_value(contrasts, one, confidence) for one in freedoms.unique()}
            margin = freedoms.map(bound_at) * table.loc[known, "se"]
            table.loc[known, "ci_low"] = table.loc[known, "estimate"] - margin
            table.loc[known, "ci_high"] = table.loc[known, "estimate"] + margin
        table.attrs["method"] = contrasts.method
    return table


def bonferroni(p: ArrayLike) -> FloatArray:
    """Return p-values times their number, at most 1; unknown ones (nan) stay so and do not count."""
    values = np.asarray(p, dtype=np.float64)
    adjusted: FloatArray = np.minimum(1.0, values * np.count_nonzero(~np.isnan(values)))
    return adjusted


def holm(p: ArrayLike) -> FloatArray:
    """Return step-down adjusted p-values (Holm 1979, Scand. J. Stat. 6:65), valid under any dependence.

    Unknown ones (nan) stay so and do not count.
    """
    values = np.asarray(p, dtype=np.float64)
    adjusted = np.full_like(values, np.nan)
    known = np.flatnonzero(~np.isnan(values))
    order = known[np.argsort(values[known], kind="stable")]
    steps = values[order] * np.arange(order.size, 0, -1)
    adjusted[order] = np.minimum(1.0, np.maximum.accumulate(steps))
    return adjusted


def _closest_loadings(matrix: FloatArray) -> FloatArray:
    """Return the loadings (m,) whose products come closest, by least squares, to the correlations."""
    from scipy import optimize

    above = np.triu_indices(matrix.shape[0], 1)
    if not np.any(matrix[above]):
        return np.zeros(matrix.shape[0])
    if matrix.shape[0] == 2:
        # One correlation is the product of two equal loadings; nothing is left to search.
        size = min(np.sqrt(abs(matrix[0, 1])), STEEPEST_LOADING)
        return np.array([size, np.copysign(size, matrix[0, 1])])
    roots, vectors = np.linalg.eigh(matrix)
    start = np.clip(vectors[:, -1] * np.sqrt(roots[-1]), -0.9, 0.9)

    def gap(loadings: FloatArray) -> FloatArray:
        found: FloatArray = np.outer(loadings, loadings)[above] - matrix[above]
        return found

    fit = optimize.least_squares(
        gap,
        start,
        bounds=(-STEEPEST_LOADING, STEEPEST_LOADING),
        xtol=1e-15,
        ftol=1e-15,
        gtol=1e-15,
    )
    closest: FloatArray = fit.x
    return closest
