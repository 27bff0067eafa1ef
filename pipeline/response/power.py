"""Power and numbers from formulas: plots in one garden, gardens in a network, a slope along the gradient."""

from collections.abc import Callable
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sites.errors import InputError

FloatArray = NDArray[np.float64]

#: A two-sided test rejects on either side; some tables count only rejections on the side of the effect.
Counted = Literal["either side", "right side"]

#: What the network's mean over its standard error is held against.
Reference = Literal["t", "normal"]

#: A probability that no sum in double precision shows, and normal deviations that are as unlikely: beyond
#: them no test misses the effect and none errs in its sign, while the library's series stop converging.
IMPOSSIBLE, OUT_OF_REACH = 1e-17, 9.0

#: One plot, or one pair, has no error to be tested against.
FEWEST_PLOTS = 2.0

#: More gardens than this are not a plan: the effect asked for is practically none.
MOST_GARDENS = 10**6


def t_power(
    noncentrality: ArrayLike, df: ArrayLike, alpha: float = 0.05, counted: Counted = "either side"
) -> FloatArray:
    """Return the probability that a two-sided t test rejects, from the noncentral t distribution.

    `noncentrality` is the true effect over its standard error. Vectorised.
    """
    from scipy import special, stats

    freedom = np.asarray(df, dtype=np.float64)
    bound = special.stdtrit(freedom, 1.0 - alpha / 2.0)
    certain = OUT_OF_REACH + bound * np.sqrt(special.chdtri(freedom, IMPOSSIBLE) / freedom)
    shift = np.minimum(np.abs(np.asarray(noncentrality, dtype=np.float64)), certain)
    power = np.asarray(stats.nct.sf(bound, freedom, shift))
    if counted == "either side":
        power = power + stats.nct.sf(bound, freedom, -np.minimum(shift, OUT_OF_REACH))
    return np.minimum(power, 1.0)


def two_sample_power(
    plots: ArrayLike,
    difference: ArrayLike,
    sd: ArrayLike,
    alpha: float = 0.05,
    counted: Counted = "either side",
) -> FloatArray:
    """Return the power of the t test between two treatments of `plots` plots each."""
    each = np.asarray(plots, dtype=np.float64)
    shift = np.asarray(difference) / np.asarray(sd) * np.sqrt(each / 2.0)
    return t_power(shift, 2.0 * (each - 1.0), alpha, counted)


def paired_power(
    pairs: ArrayLike,
    difference: ArrayLike,
    sd: ArrayLike,
    alpha: float = 0.05,
    counted: Counted = "either side",
) -> FloatArray:
    """Return the power of the t test on `pairs` differences whose own standard deviation is `sd`."""
    number = np.asarray(pairs, dtype=np.float64)
    shift = np.asarray(difference) / np.asarray(sd) * np.sqrt(number)
    return t_power(shift, number - 1.0, alpha, counted)


def two_sample_plots(
    difference: float, sd: float, power: float, alpha: float = 0.05, counted: Counted = "either side"
) -> float:
    """Return the plots per treatment, not rounded, two at least, whose `two_sample_power` is `power`."""
    return _root(lambda plots: float(two_sample_power(plots, difference, sd, alpha, counted)) - power)


def pairs_needed(
    difference: float, sd: float, power: float, alpha: float = 0.05, counted: Counted = "either side"
) -> float:
    """Return the pairs, not rounded, two at least, whose `paired_power` is `power`."""
    return _root(lambda pairs: float(paired_power(pairs, difference, sd, alpha, counted)) - power)


def network_power(
    effect: ArrayLike,
    gardens: ArrayLike,
    variance: ArrayLike,
    tau2: ArrayLike,
    alpha: float = 0.05,
    reference: Reference = "t",
) -> FloatArray:
    """Return the power of the mean effect over gardens.

    Its standard error is sqrt((variance + tau2) / gardens), `variance` that of one garden's effect. `t` has
    gardens - 1 degrees of freedom, as the Knapp-Hartung interval; `normal` is that of Hedges & Pigott 2001,
    Psychol. Methods 6:203, which promises too much where gardens are few.
    """
    from scipy import special

    number = np.asarray(gardens, dtype=np.float64)
    shift = np.abs(np.asarray(effect)) / mean_effect_se(number, variance, tau2)
    if reference == "t":
        return t_power(shift, number - 1.0, alpha)
    bound = special.ndtri(1.0 - alpha / 2.0)
    power: FloatArray = special.ndtr(shift - bound) + special.ndtr(-bound - shift)
    return power


def mean_effect_se(gardens: ArrayLike, variance: ArrayLike, tau2: ArrayLike) -> FloatArray:
    """Return the standard error of the mean effect over equal gardens."""
    spread = np.asarray(variance, dtype=np.float64) + np.asarray(tau2, dtype=np.float64)
    se: FloatArray = np.sqrt(spread / np.asarray(gardens, dtype=np.float64))
    return se


