"""How often is a difference claimed where a treatment only ripens later and ends equal?

    python -m tests.benchmarks.bench_interim             4,000 seasons, under a minute
    python -m tests.benchmarks.bench_interim --quick     400

Each season has eight gardens of two blocks. A plot gives its season's weight along a logistic curve in time;
treated plots are a week behind. "Looks at yield to date" takes the usual 5 % limit, or 5 % divided by the
number of looks (Bonferroni), at 20 looks and calls a difference wherever one passes. Longrow looks at yield
once, at the close, and before it only at what is complete at the date: here survival, at three dates, with
limits spent as by O'Brien and Fleming. Nothing differs in truth, so every claim is a false one.
"""

import argparse
from collections.abc import Iterator

import numpy as np
from scipy import stats

from pipeline.response.arrays import Array
from pipeline.response.interim import ALPHA, COMPLETE_EARLY
from pipeline.response.intervals import coefficient_estimates
from pipeline.response.random_effects import random_effects
from pipeline.response.spending import spending_limits
from pipeline.response.weighted_regression import intercept_only

GARDENS, BLOCKS, PLANTS = 8, 2, 6
CLOSE_DAY, HALF_RIPE_DAY, DAYS_PER_STEP, LATE_DAYS = 148.0, 95.0, 8.0, 7.0
LOOKS = np.linspace(66, 142, 20)
NAMED = np.array([71.0, 92.0, 114.0])
#: The share of plants that live from one date to the next.
ALIVE = 0.93
PLOT_CV, GARDEN_SD = 0.2, 0.1
SEED = 20261125


def p_values(control: Array, treated: Array, *, ratio: bool) -> Array:
    """Return the network's p `(seasons,)` from plots `(seasons, gardens, blocks)`, one variance for all."""
    if ratio:
        level = (control + treated).mean(axis=2, keepdims=True) / 2
        apart, effect = (treated - control) / level, np.log(treated.mean(axis=2) / control.mean(axis=2))
    else:
        apart, effect = treated - control, (treated - control).mean(axis=2)
    squares = np.sum((apart - apart.mean(axis=2, keepdims=True)) ** 2, axis=(1, 2))
    variance = np.maximum(squares / (GARDENS * (BLOCKS - 1)) / BLOCKS, 1e-9)
    within = np.broadcast_to(variance[:, None], effect.shape)
    model = random_effects(effect, within, intercept_only(GARDENS), "reml")
    return coefficient_estimates(model.fit, "knapp-hartung", 0.95).p[:, 0]


def run(seasons: int, random: np.random.Generator) -> dict[str, float]:
    """Return the share of seasons with a false claim, in percent, by way of looking."""
    shape = (seasons, GARDENS, BLOCKS)
    level = np.exp(0.3 * random.standard_normal((seasons, GARDENS, 1)))
    treated_level = level * np.exp(GARDEN_SD * random.standard_normal((seasons, GARDENS, 1)))
    control, treated = (
        each * random.gamma(PLOT_CV**-2, PLOT_CV**2, shape) for each in (level, treated_level)
    )

    def ripe(day: float, late: float) -> float:
        at, end = (
            1 / (1 + np.exp((HALF_RIPE_DAY + late - when) / DAYS_PER_STEP)) for when in (day, CLOSE_DAY)
        )
        return float(at / end)

    to_date = np.array(
        [p_values(control * ripe(day, 0), treated * ripe(day, LATE_DAYS), ratio=True) for day in LOOKS]
    )
    at_close = p_values(control, treated, ratio=True) < ALPHA
    levels = 2 * stats.norm.sf(spending_limits([*(NAMED / CLOSE_DAY), 1.0], ALPHA / len(COMPLETE_EARLY)))
    alive = [np.full(shape, PLANTS), np.full(shape, PLANTS)]
    of_survival = []
    for named in levels[:-1]:
        alive = [random.binomial(arm, ALIVE) for arm in alive]
        of_survival.append(p_values(alive[0] / PLANTS, alive[1] / PLANTS, ratio=False) < named)
    claims = {
        f"yield to date at {len(LOOKS)} looks, 5 % each": np.any(to_date < ALPHA, axis=0),
        f"yield to date at {len(LOOKS)} looks, Bonferroni": np.any(to_date < ALPHA / len(LOOKS), axis=0),
        "Longrow, before the close": np.any(of_survival, axis=0),
        "Longrow, yield at the close": at_close,
    }
    return {name: 100 * float(np.mean(claim)) for name, claim in claims.items()}


def report(seasons: int) -> Iterator[str]:
    """Yield the lines of the table."""
    yield f"{f'{seasons:,} seasons, percent with a false claim':48s}"
    for name, share in run(seasons, np.random.default_rng(SEED)).items():
        yield f"{name:48s}{share:8.1f}"
    yield f"{'standard error of 5 %':48s}{100 * np.sqrt(0.05 * 0.95 / seasons):8.1f}"


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description="False claims before and at the close.")
    parser.add_argument("--quick", action="store_true", help="400 seasons instead of 4,000")
    for line in report(400 if parser.parse_args().quick else 4_000):
        print(line)
