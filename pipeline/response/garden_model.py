"""The linear model block + treatment of every garden's plots, fitted to all gardens at once.

Shapes: `n` plots, `G` gardens, `T` treatments, the control being treatment 0. A garden that lacks a
treatment, a block or a plot is fitted with what it has. Blocks are swept out first, which leaves one small
system of equations per garden in its treatments alone: the intrablock analysis of Tocher 1952, Journal of
the Royal Statistical Society B 14:45-100. Its cost grows with the number of plots and never squares it.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from pipeline.response.arrays import Array, Codes, Counts, Flags

#: A mean or residual this small beside the plots of its garden is rounding, and 0 in truth.
ROUNDING = 1e-13


@dataclass(frozen=True)
class GardenModels:
    """The fitted models. Covariances are unscaled: times a garden's error variance they are covariances.

    Contrasts and means are nan for treatments that no chain of shared blocks connects with the control.
    """

    #: Plots of each treatment, `(G, T)`.
    plots: Counts
    #: Blocks that are connected with the control, `(G,)`.
    blocks: Counts
    #: Whether the garden compares a treatment with the control, `(G, T)`; true for the control itself.
    connected: Flags
    #: Treatment minus control, `(G, T)`, and its unscaled covariance between treatments, `(G, T, T)`.
    contrast: Array
    contrast_covariance: Array
    #: Treatment means over the connected blocks, each block counting the same, and their unscaled covariance.
    mean: Array
    mean_covariance: Array
    #: Residual sum of squares and degrees of freedom, `(G,)`.
    rss: Array
    df: Counts
    #: Plain mean of all plots of the garden, `(G,)`; nan without plots.
    plot_mean: Array

    @property
    def error_variance(self) -> Array:
        """Return the residual mean square `(G,)`, nan without residual degrees of freedom."""
        return np.divide(self.rss, self.df, out=np.full(self.rss.shape, np.nan), where=self.df > 0)


def fit_gardens(
    response: Array,
    garden: Codes,
    treatment: Codes,
    block: Codes | None = None,
    *,
    gardens: int | None = None,
    treatments: int | None = None,
) -> GardenModels:
    """Return the model of every garden, from one row per plot with a finite `response`.

    `garden`, `treatment` and `block` count from 0, blocks within their garden or over all of them. Without
    `block` the plots of a garden are independent, which is the same as one block.
    """
    layout = _lay_out(garden, treatment, block, gardens, treatments)
    plot_mean = _ratio(_sums(response, garden, layout.gardens), layout.plots.sum(axis=1))
    centred = response - plot_mean[garden]
    block_mean = _sums(centred, layout.block_of_plot, len(layout.size)) / layout.size
    solved = _solve(layout, centred, block_mean)
    of_block = np.sum(layout.share * solved.effect[layout.garden_of_block], axis=1) / layout.size
    block_level = block_mean - of_block
    residual = centred - solved.effect[garden, treatment] - block_level[layout.block_of_plot]

    connected = solved.reached[:, 0, :] & (layout.plots[:, :1] > 0)
    blocks, level, mean_covariance = _means(layout, connected, block_level, solved.covariance)
    both = connected[:, :, None] & connected[:, None, :]
    mean = (plot_mean + level)[:, None] + solved.effect
    rounding = ROUNDING * np.sqrt(_sums(response**2, garden, layout.gardens))
    return GardenModels(
        plots=layout.plots,
        blocks=blocks,
        connected=connected,
        contrast=np.where(connected, solved.effect, np.nan),
        contrast_covariance=np.where(both, solved.covariance, np.nan),
        mean=np.where(connected, _or_zero(mean, rounding[:, None]), np.nan),
        mean_covariance=np.where(both, mean_covariance, np.nan),
        rss=_or_zero(_sums(residual**2, garden, layout.gardens), rounding**2),
        df=layout.plots.sum(axis=1) - layout.blocks() - np.sum(~solved.reference, axis=1),
        plot_mean=plot_mean,
    )


@dataclass(frozen=True)
class _Layout:
    """Which plots, blocks (`B`) and treatments lie in which garden; blocks are numbered in garden order."""

    gardens: int
    treatments: int
    plots: Counts
    cell_of_plot: Codes
    block_of_plot: Codes
    garden_of_block: Codes
    share: Array
    size: Array

    def by_garden(self, values: Array) -> Array:
        """Return the sums `(G, ...)` over each garden's blocks of `values` `(B, ...)`."""
        sums = np.zeros((self.gardens, *values.shape[1:]))
        if len(values):
            starts = np.flatnonzero(np.diff(self.garden_of_block, prepend=-1))
            sums[self.garden_of_block[starts]] = np.add.reduceat(values, starts, axis=0)
        return sums

    def blocks(self) -> Counts:
        """Return the number of blocks of each garden."""
        return np.bincount(self.garden_of_block, minlength=self.gardens)

    def information(self) -> Array:
        """Return the matrix `(G, T, T)` of the treatments' equations once the blocks are swept out."""
        within = self.share[:, :, None] * (self.share / self.size[:, None])[:, None, :]
        return self.plots[:, :, None] * np.eye(self.treatments) - self.by_garden(within)