def blocked_variance(plot_variance: ArrayLike, blocks: ArrayLike) -> FloatArray:
    """Return the variance of a garden's difference of two treatments in complete blocks, 2 s2 / blocks.

    With a squared coefficient of variation for `plot_variance` it is that of the log ratio (delta method).
    """
    variance: FloatArray = 2.0 * np.asarray(plot_variance, dtype=np.float64) / np.asarray(blocks)
    return variance


def gardens_needed(
    effect: float,
    variance: float,
    tau2: float,
    power: float = 0.8,
    alpha: float = 0.05,
    reference: Reference = "t",
) -> int:
    """Return the fewest gardens at which `network_power` reaches `power`, two at least.

    Raises InputError where more than a million are needed.
    """

    def enough(gardens: int) -> bool:
        return float(network_power(effect, gardens, variance, tau2, alpha, reference)) >= power

    above = 2
    while not enough(above):
        above *= 2
        if above > MOST_GARDENS:
            raise InputError(
                "The effect is so small that more than a million gardens are needed. Ask for a larger one."
            )
    below = max(above // 2, 1)
    while above - below > 1:
        middle = (above + below) // 2
        above, below = (middle, below) if enough(middle) else (above, middle)
    return above


def smallest_effect(
    gardens: int, variance: float, tau2: float, power: float = 0.8, alpha: float = 0.05
) -> float:
    """Return the effect that `gardens` gardens see with `power`, by the t reference."""
    from scipy import optimize

    se = float(mean_effect_se(gardens, variance, tau2))
    if se == 0.0:
        return 0.0

    def missing(shift: float) -> float:
        return float(t_power(shift, gardens - 1, alpha)) - power

    above = 8.0
    while missing(above) < 0.0:
        above *= 2.0
    return se * float(optimize.brentq(missing, 0.0, above, xtol=1e-12, rtol=1e-13))


def slope_power(
    slope: float, position: ArrayLike, variance: float, tau2: float, alpha: float = 0.05
) -> float:
    """Return the power of the regression of equally sure effects on `position`, t on gardens - 2 df."""
    at = np.asarray(position, dtype=np.float64)
    spread = float(np.sum((at - at.mean()) ** 2))
    if at.size < 3 or spread == 0.0:
        raise InputError("A slope needs at least three gardens, not all at one place.")
    return float(t_power(slope / np.sqrt((variance + tau2) / spread), at.size - 2, alpha))


def least_significant_difference(
    cv: ArrayLike, blocks: ArrayLike, treatments: int = 2, alpha: float = 0.05
) -> FloatArray:
    """Return the least significant difference of one blocked garden, as a fraction of its mean.

    t(1 - alpha/2) x cv x sqrt(2 / blocks) on (blocks - 1)(treatments - 1) degrees of freedom (Fisher 1935,
    The Design of Experiments); nan for a single block.
    """
    return _in_one_garden(cv, blocks, treatments, (1.0 - alpha / 2.0,))


def minimum_detectable_difference(
    cv: ArrayLike, blocks: ArrayLike, treatments: int = 2, power: float = 0.8, alpha: float = 0.05
) -> FloatArray:
    """Return the difference, as a fraction of the mean, that one blocked garden finds with `power`.

    (t(1 - alpha/2) + t(power)) x cv x sqrt(2 / blocks) (Cochran & Cox 1957, Experimental Designs, 2.2, from
    memory). With two treatments it lies 5 percent below the exact value at three blocks, 2 at four, and less
    above that. nan for a single block.
    """
    return _in_one_garden(cv, blocks, treatments, (1.0 - alpha / 2.0, power))


def _in_one_garden(
    cv: ArrayLike, blocks: ArrayLike, treatments: int, chances: tuple[float, ...]
) -> FloatArray:
    from scipy import special

    number = np.asarray(blocks, dtype=np.float64)
    df = np.where(number > 1, (number - 1.0) * (treatments - 1.0), np.nan)
    quantiles = sum(special.stdtrit(df, chance) for chance in chances)
    difference: FloatArray = quantiles * np.asarray(cv) * np.sqrt(2.0 / number)
    return difference


def _root(missing: Callable[[float], float]) -> float:
    from scipy import optimize

    if missing(FEWEST_PLOTS) >= 0.0:
        return FEWEST_PLOTS
    above = 2.0 * FEWEST_PLOTS
    while missing(above) < 0.0:
        above *= 2.0
        if above > MOST_GARDENS:
            raise InputError("The difference is so small that more than a million plots are needed.")
    return float(optimize.brentq(missing, FEWEST_PLOTS, above, xtol=1e-12, rtol=1e-13))
