"""A natural cubic spline beside the straight line, to see whether the gradient bends."""

import numpy as np

from pipeline.response.arrays import Array

#: Degrees of freedom of the spline: the line and two bends.
DEGREES = 3


def knots(covariate: Array) -> Array | None:
    """Return the four knots, ends and thirds of the gardens; None where two would coincide.

    Source: Hastie 1992, in Statistical Models in S, ch. 7: interior knots at quantiles, the ends at the
    range.
    """
    found = np.quantile(covariate, np.linspace(0, 1, DEGREES + 1))
    return found if np.all(np.diff(found) > 1e-9 * np.ptp(covariate)) else None


def bends(covariate: Array, at_knots: Array) -> Array:
    """Return the two terms `(2, n)` that, added to a line, make the spline; linear beyond the outer knots.

    Source: Hastie, Tibshirani & Friedman 2009, The Elements of Statistical Learning, equations 5.4 and 5.5.
    """
    span = at_knots[-1] - at_knots[0]
    x, knot = (covariate - at_knots[0]) / span, (at_knots - at_knots[0]) / span

    def ramp(j: int) -> Array:
        return (np.maximum(x - knot[j], 0) ** 3 - np.maximum(x - knot[-1], 0) ** 3) / (knot[-1] - knot[j])

    return np.array([ramp(j) - ramp(len(knot) - 2) for j in range(len(knot) - 2)])
