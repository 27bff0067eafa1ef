"""How often is the truth held where gardens come back? Three ways to treat the seasons of a garden.

    python -m tests.benchmarks.bench_seasons             3,000 networks a cell, some minutes
    python -m tests.benchmarks.bench_seasons --quick     300 a cell

Gardens have one to three seasons, each with an error variance of about 0.03, that of four blocks at a plot
CV of 25 %. "gardens": seasons combined within gardens, Knapp-Hartung over gardens, which is what Longrow
does. "seasons": garden-seasons as if independent, Knapp-Hartung. "robust": gardens combined, with the CR2
variance and Satterthwaite degrees of freedom of Bell & McCaffrey 2002, Survey Methodology 28:169-181, and
Pustejovsky & Tipton 2018, Journal of Business & Economic Statistics 36:672-683 (one combined effect a
garden, so a cluster is a row).
"""

import argparse
from collections.abc import Iterator
from itertools import product

import numpy as np
from scipy import special

from pipeline.response.arrays import Array
from pipeline.response.intervals import coefficient_estimates
from pipeline.response.random_effects import random_effects
from pipeline.response.seasons import combine_seasons
from pipeline.response.weighted_regression import WeightedFit

MEAN = 0.2
WAYS = ("gardens", "seasons", "robust")
SEED = 20261125


def run(
    gardens: int, tau: float, season_tau: float, networks: int, random: np.random.Generator
) -> dict[str, float]:
    """Return coverage in percent of mean and slope by each way, and the width of "robust" over "gardens"."""
    held: dict[str, list[bool]] = {f"{what} {way}": [] for what in ("mean", "slope") for way in WAYS}
    combined: list[tuple[Array, Array, Array]] = []
    for _ in range(networks):
        garden = np.repeat(np.arange(gardens), random.choice([1, 2, 3], gardens, p=[0.4, 0.3, 0.3]))
        variance = 0.03 * random.choice([0.75, 1.0, 1.5], garden.size)
        lasting = MEAN + tau * random.standard_normal(gardens)
        noise = random.standard_normal(garden.size) * np.sqrt(variance + season_tau**2)
        effect, position = lasting[garden] + noise, random.uniform(-1, 1, gardens)
        of_gardens = combine_seasons(effect, variance, garden)
        combined.append((of_gardens.effect, np.asarray(of_gardens.variance), position))
        low, high = _knapp_hartung(effect, variance, np.vstack([np.ones(garden.size), position[garden]]))
        held["mean seasons"].append(bool(low[0] < MEAN < high[0]))
        held["slope seasons"].append(bool(low[1] < 0 < high[1]))
    effect, variance, position = (np.array(part) for part in zip(*combined, strict=True))
    design = np.stack([np.ones_like(position), position], axis=1)
    found = {}
    for way, interval in (("gardens", _knapp_hartung), ("robust", _robust)):
        low, high = interval(effect, variance, design)
        held[f"mean {way}"] = list((low[:, 0] < MEAN) & (high[:, 0] > MEAN))
        held[f"slope {way}"] = list((low[:, 1] < 0) & (high[:, 1] > 0))
        found[way] = np.median(high[:, 1] - low[:, 1])
    return {name: 100 * float(np.mean(values)) for name, values in held.items()} | {
        "width": float(found["robust"] / found["gardens"])
    }


def _knapp_hartung(effect: Array, variance: Array, design: Array) -> tuple[Array, Array]:
    """Return the intervals of the mean at position 0 and of the slope."""
    model = random_effects(effect, variance, design, "reml")
    found = coefficient_estimates(model.fit, "knapp-hartung", 0.95)
    return found.low, found.high


def _robust(effect: Array, variance: Array, design: Array) -> tuple[Array, Array]:
    fitted = random_effects(effect, variance, design, "reml").fit
    ends = [_robust_margin(fitted, term) for term in range(design.shape[-2])]
    margin = np.stack(ends, axis=-1)
    return fitted.coefficient - margin, fitted.coefficient + margin


def _robust_margin(fitted: WeightedFit, term: int) -> Array:
    """Return t times the CR2 standard error; its degrees of freedom match two moments under the weights."""
    of_effect = (np.linalg.inv(fitted.triangle) @ (fitted.basis * fitted.weight[..., None, :]))[..., term, :]
    part = of_effect**2 / (1 - fitted.leverage)
    residuals = -np.swapaxes(fitted.basis, -1, -2) @ fitted.basis
    diagonal = np.arange(part.shape[-1])
    residuals[..., diagonal, diagonal] += 1 / fitted.weight
    expected = np.sum(part * residuals[..., diagonal, diagonal], axis=-1)
    spread = 2 * np.einsum("...i,...ij,...j->...", part, residuals**2, part)
    se = np.sqrt(np.sum(part * fitted.residual**2, axis=-1))
    return special.stdtrit(2 * expected**2 / spread, 0.975) * se


def report(networks: int) -> Iterator[str]:
    """Yield the lines of the table."""
    random = np.random.default_rng(SEED)
    yield "                            mean, %                     slope, %            slope width,"
    yield "k   tau  season tau   " + 2 * "gardens seasons robust   " + "robust / gardens"
    every = []
    for gardens, tau, season_tau in product((5, 10, 20, 40), (0.0, 0.1, 0.3), (0.0, 0.1, 0.3)):
        found = run(gardens, tau, season_tau, networks, random)
        every.append(found)
        shown = ["  ".join(f"{found[f'{what} {way}']:6.1f}" for way in WAYS) for what in ("mean", "slope")]
        cell = f"{gardens:<3d} {tau:.1f}  {season_tau:.1f}"
        yield f"{cell}       {shown[0]}    {shown[1]}     {found['width']:.2f}"
    for name in (f"{what} {way}" for what, way in product(("mean", "slope"), WAYS)):
        held = [found[name] for found in every]
        yield f"{name:14s} over all {np.mean(held):.1f}, lowest {min(held):.1f}, highest {max(held):.1f}"


if __name__ == "__main__":
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--quick", action="store_true", help="300 networks a cell in place of 3,000")
    for line in report(300 if parser.parse_args().quick else 3_000):
        print(line)
