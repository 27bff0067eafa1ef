"""The REML likelihood of plots in gardens, from sums within each garden: value, slopes and curvature."""

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

#: The random parts next to the plots' own error, in the order of every array over components here.
COMPONENTS = ("site", "block", "site_treatment")


class Likelihood(NamedTuple):
    """The profiled REML criterion at given ratios of the components' variances to the residual variance.

    `value` is -2 log restricted likelihood; `gradient` (3,) and `hessian` (3, 3) are its derivatives by the
    ratios, `expected` (3, 3) the expected curvature, never negative. `coefficients` (p,) with covariance
    `residual` x `unscaled` (p, p). `leverage` (3, p, p), `traces` (3,) and `products` (3, 3) are
    X'H-1 Hk H-1X, tr(P Hk) and tr(P Hk P Hl) with H the variance matrix over the residual variance.
    """

    value: float
    gradient: FloatArray
    hessian: FloatArray
    expected: FloatArray
    coefficients: FloatArray
    residual: float
    unscaled: FloatArray
    leverage: FloatArray
    traces: FloatArray
    products: FloatArray


@dataclass(frozen=True)
class GardenSums:
    """Plots of gardens with crossed blocks and treatments, reduced to sums within each garden.

    `response`, `garden`, `block`, `treatment` (n,) are the plots, the last three as codes from 0, blocks
    counted anew in each garden. `design` (gardens, treatments, p) is the fixed part: one row for each
    treatment in each garden, so that the fixed effects are sums of treatment columns.

    Gardens are independent, and within one the variance matrix over the residual variance is H = I + sum of
    ratio_k Z_k Z_k' with Z = [site | blocks | treatments], q columns, zero where the garden lacks a block or
    treatment. With G = Z'Z and R the diagonal of ratios, Z'H-1 = (I + GR)-1 Z', so every term below is a sum
    over gardens of q x q products, whatever the number of plots (Woodbury's identity; Searle, Casella &
    McCulloch 1992, Variance Components, ch. 6 and 8).
    """

    response: FloatArray
    garden: IntArray
    block: IntArray
    treatment: IntArray
    design: FloatArray

    @cached_property
    def _columns(self) -> tuple[IntArray, IntArray, IntArray]:
        return np.zeros_like(self.garden), 1 + self.block, self.parts[2].start + self.treatment

    @cached_property
    def parts(self) -> tuple[slice, slice, slice]:
        """Which columns of Z belong to each of `COMPONENTS`."""
        blocks = int(self.block.max()) + 1
        return slice(0, 1), slice(1, 1 + blocks), slice(1 + blocks, 1 + blocks + self.design.shape[1])

    def sums(self, values: FloatArray) -> FloatArray:
        """Return Z'values (gardens, q) for one value per plot."""
        gardens, width = self.design.shape[0], self.parts[-1].stop
        total = np.zeros((gardens, width))
        for column in self._columns:
            np.add.at(total, (self.garden, column), values)
        return total

    def gram(self) -> FloatArray:
        """Return Z'Z (gardens, q, q)."""
        gardens, width = self.design.shape[0], self.parts[-1].stop
        gram = np.zeros((gardens, width, width))
        for row in self._columns:
            for column in self._columns:
                np.add.at(gram, (self.garden, row, column), 1.0)
        return gram

    def at_plots(self, by_column: FloatArray) -> FloatArray:
        """Return Z by_column (n,) for values (gardens, q)."""
        return np.sum([by_column[self.garden, column] for column in self._columns], axis=0)


def likelihood(plots: GardenSums, gram: FloatArray, ratios: FloatArray) -> Likelihood:
    """Return the profiled REML criterion and its derivatives at `ratios` (3,), with `gram` from the plots."""
    parts, design = plots.parts, plots.design
    residual_df = plots.response.size - design.shape[2]
    by_column = np.concatenate([np.full(part.stop - part.start, ratios[k]) for k, part in enumerate(parts)])
    system = np.eye(gram.shape[1]) + gram * by_column
    shrink = np.linalg.inv(system)
    z_z = shrink @ gram
    z_x = z_z[:, :, parts[2]] @ design
    x_x = _crossed(design, z_x[:, parts[2]])
    unscaled: FloatArray = np.linalg.inv(x_x).astype(np.float64)
    z_y = (shrink @ plots.sums(plots.response)[:, :, np.newaxis])[:, :, 0]
    coefficients = unscaled @ _crossed(design, z_y[:, parts[2]])
    error = plots.response - (design @ coefficients)[plots.garden, plots.treatment]
    z_e = (shrink @ plots.sums(error)[:, :, np.newaxis])[:, :, 0]
    squares = np.array([np.sum(z_e[:, part] ** 2) for part in parts])
    left = error - plots.at_plots(by_column * z_e)
    quadratic = float(left @ left + ratios @ squares)
    value = float(np.linalg.slogdet(system)[1].sum() + np.linalg.slogdet(x_x)[1])
    value += residual_df * (1.0 + np.log(2.0 * np.pi * quadratic / residual_df))
    leverage = np.array([_crossed(z_x[:, part], z_x[:, part]) for part in parts])
    own = np.array([np.trace(z_z[:, part, part], axis1=1, axis2=2).sum() for part in parts])
    traces = own - np.sum(unscaled * leverage, axis=(1, 2))
    products, quartics = _second_order(parts, z_z, z_x, z_e, unscaled, leverage)
    scaled = squares / quadratic
    return Likelihood(
        value=value,
        gradient=traces - residual_df * scaled,
        hessian=residual_df * (2.0 * quartics / quadratic - np.outer(scaled, scaled)) - products,
        expected=products - np.outer(traces, traces) / residual_df,
        coefficients=coefficients,
        residual=quadratic / residual_df,
        unscaled=unscaled,
        leverage=leverage,
        traces=traces,
        products=products,
    )


def _crossed(left: FloatArray, right: FloatArray) -> FloatArray:
    """Return the sum over gardens of left'right."""
    total: FloatArray = np.tensordot(left, right, axes=([0, 1], [0, 1]))
    return total


def _second_order(
    parts: tuple[slice, slice, slice],
    z_z: FloatArray,
    z_x: FloatArray,
    z_e: FloatArray,
    unscaled: FloatArray,
    leverage: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    """Return tr(P Hk P Hl) and y'P Hk P Hl P y, each (3, 3)."""
    products, quartics = np.empty((3, 3)), np.empty((3, 3))
    x_e = [_crossed(z_x[:, part], z_e[:, part]) for part in parts]
    for k, other in ((0, 0), (0, 1), (0, 2), (1, 1), (1, 2), (2, 2)):
        first, second = parts[k], parts[other]
        between = z_z[:, first, second]
        half = z_x[:, first].swapaxes(1, 2) @ between
        through = _crossed(half.swapaxes(1, 2), z_x[:, second])
        products[k, other] = products[other, k] = (
            np.sum(between**2)
            - 2.0 * np.sum(unscaled * through)
            + np.sum((unscaled @ leverage[k]) * (unscaled @ leverage[other]).T)
        )
        along = np.sum((z_e[:, np.newaxis, first] @ between)[:, 0] * z_e[:, second])
        quartics[k, other] = quartics[other, k] = along - x_e[k] @ unscaled @ x_e[other]
    return products, quartics
