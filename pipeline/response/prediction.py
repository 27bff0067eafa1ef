"""The interval for the true effect in a garden that is not in the network yet.

Two forms. "t" puts the one best estimate of the variance between gardens into a t interval. That estimate is
often 0 where gardens do differ, and the interval then covers far too seldom. "bootstrap" averages over all
variances between gardens that the data allow, each by the confidence it deserves.
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from pipeline.response.arrays import Array
from pipeline.response.between_gardens import fit_at, tau2_at_q
from pipeline.response.intervals import Estimates, t_quantile
from pipeline.response.random_effects import RandomEffects

Prediction = Literal["t", "bootstrap"]

#: Points at which the confidence distribution of the variance between gardens is taken, so many above 0 and
#: so many at 0. With 16, from 3 gardens to 40, the ends of the interval lie within 0.002 % of its width of
#: those with 300 points.
POINTS = 16

#: Gardens up to which all points are solved side by side; beyond, one by one, each from the one before, is
#: faster and needs little memory.
TOGETHER_UP_TO = 2_000

#: Where gardens agree so closely that a smaller Q is less likely than this, no variance above 0 has a share
#: that a double could hold, and Q itself stands for the quantiles below it.
LEAST_PROBABILITY = 1e-200

#: Where gardens surely differ, quantiles beyond Q are infinite, and where they agree exactly Q is 0. This
#: number and its inverse stand for these: parts with no share, or with no standard deviation.
LARGEST_QUANTILE = 1e100

#: Least standard deviation of a part of a mixture. Effects that agree exactly leave none at all, and a
#: quantile of nothing would be 0 / 0.
LEAST_SD = 1e-100

#: Newton or halving steps for a quantile. Newton alone needs about 6.
MOST_STEPS = 60


@dataclass(frozen=True)
class ConfidenceDistribution:
    """What the data say of the variance between gardens: values `(..., n)`, and shares that sum to 1.

    With the weights of each value: `coefficient` `(..., n, p)` and `covariance` `(..., n, p, p)` of the
    regression, and the generalised Q `(..., n)`. `stretch` `(..., n)` scales the covariance in a prediction:
    1 where the variance is above 0, less where even none leaves too much room.
    """

    share: Array
    tau2: Array
    coefficient: Array
    covariance: Array
    q: Array
    stretch: Array


def confidence_distribution(model: RandomEffects) -> ConfidenceDistribution:
    """Return the confidence distribution of the variance between gardens.

    At the true variance the generalised Q has a chi-square distribution with k - p degrees of freedom,
    whatever the mean. Read backwards, each quantile of that distribution names the variance at which Q
    would equal it, and quantiles above Q at 0 all name 0. For these Q over the quantile, the stretch, does
    what Knapp & Hartung do with Q over its mean; with equal variances it makes the mean's part of a
    prediction exactly their t.

    Source: Nagashima, Noma & Furukawa 2019, Statistical Methods in Medical Research 28:1689-1702, who draw
    from the distribution of DerSimonian & Laird's Q; the generalised Q of Viechtbauer 2007, Statistics in
    Medicine 26:37-52, is exact for unequal variances and for regressions too.
    """
    share, quantile = _quantiles(model)
    none = _weighed(model, np.full_like(quantile[..., :1], np.inf))
    if model.effect.ndim > 1 or model.effect.size <= TOGETHER_UP_TO:
        above = [_weighed(model, quantile[..., :POINTS])]
    else:
        above, larger = [], none
        for point in reversed(range(POINTS)):
            larger = _weighed(model, quantile[point : point + 1], start=larger[0])
            above.insert(0, larger)
    tau2, coefficient, covariance, q = (
        np.concatenate(part, axis=model.effect.ndim - 1)
        for part in zip(*above, *[none] * POINTS, strict=True)
    )
    return ConfidenceDistribution(share, tau2, coefficient, covariance, q, np.minimum(1, q / quantile))


def _weighed(
    model: RandomEffects, quantile: Array, start: Array | float = 0.0
) -> tuple[Array, Array, Array, Array]:
    """Return the variance between gardens at each quantile `(..., n)`, and the fit with its weights."""
    along = model.design if model.design.ndim == 2 else model.design[..., None, :, :]
    networks = model.effect[..., None, :], model.variance[..., None, :], along
    tau2 = tau2_at_q(*networks, quantile, start)
    fitted = fit_at(*networks, tau2)
    return tau2, fitted.coefficient, fitted.covariance, fitted.q


def _quantiles(model: RandomEffects) -> tuple[Array, Array]:
    """Return quantiles of Q `(..., n)`, first those below Q at 0 and then those beyond, with their shares.

    Fixed points of a Gauss-Legendre rule in the root of the probability, so that they crowd toward small
    quantiles, take the place of the random draws of a bootstrap: the same data give the same interval.
    """
    from scipy import special

    q = np.asarray(model.common.q)[..., None]
    below, beyond = special.chdtr(model.df, q), special.chdtrc(model.df, q)
    points, weights = np.polynomial.legendre.leggauss(POINTS)
    root = (1 + points) / 2
    share = np.concatenate([below * weights * root, beyond * weights * root], axis=-1)
    smaller = 2 * special.gammaincinv(model.df / 2, below * root**2)
    larger = 2 * special.gammainccinv(model.df / 2, beyond * (1 - root**2))
    quantile = np.concatenate([np.where(below > LEAST_PROBABILITY, smaller, q), larger], axis=-1)
    return share, np.clip(quantile, 1 / LARGEST_QUANTILE, LARGEST_QUANTILE)


def new_garden(
    model: RandomEffects, mean: Estimates, rows: Array, prediction: Prediction, level: float
) -> tuple[Array, Array]:
    """Return the interval `(..., m)` for the true effect in a new garden at design `rows` `(m, p)`.

    `mean` is the fitted mean at these rows with its interval. The bootstrap form always holds that interval.
    """
    if prediction == "t":
        return t_prediction(mean.value, mean.se, model.tau2[..., None], model.df - 1, level)
    low, high = bootstrap_prediction(confidence_distribution(model), rows, level)
    return np.minimum(low, mean.low), np.maximum(high, mean.high)


def t_prediction(estimate: Array, se: Array, tau2: Array, df: float, level: float) -> tuple[Array, Array]:
    """Return the interval estimate -+ t sqrt(tau2 + se^2); nan without degrees of freedom.

    Source: Higgins, Thompson & Spiegelhalter 2009, Journal of the Royal Statistical Society A 172:137-159;
    with the Knapp-Hartung standard error Partlett & Riley 2017, Statistics in Medicine 36:301-317.
    """
    margin = t_quantile(df, level) * np.sqrt(tau2 + se**2)
    return estimate - margin, estimate + margin


def bootstrap_prediction(found: ConfidenceDistribution, rows: Array, level: float) -> tuple[Array, Array]:
    """Return the interval `(..., m)` that averages over the variances between gardens.

    Where that variance is known, the effect in a new garden is normal around the fitted mean with that
    variance plus the mean's own; the interval holds the central share `level` of the mixture of these.
    """
    mean = found.coefficient @ rows.T
    of_mean = np.einsum("mi,...ij,mj->...m", rows, found.covariance, rows) * found.stretch[..., None]
    return mixture_interval(found.share[..., None], mean, np.sqrt(of_mean + found.tau2[..., None]), level)


def mixture_interval(share: Array, mean: Array, sd: Array, level: float) -> tuple[Array, Array]:
    """Return the central intervals `(..., m)` of normal distributions `(..., n, m)` mixed along n."""
    low, high = (_mixture_quantile(share, mean, sd, tail) for tail in ((1 - level) / 2, (1 + level) / 2))
    return low, high


def _mixture_quantile(share: Array, mean: Array, sd: Array, probability: float) -> Array:
    """Return the quantile by Newton steps that halve their bracket where they would leave it.

    A mixture's quantile lies between the smallest and the largest of its parts' quantiles.
    """
    from scipy import special

    sd = np.maximum(sd, LEAST_SD)
    each = mean + special.ndtri(probability) * sd
    low, high = np.min(each, axis=-2), np.max(each, axis=-2)
    value, size = np.sum(share * each, axis=-2), np.sum(share * sd, axis=-2)
    for _ in range(MOST_STEPS):
        z = (value[..., None, :] - mean) / sd
        excess = np.sum(share * special.ndtr(z), axis=-2) - probability
        density = np.sum(share * np.exp(-(z**2) / 2) / sd, axis=-2) / np.sqrt(2 * np.pi)
        low, high = np.where(excess < 0, value, low), np.where(excess < 0, high, value)
        with np.errstate(divide="ignore", invalid="ignore"):
            newton = value - excess / density
        following = np.where((newton >= low) & (newton <= high), newton, (low + high) / 2)
        arrived = np.abs(following - value) <= 1e-12 * size
        value = following
        if np.all(arrived):
            break
    return value
