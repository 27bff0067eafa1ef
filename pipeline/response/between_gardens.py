"""The variance between gardens: how much the treatment's true effect differs from garden to garden.

Three estimators, the interval for it, and the shares of the spread that it explains. All of them take effects
and within-garden variances of shape `(..., k)` and a design `(..., p, k)` as in `weighted_regression`, and
return `(...)`.
"""

from typing import Literal

import numpy as np
import numpy.typing as npt

from pipeline.response.arrays import Array
from pipeline.response.weighted_regression import WeightedFit, fit

Method = Literal["reml", "paule-mandel", "dersimonian-laird"]

#: Spacing, in natural logarithms of (variance between + smallest variance within), of the points between
#: which the REML score is searched for changes of sign. Every garden's part of the score changes over two
#: or three of these units, so two turning points can hardly hide between neighbours.
REML_GRID_STEP = 0.4

#: The bound on REML's maximum is the maximum itself where all variances are equal; this much beyond it the
#: score is negative in spite of rounding.
BEYOND = 1 + 1e-6

#: Newton steps after which a search is given up. Halving alone needs about 52 to use up a double's digits.
MOST_STEPS = 100

#: Relative change of (variance between + smallest variance within) at which a search has arrived: a few units
#: in the last place.
ARRIVED = 4e-15


def estimate_tau2(effect: Array, variance: Array, design: Array, method: Method) -> Array:
    """Return the variance between gardens by the named method, never below zero."""
    estimators = {
        "reml": tau2_reml,
        "paule-mandel": tau2_paule_mandel,
        "dersimonian-laird": tau2_dersimonian_laird,
    }
    return estimators[method](effect, variance, design)


def fit_at(effect: Array, variance: Array, design: Array, tau2: Array | float) -> WeightedFit:
    """Return the fit with inverse-variance weights for a given variance between gardens."""
    return fit(effect, design, 1 / (variance + np.asarray(tau2)[..., None]))


def tau2_dersimonian_laird(effect: Array, variance: Array, design: Array) -> Array:
    """Return the moment estimate from Cochran's Q.

    Source: DerSimonian & Laird 1986, Controlled Clinical Trials 7:177-188, with covariates as in Thompson &
    Sharp 1999, Statistics in Medicine 18:2693-2708.
    """
    common = fit_at(effect, variance, design, 0.0)
    return np.maximum(0, (common.q - common.df) / common.trace_p())


def tau2_paule_mandel(effect: Array, variance: Array, design: Array) -> Array:
    """Return the variance at which the generalised Q equals its degrees of freedom.

    Source: Paule & Mandel 1982, Journal of Research of the National Bureau of Standards 87:377-385.
    """
    return tau2_at_q(effect, variance, design, float(design.shape[-1] - design.shape[-2]))


def tau2_at_q(
    effect: Array, variance: Array, design: Array, target: Array | float, start: Array | float = 0.0
) -> Array:
    """Return the variance between gardens at which the generalised Q equals `target`, 0 where Q starts below.

    `target` broadcasts against the leading dimensions. Q is a sum of terms z^2 / (s + tau2), so 1/Q is
    concave and rising: Newton's steps on it from 0, or from a `start` known to be too small, come up from the
    left and never overshoot.
    """
    target = np.asarray(target, dtype=float)
    tau2 = np.full(np.broadcast_shapes(effect.shape[:-1], variance.shape[:-1], target.shape), start)
    smallest = np.min(variance, axis=-1)
    for _ in range(MOST_STEPS):
        now = fit_at(effect, variance, design, tau2)
        excess = now.q - target
        with np.errstate(divide="ignore", invalid="ignore"):
            step = np.where(excess > 0, excess * now.q / (target * now.y_pp_y()), 0)
        tau2 = tau2 + step
        if np.all(step <= ARRIVED * (tau2 + smallest)):
            break
    return tau2


def q_profile(effect: Array, variance: Array, design: Array, level: float = 0.95) -> tuple[Array, Array]:
    """Return the interval for the variance between gardens from the exact distribution of the generalised Q.

    Both ends are 0 where even the smallest variance leaves more spread than the effects show.

    Source: Viechtbauer 2007, Statistics in Medicine 26:37-52.
    """
    from scipy import special

    df = design.shape[-1] - design.shape[-2]
    tail = (1 - level) / 2
    low = tau2_at_q(effect, variance, design, special.chdtri(df, tail))
    high = tau2_at_q(effect, variance, design, special.chdtri(df, 1 - tail))
    return low, high


