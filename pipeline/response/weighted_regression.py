"""Weighted least squares for any number of networks at once, in the basis that the weights make orthonormal.

Shapes, here and in the modules above: `...` is any number of networks side by side (none for a single one),
`k` gardens, `p` terms. A design has shape `(..., p, k)`, one row per term and the intercept first. With P the
matrix that takes out the fitted part, P = W - W X (X'WX)^-1 X'W, everything that the estimators need is a sum
over gardens, so that cost grows as k p^2 and no k by k matrix is ever formed.
"""

from dataclasses import dataclass

import numpy as np

from pipeline.response.arrays import Array


@dataclass(frozen=True)
class WeightedFit:
    """A fit of effects on a design with given weights.

    `basis` `(..., p, k)` spans the design with basis W basis' = I, `triangle` `(..., p, p)` takes it back:
    design[j] = sum over i of triangle[i, j] basis[i].
    """

    weight: Array
    basis: Array
    triangle: Array
    projection: Array
    residual: Array

    @property
    def df(self) -> int:
        """Return the residual degrees of freedom, k - p."""
        return int(self.basis.shape[-1] - self.basis.shape[-2])

    @property
    def coefficient(self) -> Array:
        """Return the coefficients `(..., p)` of the design as it was given."""
        return np.asarray(np.linalg.solve(self.triangle, self.projection[..., None])[..., 0], dtype=float)

    @property
    def covariance(self) -> Array:
        """Return (X'WX)^-1 `(..., p, p)`, the coefficients' covariance if weights are inverse variances."""
        inverse = np.asarray(np.linalg.inv(self.triangle), dtype=float)
        return inverse @ np.swapaxes(inverse, -1, -2)

    @property
    def leverage(self) -> Array:
        """Return the hat values `(..., k)`, which sum to p."""
        return self.weight * np.sum(self.basis**2, axis=-2)

    @property
    def q(self) -> Array:
        """Return the weighted sum of squared residuals, y'Py."""
        return np.sum(self.weight * self.residual**2, axis=-1)

    @property
    def log_determinant(self) -> Array:
        """Return log det X'WX."""
        return 2 * np.sum(np.log(np.diagonal(self.triangle, axis1=-2, axis2=-1)), axis=-1)

    def trace_p(self) -> Array:
        """Return the trace of P."""
        return np.sum(self.weight * (1 - self.leverage), axis=-1)

    def trace_pp(self) -> Array:
        """Return the trace of PP."""
        # Not a matrix product: a few long rows would wake the threads of the linear algebra for nothing.
        squared = self.basis * (self.weight**2)[..., None, :]
        overlap = np.einsum("...ik,...jk->...ij", squared, self.basis)
        return np.sum(self.weight**2 * (1 - 2 * self.leverage), axis=-1) + np.sum(overlap**2, axis=(-2, -1))

    def y_pp_y(self) -> Array:
        """Return y'PPy, minus the derivative of y'Py by the variance between gardens."""
        return np.sum((self.weight * self.residual) ** 2, axis=-1)

    def y_ppp_y(self) -> Array:
        """Return y'PPPy."""
        pulled = self.weight**2 * self.residual
        along = np.sum(self.basis * pulled[..., None, :], axis=-1)
        return np.sum(pulled * self.weight * self.residual, axis=-1) - np.sum(along**2, axis=-1)


def fit(effect: Array, design: Array, weight: Array) -> WeightedFit:
    """Return the weighted least squares fit; leading dimensions of the arguments broadcast.

    The basis comes from modified Gram-Schmidt in the metric of the weights. Because the intercept comes
    first it centres every covariate on its weighted mean, so that a longitude of -98 or the year 2026 costs
    no digits.

    Source: Bjorck 1967, BIT 7:1-21 (the residual is swept along with the columns, as he advises).
    """
    shape = np.broadcast_shapes(effect.shape, weight.shape, (*design.shape[:-2], design.shape[-1]))
    terms = design.shape[-2]
    basis = np.empty((*shape[:-1], terms, shape[-1]))
    triangle = np.zeros((*shape[:-1], terms, terms))
    projection = np.empty((*shape[:-1], terms))
    residual = effect
    for j in range(terms):
        column = design[..., j, :]
        for i in range(j):
            triangle[..., i, j] = np.sum(weight * basis[..., i, :] * column, axis=-1)
            column = column - triangle[..., i, j, None] * basis[..., i, :]
        weighted = weight * column
        triangle[..., j, j] = np.sqrt(np.sum(weighted * column, axis=-1))
        basis[..., j, :] = column / triangle[..., j, j, None]
        projection[..., j] = np.sum(weighted * residual, axis=-1) / triangle[..., j, j]
        residual = residual - projection[..., j, None] * basis[..., j, :]
    return WeightedFit(
        np.broadcast_to(weight, shape), basis, triangle, projection, np.broadcast_to(residual, shape)
    )


def intercept_only(gardens: int) -> Array:
    """Return the design of a plain mean, `(1, k)`."""
    return np.ones((1, gardens))