def _lay_out(
    garden: Codes, treatment: Codes, block: Codes | None, gardens: int | None, treatments: int | None
) -> _Layout:
    count_g = gardens if gardens is not None else int(garden.max(initial=-1)) + 1
    count_t = treatments if treatments is not None else int(treatment.max(initial=-1)) + 1
    cell = garden * count_t + treatment
    within = np.zeros_like(garden) if block is None else block
    width = int(within.max(initial=0)) + 1
    used, block_of_plot = np.unique(garden * width + within, return_inverse=True)
    in_block = np.bincount(block_of_plot * count_t + treatment, minlength=len(used) * count_t)
    share = in_block.reshape(len(used), count_t).astype(float)
    return _Layout(
        gardens=count_g,
        treatments=count_t,
        plots=np.bincount(cell, minlength=count_g * count_t).reshape(count_g, count_t),
        cell_of_plot=cell,
        block_of_plot=block_of_plot,
        garden_of_block=used // width,
        share=share,
        size=share.sum(axis=1),
    )


@dataclass(frozen=True)
class _Solved:
    """The treatments' effects `(G, T)` and covariance `(G, T, T)` against the reference of their group.

    A group are the treatments that a chain of shared blocks connects, `reached` `(G, T, T)`. One of each
    group, the control in its own, is its `reference` `(G, T)` at 0.
    """

    effect: Array
    covariance: Array
    reached: Flags
    reference: Flags


def _solve(layout: _Layout, centred: Array, block_mean: Array) -> _Solved:
    information = layout.information()
    total = _sums(centred, layout.cell_of_plot, layout.plots.size).reshape(layout.plots.shape)
    adjusted_total = total - layout.by_garden(layout.share * block_mean[:, None])
    reached = _reached(information)
    reference = np.argmax(reached, axis=2) == np.arange(layout.treatments)
    covariance = _inverse_without(information, reference)
    return _Solved(np.einsum("gts,gs->gt", covariance, adjusted_total), covariance, reached, reference)


def _reached(information: Array) -> Flags:
    """Return which treatments a chain of shared blocks connects in each garden, `(G, T, T)`."""
    treatments = information.shape[-1]
    reached = (information != 0) | np.eye(treatments, dtype=bool)
    for _ in range(int(np.ceil(np.log2(max(treatments, 2))))):
        reached = np.matmul(reached.astype(np.float32), reached.astype(np.float32)) > 0
    return reached


def _inverse_without(information: Array, reference: Flags) -> Array:
    """Return the inverse without the references' rows and columns, which stay 0; the rest is of full rank."""
    inverse = np.zeros_like(information)
    if len(reference) and np.all(reference == reference[0]):
        # Nearly always the control is the only reference everywhere, and the rest smaller by one.
        rest = np.flatnonzero(~reference[0])
        inverse[:, rest[:, None], rest] = np.linalg.inv(information[:, rest[:, None], rest])
        return inverse
    out = reference[:, :, None] | reference[:, None, :]
    filled = np.where(out, 0, information) + reference[:, :, None] * np.eye(reference.shape[1])
    return np.where(out, 0, np.linalg.inv(filled))


def _means(
    layout: _Layout, connected: Flags, block_level: Array, covariance: Array
) -> tuple[Counts, Array, Array]:
    """Return the number of connected blocks, their mean level, and the covariance of treatment means.

    A treatment mean is the mean block level plus the treatment's effect. The level's own part comes from
    block means, the rest from within blocks, and the two are independent.
    """
    garden = layout.garden_of_block
    with_control = np.any((layout.share > 0) & connected[garden], axis=1)
    blocks = np.bincount(garden, with_control, layout.gardens)
    weight = _ratio(with_control, np.maximum(blocks, 1)[garden])
    level = layout.by_garden(weight * block_level)
    level_variance = layout.by_garden(weight**2 / layout.size)
    lean = layout.by_garden(layout.share * (weight / layout.size)[:, None])
    tilt = np.eye(layout.treatments) - lean[:, None, :]
    spread = level_variance[:, None, None] + tilt @ covariance @ np.swapaxes(tilt, 1, 2)
    return blocks.astype(np.int64), level, spread


def _sums(values: Array, group: Codes, groups: int) -> Array:
    """Return the sum of the values of each group."""
    return np.bincount(group, values, groups).astype(float)


def _or_zero(values: Array, rounding: Array) -> Array:
    """Return the values, 0 where they are no larger than rounding: plots of zeros have a mean of zero."""
    return np.where(np.abs(values) <= rounding, 0.0, values)


def _ratio(numerator: npt.ArrayLike, denominator: npt.ArrayLike) -> Array:
    """Return the quotient, nan where the denominator is 0."""
    above, below = np.asarray(numerator, dtype=float), np.asarray(denominator, dtype=float)
    return np.divide(above, below, out=np.full(above.shape, np.nan), where=below != 0)
