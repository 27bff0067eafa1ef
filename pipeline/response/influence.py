"""How the answer would change without each garden in turn."""

import numpy as np

from pipeline.response.arrays import Array
from pipeline.response.between_gardens import Method
from pipeline.response.random_effects import random_effects
from pipeline.response.weighted_regression import WeightedFit

#: Up to this many gardens each is left out in earnest and the variance between gardens estimated anew, which
#: takes about a tenth of a second at 200. Beyond it one garden can hardly move that variance, so it is kept.
REFIT_UP_TO = 200

#: A garden with a leverage this near 1 carries a term of the regression alone; without it there is no answer.
ALONE = 1 - 1e-9


def coefficients_without(
    effect: Array, variance: Array | None, design: Array, method: Method, fitted: WeightedFit
) -> Array:
    """Return the coefficients `(k, p)` without each garden in turn; nan where the rest has no answer.

    `fitted` is the fit to all gardens, `variance` None where it is unweighted.
    """
    gardens = effect.shape[-1]
    if variance is None or gardens > REFIT_UP_TO or fitted.df < 2:
        return _with_the_same_weights(fitted)
    others = (np.arange(gardens)[:, None] + np.arange(1, gardens)) % gardens
    carried = fitted.leverage < ALONE
    without = np.full((gardens, design.shape[-2]), np.nan)
    rest = others[carried]
    models = random_effects(effect[rest], variance[rest], np.swapaxes(design[:, rest], 0, 1), method)
    without[carried] = models.fit.coefficient
    return without


def _with_the_same_weights(fitted: WeightedFit) -> Array:
    """Return the same by the closed form for deleting a row, the variance between gardens kept.

    Source: Cook & Weisberg 1982, Residuals and Influence in Regression, section 3.2.
    """
    rest = np.where(fitted.leverage < ALONE, 1 - fitted.leverage, np.nan)
    pull = fitted.basis * (fitted.weight * fitted.residual / rest)
    return fitted.coefficient - np.linalg.solve(fitted.triangle, pull).T
