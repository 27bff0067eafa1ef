"""Plot seasons and places of an invented trial, with a truth that tests know."""

import numpy as np
import pandas as pd

from pipeline.response.outcomes import OUTCOMES


def invented_plots(gardens=12, blocks=3, gain=0.2, noise=0.1, seed=1, treatments=("straw", "compost")):
    """Return plot seasons with a log ratio `gain` for every treatment, in gardens that differ in yield."""
    random = np.random.default_rng(seed)
    level = np.exp(0.3 * random.standard_normal(gardens))
    rows = [
        (f"G{garden:02d}", str(block), f"{block}{order}", name, level[garden] * np.exp(gain * (order > 0)))
        for garden in range(gardens)
        for block in range(blocks)
        for order, name in enumerate(("bare soil", *treatments))
    ]
    plots = pd.DataFrame(rows, columns=["site", "block", "plot", "treatment", "expected"])
    kg = plots["expected"] * np.exp(noise * random.standard_normal(len(plots)))
    treated = plots["treatment"] != "bare soil"
    shares = np.clip(0.6 + 0.2 * treated + 0.05 * random.standard_normal(len(plots)), 0, 1)
    values = {outcome.name: kg for outcome in OUTCOMES}
    values |= dict.fromkeys(["marketable_share", "survival", "relative_audpc"], shares)
    values |= {"days_to_first_harvest": 60 - 5.0 * treated + random.standard_normal(len(plots))}
    flags = {"used": True, "stages_differ": False, "lost_to": "", "last_share": 0.0}
    return plots.drop(columns="expected").assign(assigned=plots["treatment"], **values, **flags)


def invented_place(gardens=12):
    """Return attributes of the gardens: heat falls along the row, rain has nothing to do with it."""
    along = np.linspace(0, 600, gardens)
    return pd.DataFrame(
        {
            "site": [f"G{garden:02d}" for garden in range(gardens)],
            "position_km": along,
            "degree_days_c_per_day": 16 - along / 100,
            "rain_mm_per_day": 2 + np.cos(np.arange(gardens) * 2.4),
            "ph": np.nan,
        }
    )
