"""One season of one trial: how much each plot gives on each picking day."""

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import pandas as pd

#: Kilograms per plant and grams per fruit that simulated control plots give; inside the usual bands of the
#: crop table for eggplant.
CONTROL_KG_PER_PLANT = 2.2
FRUIT_MASS_G = 330.0


@dataclass(frozen=True)
class Crop:
    """What simulated control plots of a crop give."""

    kg_per_plant: float
    fruit_mass_g: float


#: Crops that can be simulated; yields and masses inside the usual bands of the crop table. Invented.
CROPS = {
    "eggplant": Crop(CONTROL_KG_PER_PLANT, FRUIT_MASS_G),
    "tomato-slicing": Crop(4.0, 170.0),
    "tomato-cherry": Crop(2.5, 16.0),
    "pepper-bell": Crop(1.2, 140.0),
    "okra": Crop(0.7, 14.0),
}

#: Spread of the control's yield between gardens and between years, as standard deviations of logs.
GARDEN_SPREAD = 0.22
SEASON_SPREAD = 0.08

#: Share of the weight that is culled, on average.
CULL_SHARE = 0.12


@dataclass(frozen=True)
class SeasonPlan:
    """The days of a season."""

    season: str
    start: date
    close: date
    first_picking_day: int = 64
    days_between_pickings: float = 5.5


def picking_days(plan: SeasonPlan, planted: date, rng: np.random.Generator) -> list[date]:
    """Return the days on which one garden picks."""
    day = planted + timedelta(days=int(plan.first_picking_day + rng.integers(-3, 6)))
    days = []
    while day <= plan.close - timedelta(days=2):
        days.append(day)
        day += timedelta(days=int(max(3, round(rng.normal(plan.days_between_pickings, 1.2)))))
    return days


def plot_totals(
    plots: pd.DataFrame, effects: pd.DataFrame, plants: int, cv: float, rng: np.random.Generator
) -> np.ndarray:
    """Return the season's marketable kilograms of every plot of one garden.

    `plots` has block and in_ground; `effects` the garden's true log ratio by treatment. Blocks and plots
    vary by factors, plots with the coefficient of variation `cv` and mean 1.
    """
    spread = np.sqrt(np.log1p(cv**2))
    blocks = {block: np.exp(0.5 * spread * rng.standard_normal()) for block in sorted(set(plots["block"]))}
    gain = np.exp(
        plots["in_ground"].map(effects.set_index("treatment")["effect"]).fillna(0.0).to_numpy(dtype=float)
    )
    noise = np.exp(spread * rng.standard_normal(len(plots)) - spread**2 / 2)
    return CONTROL_KG_PER_PLANT * plants * gain * noise * plots["block"].map(blocks).to_numpy(dtype=float)


def shares_by_day(count: int, rng: np.random.Generator, *, even: bool) -> np.ndarray:
    """Return which share of a season's weight comes on each of its picking days."""
    place = (np.arange(count) + 0.5) / count
    bell = np.exp(-(((place - 0.45) / 0.32) ** 2))
    wobble = np.ones(count) if even else rng.gamma(6.0, 1 / 6.0, count)
    return bell * wobble / (bell * wobble).sum()


def pickings(
    totals: np.ndarray,
    days: int,
    rng: np.random.Generator,
    *,
    exact: bool,
    fruit_mass_g: float = FRUIT_MASS_G,
    fruit_cv: float = 0.1,
) -> dict[str, np.ndarray]:
    """Return what each plot (row) gives on each picking day (column).

    Keys: count, kg, cull_count, cull_kg. Fruits are whole: a plot's weight is picked as its fruits reach
    their size; `fruit_cv` is the variation between them, a share. Where `exact` is true, weights are the
    plain shares of the totals without any rounding.
    """
    shape = (len(totals), days)
    if exact:
        kg = totals[:, None] * shares_by_day(days, rng, even=True)[None, :]
        count = np.maximum(1, np.round(kg * 1000 / fruit_mass_g))
        return {"count": count, "kg": kg, "cull_count": np.zeros(shape), "cull_kg": np.zeros(shape)}
    shares = np.stack([shares_by_day(days, rng, even=False) for _ in totals])
    mass_kg = fruit_mass_g / 1000 * np.exp(0.06 * rng.standard_normal((len(totals), 1)))
    grown = np.cumsum(totals[:, None] * shares, axis=1) / mass_kg + rng.random((len(totals), 1))
    count = np.diff(np.floor(grown), axis=1, prepend=0.0)
    kg = count * mass_kg * np.exp(fruit_cv / np.sqrt(np.maximum(count, 1)) * rng.standard_normal(shape))
    cull_count = rng.binomial(np.maximum(count, 0).astype(int) + 1, CULL_SHARE).astype(float)
    cull_kg = cull_count * mass_kg * np.exp(-0.3 + 0.2 * rng.standard_normal(shape))
    return {"count": count, "kg": kg, "cull_count": cull_count, "cull_kg": cull_kg}
