"""The probability that the largest of several |t| that share a control passes a bound."""

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

#: Nodes of each Gauss-Legendre panel. With the panels below, doubling them moves no probability by 1e-12.
NODES = 12

#: End of the integral over the common factor: the normal density beyond 9 is below 1e-18.
FACTOR_END = 9.0

#: Tail probabilities at which the integral over the standard deviation's ratio is cut into panels, so that
#: panels are narrow where its density changes.
DEVIATION_TAILS = (1e-16, 1e-12, 1e-9, 1e-7, 1e-5, 1e-4, 1e-3, 5e-3, 0.02, 0.05, 0.1, 0.2, 0.35)

#: Values of bound x ratio, in normal deviations, where the inner probability changes: further panel ends.
DEVIATION_STEPS = (0.25, 0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0)

#: Points of one quasi-random set, and how many sets are averaged: alone within 3e-5 for 10 treatments, and
#: within 1e-5 where only the difference to a neighbouring correlation is taken from them.
POINTS, SETS = 2**14, 4


def exceedance_exact(bound: float, loadings: FloatArray, df: float) -> float:
    """Return P(max |T_i| > bound) where the T_i correlate by products of `loadings` (m,).

    T_i = (loading_i Z + sqrt(1 - loading_i^2) E_i) / S with Z, E_i standard normal, df S^2 chi-squared and
    loadings between -1 and 1 (Dunnett 1955, J. Am. Stat. Assoc. 50:1096): given Z and S the T_i are
    independent, and two nested Gauss-Legendre rules take the integrals over Z and S. The complement is
    summed, so small probabilities keep their digits. `df` may be infinite.
    """
    if np.isinf(df):
        return float(_normal_exceedance(np.array([bound]), loadings)[0])
    ratio, weight = _deviation_rule(bound, df)
    return min(1.0, float(weight @ _normal_exceedance(bound * ratio, loadings)))


def exceedance_by_points(bound: float, correlation: FloatArray, df: float) -> float:
    """Return P(max |T_i| > bound) for any correlation matrix (m, m), by quasi-Monte-Carlo.

    The variables are taken one after the other (Genz 1992, J. Comput. Graph. Stat. 1:141; Genz & Bretz 1999,
    J. Stat. Comput. Simul. 63:361) over scrambled Sobol points with fixed seeds: the same question always has
    the same answer.
    """
    from scipy import stats
    from scipy.special import ndtr, ndtri

    factor = np.linalg.cholesky(correlation)
    members = correlation.shape[0]
    points = np.vstack([stats.qmc.Sobol(members, rng=seed).random(POINTS) for seed in range(SETS)])
    ratio = np.ones(len(points)) if np.isinf(df) else np.sqrt(stats.chi2.ppf(points[:, 0], df) / df)
    limit = bound * ratio
    drawn = np.zeros((len(points), members))
    inside = np.ones(len(points))
    for member in range(members):
        centre = drawn[:, :member] @ factor[member, :member]
        low = ndtr((-limit - centre) / factor[member, member])
        share = ndtr((limit - centre) / factor[member, member]) - low
        inside *= share
        if member < members - 1:
            within = np.clip(low + points[:, member + 1] * share, 1e-300, 1.0 - 1e-16)
            drawn[:, member] = ndtri(within)
    return float(np.mean(1.0 - inside))


def _normal_exceedance(bounds: FloatArray, loadings: FloatArray) -> FloatArray:
    """Return P(max |Z_i| > bound) for each of `bounds` (u,)."""
    from scipy.special import ndtr

    own = np.sqrt((1.0 - loadings) * (1.0 + loadings))
    steepest = float(np.min(own / np.maximum(np.abs(loadings), 1e-3)))
    panels = int(np.ceil(FACTOR_END / min(1.0, 2.0 * steepest)))
    factor, weight = _panels(np.linspace(0.0, FACTOR_END, panels + 1))
    density = 2.0 * weight * np.exp(-0.5 * factor**2) / np.sqrt(2.0 * np.pi)
    log_inside = np.zeros((bounds.size, factor.size))
    for loading, spread in zip(loadings, own, strict=True):
        outside = ndtr((loading * factor - bounds[:, np.newaxis]) / spread)
        outside += ndtr((-loading * factor - bounds[:, np.newaxis]) / spread)
        with np.errstate(divide="ignore"):  # nothing inside: the logarithm is -inf, and rightly so
            log_inside += np.log1p(-np.minimum(outside, 1.0))
    exceeding: FloatArray = -np.expm1(log_inside) @ density
    return exceeding


def _deviation_rule(bound: float, df: float) -> tuple[FloatArray, FloatArray]:
    """Return nodes and weights for an average over S, the root of chi-squared over its df."""
    from scipy import stats

    low = np.sqrt(stats.chi2.ppf(DEVIATION_TAILS, df) / df)
    high = np.sqrt(stats.chi2.isf(DEVIATION_TAILS, df) / df)
    steps = np.array(DEVIATION_STEPS) / max(bound, 1e-6)
    ends = np.concatenate([[0.0], low, high, steps[steps < high[0]]])
    ratio, weight = _panels(np.unique(ends))
    return ratio, weight * 2.0 * df * ratio * stats.chi2.pdf(df * ratio**2, df)


def _panels(ends: FloatArray) -> tuple[FloatArray, FloatArray]:
    node, weight = np.polynomial.legendre.leggauss(NODES)
    half = np.diff(ends)[:, np.newaxis] / 2.0
    middle = (ends[1:] + ends[:-1])[:, np.newaxis] / 2.0
    return (middle + half * node).ravel(), (half * weight).ravel()
