"""The variances under which the plots are likeliest: the search for the top of the restricted likelihood."""

from itertools import product

import numpy as np
from numpy.typing import NDArray

from pipeline.response.mixed_likelihood import COMPONENTS, GardenSums, Likelihood, likelihood
from sites.errors import InputError

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

#: Ratios of a component's variance to the plots' own from which the search may start, one for each part of
#: the range that trials show; all combinations are looked at.
STARTS = (0.02, 0.5, 10.0)

#: How many of them are climbed from. In 237 simulated networks the best start alone found every top; in 568
#: with variances up to 10^7 apart it found a side peak three times, and three starts never did.
CLIMBS = 3

#: Newton steps allowed; a well-posed likelihood needs about ten.
MOST_STEPS = 200

#: Predicted gain in -2 log likelihood below which rounding hides it: plain Newton steps finish the search.
FINE = 1e-8

#: Predicted gain at which a ratio is settled to about 1e-9 of its standard error.
SETTLED = 1e-18

#: A step may make a ratio at most so many times larger at once, plus one.
LARGEST_GROWTH = 10.0

#: Shortest share of a step that is tried before the steepest descent is.
SHORTEST = 2.0**-20

#: A component this many times the plots' own error means that plots treated alike do not differ at all.
LARGEST_RATIO = 1e9

NO_PLOT_ERROR = (
    "Gardens, blocks and treatments leave no plot error to judge by: too few plots repeat a treatment in a "
    "garden, or values were copied from plot to plot. Leave the block out, or wait for more plots."
)


def likeliest(plots: GardenSums, estimated: BoolArray) -> tuple[FloatArray, Likelihood]:
    """Return the ratios (3,) that maximise the restricted likelihood, none below 0, and the likelihood there.

    `estimated` (3,) says which of the components are in the model; the others stay at 0. The best starts are
    climbed from and the highest top is taken. Raises InputError where the likelihood has no top because the
    other parts leave no plot error.
    """
    gram = plots.gram()
    grid = {tuple(np.array(start) * estimated) for start in product(*([STARTS] * len(COMPONENTS)))}
    starts = sorted(grid, key=lambda start: likelihood(plots, gram, np.array(start)).value)
    tops = [_climb(plots, gram, estimated, np.array(start)) for start in starts[:CLIMBS]]
    return min(tops, key=lambda top: top[1].value)


def _climb(
    plots: GardenSums, gram: FloatArray, estimated: BoolArray, ratios: FloatArray
) -> tuple[FloatArray, Likelihood]:
    """Return the top that lies uphill of `ratios`, and the likelihood there.

    Newton steps with the exact second derivatives, or the expected ones where those do not curve as at a top,
    shortened until the likelihood gains; a ratio that would pass below 0 is held there as long as the slope
    keeps it (projected Newton, Bertsekas 1982, SIAM J. Control Optim. 20:221).
    """
    at = likelihood(plots, gram, ratios)
    for _ in range(MOST_STEPS):
        step = _newton_step(at, estimated & ((ratios > 0) | (at.gradient < 0)))
        gain = float(-at.gradient @ step)
        if gain < SETTLED:
            return ratios, at
        ratios, at = _moved(plots, gram, ratios, at, step, gain)
        if ratios.max() > LARGEST_RATIO:
            break
    raise InputError(NO_PLOT_ERROR)


def _newton_step(at: Likelihood, free: BoolArray) -> FloatArray:
    step = np.zeros(free.size)
    if free.any():
        curvature = at.hessian[np.ix_(free, free)]
        if np.linalg.eigvalsh(curvature)[0] <= 0:
            curvature = at.expected[np.ix_(free, free)]
        step[free] = -np.linalg.lstsq(curvature, at.gradient[free], rcond=None)[0]
    return step


def _moved(
    plots: GardenSums, gram: FloatArray, ratios: FloatArray, at: Likelihood, step: FloatArray, gain: float
) -> tuple[FloatArray, Likelihood]:
    ceiling = LARGEST_GROWTH * ratios + 1.0
    steepest = np.where(step != 0, -at.gradient / np.maximum(np.diag(at.expected), 1e-12), 0.0)
    for direction in (step, steepest):
        share = 1.0
        while share > SHORTEST:
            further = np.clip(ratios + share * direction, 0.0, ceiling)
            there = likelihood(plots, gram, further)
            if there.value < at.value or gain < FINE:
                return further, there
            share /= 2.0
    return ratios, at
