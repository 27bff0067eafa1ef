"""How long does the estimate take? Effects, network and gradient of 20,000 gardens, beside mixed models.

    python -m tests.benchmarks.bench_response

Plots of control and treatment in four blocks a garden. Twice the gardens should take twice the time. Where
there is an Rscript with lme4, the same run fits two models to the same plots with it and says how many times
as long that takes: Longrow's own one-stage model, treatment + (1 | site) + (1 | site:block) +
(1 | site:treatment), and the smaller treatment + (treatment | site). statsmodels' MixedLM, where it is
installed, fits the smaller one to a sample of gardens.
"""

import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from importlib.util import find_spec
from pathlib import Path
from time import perf_counter

import numpy as np
import pandas as pd

from pipeline.response.garden_effects import garden_effects
from pipeline.response.garden_model import fit_gardens
from pipeline.response.gradient import gradient
from pipeline.response.network import pool

GARDENS = 20_000
BLOCKS = 4
REPEATS = 9
SAMPLE = 500
SEED = 20261125

#: Models of all plots at once, by what the table of times calls them.
MODELS = {
    "lme4, gardens, blocks, gardens x treatments": (
        "kg ~ treatment + (1 | site) + (1 | site:block) + (1 | site:treatment)"
    ),
    "lme4, gardens with their own effect": "kg ~ treatment + (1 + treatment | site)",
}

LME4 = """
suppressPackageStartupMessages(library(lme4))
plots <- read.csv("table.csv")
for (model in c({models})) cat(system.time(suppressWarnings(lmer(as.formula(model), plots)))[["elapsed"]], "")
"""


def plots(gardens: int) -> pd.DataFrame:
    """Return one row per plot: site, block, treatment, kg, east_km."""
    random = np.random.default_rng(SEED)
    site = np.repeat(np.arange(gardens), 2 * BLOCKS)
    treatment = np.tile(["control", "grafted"], gardens * BLOCKS)
    east = random.uniform(0, 600, gardens)
    level = 3 * np.exp(0.3 * random.standard_normal(gardens))
    ratio = np.exp(0.1 + 0.0003 * east + 0.15 * random.standard_normal(gardens))
    expected = level[site] * np.where(treatment == "grafted", ratio[site], 1)
    return pd.DataFrame(
        {
            "site": np.char.mod("G%05d", site),
            "block": np.tile(np.repeat(np.arange(BLOCKS), 2), gardens),
            "treatment": treatment,
            "kg": expected * random.gamma(16, 1 / 16, site.size),
            "east_km": east[site],
        }
    )


def median_ms(work: Callable[[], object]) -> float:
    """Return the median time of some runs in milliseconds."""
    times = []
    for _ in range(REPEATS):
        start = perf_counter()
        work()
        times.append(1e3 * (perf_counter() - start))
    return float(np.median(times))


def ours(table: pd.DataFrame) -> dict[str, float]:
    """Return the time of each step in milliseconds."""
    garden, treatment = (pd.factorize(table[name])[0] for name in ("site", "treatment"))
    response, block = table["kg"].to_numpy(), table["block"].to_numpy()
    effects = garden_effects(table, "control", "kg").effects
    effect, variance = effects["effect"].to_numpy(), effects["variance"].to_numpy()
    east = table.groupby("site")["east_km"].first().to_numpy()
    return {
        "garden model": median_ms(lambda: fit_gardens(response, garden, treatment, block)),
        "garden effects, frame to frame": median_ms(lambda: garden_effects(table, "control", "kg")),
        "network": median_ms(lambda: pool(effect, variance)),
        "network with gradient": median_ms(lambda: pool(effect, variance, {"east_km": east})),
        "gradient with all that helps to judge it": median_ms(
            lambda: gradient(effect, variance, {"east_km": east})
        ),
    }


def lme4_s(table: pd.DataFrame) -> list[float] | None:
    """Return the seconds that lme4 takes for each of `MODELS`, None where R or lme4 is missing."""
    if shutil.which("Rscript") is None:
        return None
    program = LME4.format(models=", ".join(f'"{model}"' for model in MODELS.values()))
    with tempfile.TemporaryDirectory() as folder:
        table.to_csv(Path(folder) / "table.csv", index=False)
        done = subprocess.run(
            ["Rscript", "-"], cwd=folder, input=program, capture_output=True, text=True, check=False
        )
    return [float(seconds) for seconds in done.stdout.split()] if done.returncode == 0 else None


def statsmodels_s(table: pd.DataFrame) -> float | None:
    """Return the seconds that statsmodels takes, None where it is not installed."""
    if find_spec("statsmodels") is None:
        return None
    from statsmodels.regression.mixed_linear_model import MixedLM

    treated = (table["treatment"] == "grafted").astype(float)
    design = np.column_stack([np.ones(len(table)), treated])
    start = perf_counter()
    MixedLM(table["kg"].to_numpy(), design, groups=table["site"].to_numpy(), exog_re=design).fit(reml=True)
    return perf_counter() - start


def report() -> Iterator[str]:
    """Yield the lines of the table."""
    table = plots(GARDENS)
    half, whole = ours(plots(GARDENS // 2)), ours(table)
    head = f"{GARDENS // 2:>10,d}{f'{GARDENS:,} gardens':>18s}{'ratio':>8s}"
    yield f"{f'milliseconds, median of {REPEATS}':44s}{head}"
    for step, time in whole.items():
        yield f"{step:44s}{half[step]:10.1f}{time:18.1f}{time / half[step]:8.2f}"
    yield f"\n{f'{GARDENS:,} gardens, seconds':44s}"
    yield from beside(whole, dict(zip(MODELS, lme4_s(table) or [None] * len(MODELS), strict=True)))
    sample = plots(SAMPLE)
    yield f"\n{f'{SAMPLE} gardens, seconds':44s}"
    yield from beside(ours(sample), {"statsmodels MixedLM": statsmodels_s(sample)})


def beside(steps: dict[str, float], others: dict[str, float | None]) -> Iterator[str]:
    """Yield the seconds of effects, network and gradient, and of each other model beside them."""
    estimate = (steps["garden effects, frame to frame"] + steps["network with gradient"]) / 1e3
    yield f"{'garden effects, network and gradient':44s}{estimate:10.4f}"
    for name, seconds in others.items():
        times = (
            "  not here" if seconds is None else f"{seconds:10.4f}{seconds / estimate:10.0f} times as long"
        )
        yield f"{name:44s}{times}"


if __name__ == "__main__":
    for line in report():
        print(line)
