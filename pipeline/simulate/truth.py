"""What is true in a simulated network: the effect, its slope along the axis, each garden's own effect."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd


@dataclass(frozen=True)
class Truth:
    """What the simulation is asked for.

    `effects` holds the log response ratio of each treatment at the mean position of the gardens,
    `slope_per_100_km` its change eastward, `tau` its standard deviation between gardens around that line,
    `cv` the coefficient of variation between plots of a block, as a fraction.
    """

    effects: tuple[float, ...]
    slope_per_100_km: float = 0.0
    tau: float = 0.1
    cv: float = 0.2


def garden_effects(
    sites: pd.Series, position_km: np.ndarray, treatments: list[str], truth: Truth, rng: np.random.Generator
) -> pd.DataFrame:
    """Return every garden's true log response ratio: site, treatment, position_km, effect.

    A garden keeps its effect through all seasons.
    """
    away = (position_km - position_km.mean()) / 100
    parts = [
        pd.DataFrame(
            {
                "site": sites.to_numpy(),
                "treatment": treatment,
                "position_km": position_km,
                "effect": effect
                + truth.slope_per_100_km * away
                + truth.tau * rng.standard_normal(len(sites)),
            }
        )
        for treatment, effect in zip(treatments, truth.effects, strict=True)
    ]
    return pd.concat(parts, ignore_index=True)


def as_json(truth: Truth, effects: pd.DataFrame, seasons: list[str], seed: int) -> dict[str, Any]:
    """Return the truth as `truth.json` holds it."""
    treatments = list(dict.fromkeys(effects["treatment"]))
    return {
        "invented": True,
        "seed": seed,
        "seasons": seasons,
        "effect": truth.effects[0],
        "effects": dict(zip(treatments, truth.effects, strict=True)),
        "slope": truth.slope_per_100_km,
        "tau": truth.tau,
        "cv": truth.cv,
        "centre_km": float(effects["position_km"].drop_duplicates().mean()) if len(effects) else 0.0,
        "gardens": effects.to_dict("records"),
    }