def tau2_reml(effect: Array, variance: Array, design: Array) -> Array:
    """Return the restricted maximum likelihood estimate: the highest maximum, solved to the last digits.

    The restricted likelihood can have several maxima. Its score is negative beyond a bound known in advance,
    so a grid up to that bound shows every change of sign; each maximum is solved by Newton steps kept inside
    their bracket, and the likelihood decides between them and the boundary at 0.

    Source: Patterson & Thompson 1971, Biometrika 58:545-554; for meta-regression Raudenbush 2009, in The
    Handbook of Research Synthesis, ch. 16.
    """
    grid = _reml_grid(effect, variance, design)
    along = design if design.ndim == 2 else design[..., None, :, :]
    score = _reml_score(fit_at(effect[..., None, :], variance[..., None, :], along, grid))
    best = np.zeros(grid.shape[:-1])
    height = np.where(score[..., 0] > 0, -np.inf, reml_log_likelihood(effect, variance, design, best))
    falls = (score[..., :-1] > 0) & (score[..., 1:] <= 0)
    order = np.cumsum(falls, axis=-1)
    for rank in range(1, int(np.max(order, initial=0)) + 1):
        here = falls & (order == rank)
        which = np.any(here, axis=-1)
        low, high = grid[..., :-1][here], grid[..., 1:][here]
        networks = _only(which, effect, 1), _only(which, variance, 1), _only(which, design, 2)
        candidate = _reml_root(*networks, low, high)
        its_height = reml_log_likelihood(*networks, candidate)
        better = its_height > height[which]
        best[which] = np.where(better, candidate, best[which])
        height[which] = np.where(better, its_height, height[which])
    return best


def reml_log_likelihood(effect: Array, variance: Array, design: Array, tau2: Array | float) -> Array:
    """Return the restricted log-likelihood without the constants that hold no variance."""
    now = fit_at(effect, variance, design, tau2)
    return -0.5 * (-np.sum(np.log(now.weight), axis=-1) + now.log_determinant + now.q)


def typical_variance(effect: Array, variance: Array, design: Array) -> Array:
    """Return the within-garden variance that stands for all gardens in I2 and H2.

    Source: Higgins & Thompson 2002, Statistics in Medicine 21:1539-1558, equation 9.
    """
    common = fit_at(effect, variance, design, 0.0)
    return common.df / common.trace_p()


def _only(which: npt.NDArray[np.bool_], values: Array, own_dimensions: int) -> Array:
    """Return `values` of the networks in `which`; values without a dimension for networks hold for all."""
    if values.ndim == own_dimensions and which.ndim > 0:
        return values
    return np.broadcast_to(values, (*which.shape, *values.shape[values.ndim - own_dimensions :]))[which]


def _reml_score(now: WeightedFit) -> Array:
    return 0.5 * (now.y_pp_y() - now.trace_p())


def _reml_grid(effect: Array, variance: Array, design: Array) -> Array:
    """Return points `(..., grid)` from 0 to a variance above which the score is negative everywhere.

    With u = tau2 + the smallest variance, d the largest minus the smallest and RSS the residual sum of
    squares of the unweighted fit, y'PPy <= RSS / u^2 and trace P >= (k - p) / (u + d); the bound is the u
    where these meet.
    """
    plain = fit(effect, design, np.ones_like(effect))
    smallest, largest = np.min(variance, axis=-1), np.max(variance, axis=-1)
    share = plain.q / (2 * plain.df)
    bound = np.maximum(share + np.sqrt(share**2 + 2 * share * (largest - smallest)), smallest) * BEYOND
    reach = np.log(bound / smallest)
    points = max(3, 2 + int(np.ceil(np.max(reach, initial=0) / REML_GRID_STEP)))
    return smallest[..., None] * np.expm1(reach[..., None] * np.linspace(0, 1, points))


def _reml_root(effect: Array, variance: Array, design: Array, low: Array, high: Array) -> Array:
    """Return the root of the score between `low`, where it is positive, and `high`, where it is not."""
    tau2 = (low + high) / 2
    smallest = np.min(variance, axis=-1)
    for _ in range(MOST_STEPS):
        now = fit_at(effect, variance, design, tau2)
        score = _reml_score(now)
        slope = 0.5 * now.trace_pp() - now.y_ppp_y()
        low, high = np.where(score > 0, tau2, low), np.where(score > 0, high, tau2)
        with np.errstate(divide="ignore", invalid="ignore"):
            newton = tau2 - score / slope
        inside = (newton >= low) & (newton <= high)
        following = np.where(score == 0, tau2, np.where(inside, newton, (low + high) / 2))
        arrived = np.abs(following - tau2) <= ARRIVED * (tau2 + smallest)
        tau2 = following
        if np.all(arrived):
            break
    return tau2
