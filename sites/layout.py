"""Randomised block layouts: every block of every garden holds each treatment once, in an order of its own."""

from collections.abc import Sequence

import numpy as np
import pandas as pd


def randomised_blocks(
    sites: Sequence[str], treatments: Sequence[str], blocks: int, seed: int
) -> pd.DataFrame:
    """Return a layout with one row per plot: site, block, plot, treatment, row, col.

    Plots are numbered through a garden, block by block. The order of treatments is drawn afresh for each
    block of each garden; the same seed gives the same layout, and a garden's layout does not depend on
    which other gardens take part (Fisher 1935, The Design of Experiments, chapter IV: randomised blocks).
    """
    count = len(treatments)
    parts = []
    for site in sites:
        generator = np.random.default_rng([seed, *site.encode("utf-8")])
        orders = np.stack([generator.permutation(count) for _ in range(blocks)])
        parts.append(
            pd.DataFrame(
                {
                    "site": site,
                    "block": np.repeat(np.arange(1, blocks + 1), count).astype(str),
                    "plot": np.arange(1, blocks * count + 1).astype(str),
                    "treatment": np.asarray(treatments, dtype=object)[orders.ravel()],
                    "row": np.repeat(np.arange(1, blocks + 1), count),
                    "col": np.tile(np.arange(1, count + 1), blocks),
                }
            )
        )
    return pd.concat(parts, ignore_index=True) if parts else _no_plots()


def _no_plots() -> pd.DataFrame:
    return pd.DataFrame({"site": [], "block": [], "plot": [], "treatment": [], "row": [], "col": []}).astype(
        {"site": "str", "block": "str", "plot": "str", "treatment": "str", "row": "int64", "col": "int64"}
    )
