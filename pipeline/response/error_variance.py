"""The variance of plots within a garden: each garden's own, one for all, or each pulled toward all.

Works on any variance that is known as a sum of squares with degrees of freedom, one per garden `(G,)`: the
residual sum of squares itself for differences, or that over the garden's squared mean, a squared coefficient
of variation, for ratios.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from pipeline.response.arrays import Array

VarianceKind = Literal["garden", "pooled", "moderated"]

#: A garden's variance below this share of the median counts as this share when the spread of the log
#: variances is measured: plots that agree exactly would otherwise have an infinite logarithm. Value: common
#: practice, no source.
LEAST_SHARE_OF_MEDIAN = 1e-5


@dataclass(frozen=True)
class ErrorVariance:
    """The variance to use in each garden, its degrees of freedom, and where it comes from, all `(G,)`.

    `source` is "garden", "pooled" or "moderated"; "none", with the variance nan, where no garden has residual
    degrees of freedom and nothing is known.
    """

    value: Array
    df: Array
    source: np.ndarray


#: Least degrees of freedom of the prior. At 3 the coefficients of variation of 19 gardens in 20 lie within
#: a factor of 7 of each other, wider than the 10 to 35 % of garden yields (common practice, no source).
#: Five like gardens of two blocks give a lower estimate one time in four, by chance. Their weights would
#: then be wild, and the interval for the mean over such gardens would hold it 93.7 % of the time instead of
#: 94.6 %.
LEAST_PRIOR_DF = 3.0


def error_variance(sum_of_squares: Array, df: Array, kind: VarianceKind) -> ErrorVariance:
    """Return the variance of each garden by the named kind.

    A garden without residual degrees of freedom, or whose own variance is asked for and is exactly 0, borrows
    the pooled one. Gardens whose `df` is 0 do not touch the others.
    """
    df = np.asarray(df, dtype=float)
    has_own = df > 0
    total, total_df = np.sum(sum_of_squares[has_own]), np.sum(df)
    if not total > 0:
        return ErrorVariance(np.full(df.shape, np.nan), np.full(df.shape, np.nan), np.full(df.shape, "none"))
    value, its_df = np.full(df.shape, total / total_df), np.full(df.shape, total_df)
    source = np.full(df.shape, "pooled", dtype="<U9")
    if kind == "garden":
        own = has_own & (sum_of_squares > 0)
        value[own], its_df[own], source[own] = sum_of_squares[own] / df[own], df[own], "garden"
    elif kind == "moderated":
        value[has_own], its_df[has_own] = moderated(sum_of_squares[has_own], df[has_own])
        source[has_own] = "moderated"
    return ErrorVariance(value, its_df, source)


def moderated(sum_of_squares: Array, df: Array) -> tuple[Array, Array]:
    """Return each garden's variance pulled toward a prior common to all, and its degrees of freedom.

    The prior is a scaled inverse chi-square whose two parameters come from mean and variance of the log
    variances. Where these differ no more than chance lets expect, every garden gets the pooled variance.

    Source: Smyth 2004, Statistical Applications in Genetics and Molecular Biology 3(1):3, section 6.2.
    """
    from scipy import special

    pooled, total_df = np.sum(sum_of_squares) / np.sum(df), np.sum(df)
    variance = sum_of_squares / df
    log_variance = np.log(np.maximum(variance, LEAST_SHARE_OF_MEDIAN * np.median(variance[variance > 0])))
    # Gardens share a few degrees of freedom, and the functions of them are dear.
    distinct, which, gardens = np.unique(df / 2, return_inverse=True, return_counts=True)
    level = log_variance - (special.digamma(distinct) - np.log(distinct))[which]
    chance = float(gardens @ special.polygamma(1, distinct)) / len(df)
    excess = float(np.var(level, ddof=1)) - chance if len(df) > 1 else 0.0
    if not excess > 0:
        return np.full(df.shape, pooled), np.full(df.shape, total_df)
    prior_df = max(LEAST_PRIOR_DF, 2 * trigamma_inverse(excess))
    prior = np.exp(np.mean(level) + special.digamma(prior_df / 2) - np.log(prior_df / 2))
    return (prior_df * prior + sum_of_squares) / (prior_df + df), np.minimum(prior_df + df, total_df)


def trigamma_inverse(value: float) -> float:
    """Return the x > 0 whose trigamma is `value` > 0.

    Newton steps on the reciprocal, which is nearly straight (Smyth 2004, appendix).
    """
    from scipy import special

    x = 0.5 + 1 / value
    for _ in range(50):
        now = float(special.polygamma(1, x))
        step = now * (1 - now / value) / float(special.polygamma(2, x))
        x += step
        if abs(step) <= 1e-12 * x:
            break
    return x
