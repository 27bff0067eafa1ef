"""The interval for the true effect in a garden that is not in the network yet.

Two forms. "t" puts the one best estimate of the variance between gardens into a t interval. That estimate is
often 0 where gardens do differ, and the interval then covers far too seldom. "bootstrap" averages over all
variances between gardens that the data allow, each by the confidence it deserves.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy import special

from pipeline.response.between_gardens import fit_at, tau2_at_q
from pipeline.response.intervals import t_quantile
from pipeline.response.random_effects import RandomEffects
from pipeline.response.weighted_regression import Array, WeightedFit

Prediction = Literal["t", "bootstrap"]

#: Points at which the confidence distribution of the variance between gardens is taken. With 16, from 3
#: gardens to 40, the ends of the interval lie within 0.001 % of its width of those with 400 points.
POINTS = 16

#: Quantiles of Q are kept above this share of Q at 0. Where gardens agree almost exactly the true ones are
#: too small for a double and would name infinite variances; they have next to no share in the mixture.
LEAST_SHARE_OF_Q = 1e-40

#: Newton or halving steps for a quantile. Newton alone needs about 6.
MOST_STEPS = 60


@dataclass(frozen=True)
class ConfidenceDistribution:
    """What the data say of the variance between gardens: values `(..., n)`, and shares that sum to 1.

    `fit` holds the regression with the weights of each value, `(..., n, k)`.
    """

    share: Array
    tau2: Array
    fit: WeightedFit


def confidence_distribution(model: RandomEffects) -> ConfidenceDistribution:
    """Return the confidence distribution of the variance between gardens.

    At the true variance the generalised Q has a chi-square distribution with k - p degrees of freedom,
    whatever the mean. Read backwards, each quantile of that distribution names the variance at which Q
    would equal it. Quantiles above Q at 0 all name 0. Integrating over quantiles at fixed points, closer
    together toward large variances, replaces the random draws of a bootstrap, so that the same data give
    the same interval.

    Source: Nagashima, Noma & Furukawa 2019, Statistical Methods in Medical Research 28:1689-1702, who draw
    from the distribution of DerSimonian & Laird's Q; the generalised Q of Viechtbauer 2007, Statistics in
    Medicine 26:37-52, is exact for unequal variances and for regressions too.
    """
    above_zero = special.chdtr(model.df, model.common.q)[..., None]
    points, weights = np.polynomial.legendre.leggauss(POINTS)
    root = (1 + points) / 2
    quantile = 2 * special.gammaincinv(model.df / 2, above_zero * root**2)
    target = np.maximum(quantile, LEAST_SHARE_OF_Q * model.common.q[..., None]).astype(float)
    along = model.design if model.design.ndim == 2 else model.design[..., None, :, :]
    networks = model.effect[..., None, :], model.variance[..., None, :], along
    positive = tau2_at_q(*networks, target)
    tau2 = np.concatenate([positive, np.zeros_like(above_zero)], axis=-1)
    share = np.concatenate([above_zero * weights * root, 1 - above_zero], axis=-1)
    return ConfidenceDistribution(share, tau2, fit_at(*networks, tau2))


def bootstrap_prediction(found: ConfidenceDistribution, at: Array, level: float) -> tuple[Array, Array]:
    """Return the interval for the true effect in a new garden whose design row is `at` `(p,)`, or `(m, p)`.

    Where the variance between gardens is known, the effect is normal around the fitted mean with that
    variance plus the mean's own; the interval holds the central share `level` of the mixture of these. The
    result is `(...)`, or `(..., m)`.
    """
    rows = np.atleast_2d(at)
    mean = found.fit.coefficient @ rows.T
    spread = np.einsum("mi,...ij,mj->...m", rows, found.fit.covariance, rows) + found.tau2[..., None]
    low, high = mixture_interval(found.share[..., None], mean, np.sqrt(spread), level)
    return (low[..., 0], high[..., 0]) if np.ndim(at) == 1 else (low, high)


def mixture_interval(share: Array, mean: Array, sd: Array, level: float) -> tuple[Array, Array]:
    """Return the central intervals `(..., m)` of normal distributions `(..., n, m)` mixed along n."""
    return _mixture_quantile(share, mean, sd, (1 - level) / 2), _mixture_quantile(
        share, mean, sd, (1 + level) / 2
    )


def t_prediction(estimate: Array, se: Array, tau2: Array, df: float, level: float) -> tuple[Array, Array]:
    """Return the interval estimate -+ t sqrt(tau2 + se^2); nan without degrees of freedom.

    Source: Higgins, Thompson & Spiegelhalter 2009, Journal of the Royal Statistical Society A 172:137-159;
    with the Knapp-Hartung standard error Partlett & Riley 2017, Statistics in Medicine 36:301-317.
    """
    margin = t_quantile(df, level) * np.sqrt(tau2 + se**2)
    return estimate - margin, estimate + margin


def _mixture_quantile(share: Array, mean: Array, sd: Array, probability: float) -> Array:
    """Return the quantile by Newton steps that halve their bracket where they would leave it.

    A mixture's quantile lies between the smallest and the largest of its parts' quantiles.
    """
    each = mean + special.ndtri(probability) * sd
    low, high = np.min(each, axis=-2), np.max(each, axis=-2)
    value = np.sum(share * each, axis=-2)
    for _ in range(MOST_STEPS):
        z = (value[..., None, :] - mean) / sd
        excess = np.sum(share * special.ndtr(z), axis=-2) - probability
        density = np.sum(share * np.exp(-(z**2) / 2) / sd, axis=-2) / np.sqrt(2 * np.pi)
        low, high = np.where(excess < 0, value, low), np.where(excess < 0, high, value)
        with np.errstate(divide="ignore", invalid="ignore"):
            newton = value - excess / density
        following = np.where((newton >= low) & (newton <= high), newton, (low + high) / 2)
        arrived = np.abs(following - value) <= 1e-12 * np.max(sd, axis=-2)
        value = following
        if np.all(arrived):
            break
    return value
