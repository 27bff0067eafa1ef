"""Tests without a distribution: how often gardens shuffled, or with signs exchanged, show as much."""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from pipeline.response.arrays import Array
from pipeline.response.between_gardens import Method, estimate_tau2, fit_at
from pipeline.response.weighted_regression import WeightedFit, fit

Orders = npt.NDArray[np.signedinteger]

#: Most gardens for which every order is tried: 9! = 362,880 orders take about a tenth of a second.
ALL_ORDERS_UP_TO = 9

#: Random orders beyond that: the standard error of a p of 0.05 is then 0.002. Common practice, no source.
RANDOM_ORDERS = 9_999

#: Values shuffled at once, to bound memory. Twenty such portions are the most, but never fewer orders than
#: 999: for thousands of gardens t and permutation agree anyway.
AT_ONCE = 1_000_000
ORDERS_AT_LEAST = 999

#: Most gardens for which every choice of signs is tried: 2^20, a million sums, take a few hundredths of a
#: second. With more gardens this test and t agree closely.
ALL_SIGNS_UP_TO = 20

#: Statistics this close to the observed one tie with it: gardens at equal positions give equal statistics.
TIE = 1e-9


@dataclass(frozen=True)
class Permutation:
    """A permutation p, the number of orders (or choices of signs) behind it, and whether it is exact.

    It is exact where every order was tried and there is no other covariate.
    """

    p: float
    orders: int
    exact: bool


def permutation_test(
    effect: Array, variance: Array | None, covariates: Array, which: int, method: Method
) -> Permutation:
    """Return the two-sided permutation test of covariate `which` among `covariates` `(c, k)`.

    The statistic is the squared weighted (partial) correlation, which orders shuffles as the squared t of
    the regression does. The variance between gardens is estimated without the covariate, so that no shuffle
    changes the weights. A lone covariate is shuffled against gardens that keep effect and variance
    together: exact if neither has to do with it. Beside other covariates the weighted residuals from these
    are shuffled.

    The seed of random orders is the hash of the data: the same data give the same p.

    Source: Fisher 1935, The Design of Experiments, ch. III; Freedman & Lane 1983, Journal of Business &
    Economic Statistics 1:292-298; Higgins & Thompson 2004, Statistics in Medicine 23:1663-1682, for
    meta-regression.
    """
    others = np.vstack([np.ones((1, effect.size)), np.delete(covariates, which, axis=0)])
    if variance is None:
        without = fit(effect, others, np.ones(effect.size))
    else:
        without = fit_at(effect, variance, others, estimate_tau2(effect, variance, others, method))
    alone = len(others) == 1
    statistic = _shuffled_covariate if alone else _shuffled_residuals
    observed = statistic(without, covariates[which], np.arange(effect.size)[None])[0]
    seed = _seed(effect, np.empty(0) if variance is None else variance, covariates)
    as_steep, orders = 0, 0
    for some in _orders(effect.size, seed):
        as_steep += int(np.sum(statistic(without, covariates[which], some) >= observed - TIE))
        orders += len(some)
    if effect.size <= ALL_ORDERS_UP_TO:
        return Permutation(as_steep / orders, orders, exact=alone)
    return Permutation((as_steep + 1) / (orders + 1), orders, exact=False)


def sign_flip_test(effect: Array) -> Permutation | None:
    """Return the exact two-sided test that a treatment does nothing.

    One garden cannot have it and is answered with None, as are more than `ALL_SIGNS_UP_TO`.

    If it does nothing, control and treatment of a garden could be exchanged, which turns its effect `(k,)`
    round. Every one of the 2^k choices of signs is then as likely; p is the share of them whose sum is as far
    from 0 as the one seen. Gardens count the same.

    Source: Fisher 1935, The Design of Experiments, ch. III.
    """
    if not 2 <= effect.size <= ALL_SIGNS_UP_TO:
        return None
    sums = np.zeros(1)
    for each in effect:
        sums = np.concatenate([sums + each, sums - each])
    tie = TIE * np.sum(np.abs(effect))
    return Permutation(float(np.mean(np.abs(sums) >= abs(sums[0]) - tie)), sums.size, exact=True)


def _shuffled_covariate(without: WeightedFit, covariate: Array, orders: Orders) -> Array:
    """Return the squared weighted correlation for each order of the covariate."""
    weight = without.weight
    shuffled = (covariate - np.mean(covariate))[orders]
    spread = shuffled**2 @ weight - (shuffled @ weight) ** 2 / np.sum(weight)
    return _squared_correlation(shuffled @ (weight * without.residual), spread, without.q)


def _shuffled_residuals(without: WeightedFit, covariate: Array, orders: Orders) -> Array:
    """Return the squared weighted partial correlation for each order of the residuals."""
    root = np.sqrt(without.weight)
    others = root * without.basis
    along = root * covariate - (others @ (root * covariate)) @ others
    shuffled = (root * without.residual)[orders]
    left = without.q - np.sum((shuffled @ others.T) ** 2, axis=-1)
    return _squared_correlation(shuffled @ along, np.sum(along**2), left)


def _squared_correlation(product: Array, one: Array | np.float64, other: Array | np.float64) -> Array:
    both = np.broadcast_to(one * other, product.shape)
    return np.divide(product**2, both, out=np.zeros_like(product), where=both > 0)


def _orders(gardens: int, seed: int) -> Iterator[Orders]:
    """Yield orders `(n, k)` in portions that fit in memory."""
    if gardens <= ALL_ORDERS_UP_TO:
        yield _all_orders(gardens)
        return
    random = np.random.default_rng(seed)
    wanted = min(RANDOM_ORDERS, max(ORDERS_AT_LEAST, 20 * AT_ONCE // gardens))
    portion = max(1, AT_ONCE // gardens)
    for start in range(0, wanted, portion):
        rows = min(portion, wanted - start)
        yield random.permuted(np.tile(np.arange(gardens), (rows, 1)), axis=1)


@lru_cache(maxsize=ALL_ORDERS_UP_TO)
def _all_orders(gardens: int) -> Orders:
    """Return every order; small numbers, so that the 362,880 of nine gardens stay in 3 MB."""
    orders = np.zeros((1, 1), dtype=np.int8)
    for newest in range(1, gardens):
        orders = np.concatenate([np.insert(orders, place, newest, axis=1) for place in range(newest + 1)])
    orders.flags.writeable = False
    return orders


def _seed(*arrays: Array) -> int:
    digest = hashlib.blake2b(digest_size=8)
    for array in arrays:
        digest.update(np.ascontiguousarray(array).tobytes())
    return int.from_bytes(digest.digest(), "big")
