"""What last night's rows changed: the gardens whose effect moved, and how far each moved the answer."""

import numpy as np
import pandas as pd

from pipeline.response import defaults
from pipeline.response.between_gardens import Method
from pipeline.response.network import pool

#: Changes of a log ratio below this are rounding.
_ROUNDING = 1e-9


def moved(
    before: pd.DataFrame, now: pd.DataFrame, *, is_closed: bool, method: Method = defaults.METHOD
) -> pd.DataFrame:
    """Return one row per treatment and garden whose effect changed, came in or went since the night before.

    `before` and `now` have treatment, site, log_ratio and log_ratio_variance of one outcome. Columns:
    treatment, site; percent_before and percent_now, the garden's own; answer_before and answer_now, over the
    network; moved_points, by how many points this garden alone moved it: the answer now less the answer had
    the garden stayed as it was. Once a trial is closed the answer is the network's estimate; before, it is
    the middle garden, which claims nothing.
    """
    parts = [
        _of_treatment(
            str(name), before[before["treatment"] == name], now[now["treatment"] == name], is_closed, method
        )
        for name in sorted(set(before["treatment"]) | set(now["treatment"]))
    ]
    columns = [
        "treatment",
        "site",
        "percent_before",
        "percent_now",
        "answer_before",
        "answer_now",
        "moved_points",
    ]
    rows = [row for part in parts for row in part]
    return pd.DataFrame(rows, columns=columns).astype(dict.fromkeys(columns[2:], "float64"))


def _of_treatment(
    treatment: str, before: pd.DataFrame, now: pd.DataFrame, is_closed: bool, method: Method
) -> list[tuple[object, ...]]:
    old, new = (frame.dropna(subset="log_ratio").set_index("site") for frame in (before, now))
    ratios = pd.concat([old["log_ratio"], new["log_ratio"]], axis=1, keys=["old", "new"])
    changed = ratios[~((ratios["old"] - ratios["new"]).abs() <= _ROUNDING)].sort_index()
    if changed.empty:
        return []
    answer_before, answer_now = _answer(old, is_closed, method), _answer(new, is_closed, method)
    rows: list[tuple[object, ...]] = []
    for site in changed.index:
        stayed = pd.concat([new.drop(index=site, errors="ignore"), old[old.index == site]])
        without = _answer(stayed, is_closed, method)
        own = (np.expm1(changed.loc[site, name]) * 100 for name in ("old", "new"))
        rows.append((treatment, site, *own, answer_before, answer_now, answer_now - without))
    return rows


def _answer(effects: pd.DataFrame, is_closed: bool, method: Method) -> float:
    """Return the answer in percent, nan where there is no garden."""
    if effects.empty:
        return float("nan")
    ratio = effects["log_ratio"].to_numpy()
    if not is_closed:
        return float(np.expm1(np.median(ratio)) * 100)
    variance = effects["log_ratio_variance"].to_numpy()
    known = bool(np.all(variance > 0))
    return float(np.expm1(pool(ratio, variance if known else None, method=method).estimate) * 100)
