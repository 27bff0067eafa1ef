"""Power of a small network by simulating it: plots, garden log ratios, and the test that the answer uses."""

from collections.abc import Callable
from typing import Literal

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

Interval = Literal["knapp-hartung", "knapp-hartung-floor"]

#: From the garden effects (networks, gardens) and the variance of one of them (networks,), nan where no
#: garden has an error of its own, to the p-value of each network's mean (networks,).
Test = Callable[[FloatArray, FloatArray], FloatArray]

#: Simulated networks: the chance of seeing the effect is then known to 0.7 percentage points, 19 times in 20.
NETWORKS = 20_000

#: Plots held in memory at once; larger simulations go in parts.
PLOTS_AT_ONCE = 2_000_000


def simulated_power(
    log_ratio: float,
    gardens: int,
    blocks: int,
    cv: float,
    tau: float,
    *,
    alpha: float = 0.05,
    test: Test | None = None,
    networks: int = NETWORKS,
    seed: int = 1,
) -> float:
    """Return the share of simulated networks whose mean log ratio differs from 0 at `alpha`.

    Plots are log-normal with coefficient of variation `cv` about their garden's two means, whose log ratio is
    normal about `log_ratio` with standard deviation `tau`. A garden's log ratio is that of its treatment
    means, its variance 2 CV2 / blocks with one squared coefficient of variation for the whole network, from
    the residuals of block + treatment (nan with a single block). `test` defaults to `knapp_hartung_p`. The
    same arguments and seed give the same power.
    """
    p_values = knapp_hartung_p if test is None else test
    rng = np.random.default_rng([seed, gardens, blocks])
    at_once = max(1, PLOTS_AT_ONCE // (gardens * blocks * 2))
    rejected = 0
    for first in range(0, networks, at_once):
        number = min(at_once, networks - first)
        yields = _plots(rng, (number, gardens, blocks), log_ratio, cv, tau)
        rejected += int(np.count_nonzero(p_values(*_garden_effects(yields)) < alpha))
    return rejected / networks


def knapp_hartung_p(
    effects: FloatArray, variance: FloatArray, interval: Interval = "knapp-hartung"
) -> FloatArray:
    """Return the p-value of each network's mean by REML and Knapp-Hartung, t on gardens - 1 df.

    Gardens are equally sure here, so the weights are equal, REML's tau2 is max(0, s2 - variance) with s2 the
    variance of the effects, and Knapp and Hartung's squared standard error is s2 / gardens whatever tau2 is;
    with the factor held at 1 or more it is max(s2, variance) / gardens (Knapp & Hartung 2003, Stat. Med.
    22:2693; Roever, Knapp & Friede 2015, BMC Med. Res. Methodol. 15:99).
    """
    from scipy import special

    gardens = effects.shape[1]
    spread = effects.var(axis=1, ddof=1)
    if interval == "knapp-hartung-floor":
        spread = np.fmax(spread, variance)
    t = effects.mean(axis=1) / np.sqrt(spread / gardens)
    p: FloatArray = 2.0 * special.stdtr(gardens - 1, -np.abs(t))
    return p


def _plots(
    rng: np.random.Generator, size: tuple[int, int, int], log_ratio: float, cv: float, tau: float
) -> FloatArray:
    """Return yields (networks, gardens, blocks, 2), control first; a garden's level and blocks cancel."""
    spread = np.sqrt(np.log1p(cv**2))
    logs = rng.normal(-(spread**2) / 2.0, spread, (*size, 2))
    logs[..., 1] += rng.normal(log_ratio, tau, (*size[:2], 1))
    return np.exp(logs)


def _garden_effects(yields: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return log ratios (networks, gardens) and the variance of one of them (networks,)."""
    blocks = yields.shape[2]
    means = yields.mean(axis=2)
    effects = np.log(means[..., 1] / means[..., 0])
    if blocks == 1:
        return effects, np.full(len(yields), np.nan)
    residual = (yields[..., 1] - yields[..., 0]).var(axis=2, ddof=1) / 2.0
    squared_cv = (residual / means.mean(axis=2) ** 2).mean(axis=1)
    return effects, 2.0 * squared_cv / blocks
