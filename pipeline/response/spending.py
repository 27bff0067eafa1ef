"""Limits for a few looks at a trial that together keep one error rate, after O'Brien and Fleming.

Looking often and calling a difference at the usual limit finds one where there is none: five looks at the 5 %
limit call one in 14 % of trials (Armitage, McPherson & Rowe 1969, Journal of the Royal Statistical Society A
132:235; from memory). Spending little at first and most at the end keeps the whole at 5 %.
"""

from collections.abc import Sequence

import numpy as np
from scipy import optimize, stats

from pipeline.response.arrays import Array
from sites.errors import InputError

#: Gauss-Legendre points on which the density of the statistic is carried from look to look, and the largest
#: limit told: nothing passes eight standard deviations. With twice the points limits agree to nine digits.
_POINTS = 120
_REACH = 8.0


def spent(information: Sequence[float], alpha: float = 0.05) -> Array:
    """Return how much of `alpha`, two-sided, may be spent up to each share of the information.

    Each side has alpha / 2 to spend, 2 (1 - Phi(z / sqrt(t))) of it, z the normal quantile of 1 - alpha / 4
    (Lan & DeMets 1983, Biometrika 70:659, their first function; from memory). Raises InputError where the
    shares do not rise within 0 and 1.
    """
    share = np.asarray(information, dtype=np.float64)
    if share.size == 0 or share[0] <= 0 or share[-1] > 1 or np.any(np.diff(share) <= 0):
        raise InputError("Shares of the information must rise from above 0 to at most 1.")
    total: Array = 4 * stats.norm.sf(stats.norm.isf(alpha / 4) / np.sqrt(share))
    return total


def spending_limits(information: Sequence[float], alpha: float = 0.05) -> Array:
    """Return the limit for |z| at each look, at which so much of `alpha` is spent and no more.

    The statistic moves as a random walk in the information. Its density among trials that have passed no
    limit yet is carried from look to look by quadrature (Armitage, McPherson & Rowe 1969). O'Brien & Fleming
    1979, Biometrics 35:549, gave limits of this shape (from memory).
    """
    share = np.asarray(information, dtype=np.float64)
    to_spend = np.diff(spent(information, alpha), prepend=0.0)
    limits = np.empty(share.size)
    scores, mass = np.zeros(1), np.ones(1)
    points, weights = np.polynomial.legendre.leggauss(_POINTS)
    before = 0.0
    for look, (now, chance) in enumerate(zip(share, to_spend, strict=True)):
        step = np.sqrt(now - before)
        limits[look] = _limit(scores, mass, step, np.sqrt(now), chance)
        edge = min(limits[look], _REACH) * np.sqrt(now)
        following = edge * points
        jump = stats.norm.pdf((following[:, None] - scores) / step) / step
        scores, mass, before = following, (jump @ mass) * edge * weights, now
    return limits


def _limit(scores: Array, mass: Array, step: float, root: float, chance: float) -> float:
    """Return the limit for |z| that trials still running pass with this probability."""

    def excess(limit: float) -> float:
        bound = limit * root
        passed = stats.norm.sf((bound - scores) / step) + stats.norm.cdf((-bound - scores) / step)
        return float(passed @ mass) - chance

    if excess(_REACH) > 0:
        return _REACH
    return float(optimize.brentq(excess, 0.0, _REACH, xtol=1e-10))
