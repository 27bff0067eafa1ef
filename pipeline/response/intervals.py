"""Intervals and tests for the coefficients of a network's fit."""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from pipeline.response.arrays import Array
from pipeline.response.weighted_regression import WeightedFit

#: A Knapp-Hartung factor this small is rounding: it is 1 on average, and by chance below this less often than
#: once in ten thousand million networks of two gardens.
EXACT = 1e-20

#: Residuals this small beside the effects are rounding: the gardens agree exactly.
ROUNDING = 1e-12

Interval = Literal["knapp-hartung", "knapp-hartung-floor", "normal"]


@dataclass(frozen=True)
class Estimates:
    """Estimates side by side, each with standard error, degrees of freedom, interval and two-sided p."""

    value: Array
    se: Array
    df: float
    low: Array
    high: Array
    p: Array


def estimates(value: Array, se: Array, df: float, level: float) -> Estimates:
    """Return the t interval and test of each value against 0; infinite `df` gives the normal ones."""
    margin = t_quantile(df, level) * se
    return Estimates(value, se, df, value - margin, value + margin, two_sided_p(value, se, df))


def t_quantile(df: float, level: float) -> float:
    """Return the t quantile that holds the central share `level`, nan without degrees of freedom."""
    from scipy import special

    return float(special.stdtrit(df, (1 + level) / 2)) if df > 0 else np.nan


def two_sided_p(value: Array, se: Array, df: float) -> Array:
    """Return the two-sided p of value / se; where se is 0, 0 for any value but 0, and 1 for 0."""
    from scipy import special

    if df <= 0:
        return np.full(np.shape(value), np.nan)
    with np.errstate(divide="ignore", invalid="ignore"):
        t = np.where(value == 0, 0.0, np.abs(value) / se)
    return np.where(np.isnan(se), np.nan, 2 * special.stdtr(df, -t))


def covariance_factor(fit: WeightedFit, interval: Interval) -> Array:
    """Return the factor `(...)` by which an interval's method stretches the coefficients' covariance.

    Knapp-Hartung takes the mean weighted squared residual: it is 1 on average if the weights are right, and
    makes the intervals right on average where they are estimated. It can fall below 1 and make an interval
    narrower than if all gardens responded alike; "knapp-hartung-floor" does not let it. Gardens that agree
    exactly would have an interval without width: there the factor is 1, and their own errors remain.

    Source: Hartung & Knapp 2001, Statistics in Medicine 20:3875-3889; Knapp & Hartung 2003, Statistics in
    Medicine 22:2693-2710; the floor: Röver, Knapp & Friede 2015, BMC Medical Research Methodology 15:99.
    """
    if interval == "normal":
        return np.ones(fit.weight.shape[:-1])
    with np.errstate(divide="ignore", invalid="ignore"):
        factor = fit.q / fit.df
    factor = np.where(factor <= EXACT, 1.0, factor)
    return np.maximum(1, factor) if interval == "knapp-hartung-floor" else factor


def agree_exactly(fit: WeightedFit) -> bool:
    """Return whether a single network's fit leaves nothing but rounding of its effects."""
    return bool(fit.q <= ROUNDING**2 * np.sum(fit.projection**2))


def interval_df(fit: WeightedFit, interval: Interval) -> float:
    """Return the degrees of freedom of the interval: infinite for the normal one."""
    return np.inf if interval == "normal" else fit.df


def coefficient_estimates(fit: WeightedFit, interval: Interval, level: float) -> Estimates:
    """Return the coefficients `(..., p)` with their intervals."""
    covariance = covariance_factor(fit, interval)[..., None, None] * fit.covariance
    se = np.sqrt(np.diagonal(covariance, axis1=-2, axis2=-1))
    return estimates(fit.coefficient, se, interval_df(fit, interval), level)


@dataclass(frozen=True)
class JointTest:
    """The F test that some coefficients are 0 together; `df2` is infinite for the normal interval."""

    f: Array
    df1: int
    df2: float
    p: Array


def joint_test(fit: WeightedFit, interval: Interval, last: int | None = None) -> JointTest:
    """Return the F test of the `last` terms, all but the intercept if None, scaled like the interval.

    The basis is orthonormal in the weights and follows the order of the terms, so the share of the last
    terms in the weighted sum of squares, given all before, is the sum of their squared projections.
    """
    from scipy import special

    df1 = fit.projection.shape[-1] - 1 if last is None else last
    df2 = interval_df(fit, interval)
    with np.errstate(divide="ignore", invalid="ignore"):
        f = np.sum(fit.projection[..., -df1:] ** 2, axis=-1) / (df1 * covariance_factor(fit, interval))
    tail = special.chdtrc(df1, df1 * f) if np.isinf(df2) else special.fdtrc(df1, df2, f)
    return JointTest(f, df1, df2, tail)
