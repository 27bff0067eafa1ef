"""How far the network's answer would move if a question were answered the other way.

A question is about rows of one garden. The garden is worked out again as it would be (rows left out, rows
added), by the same functions as the night's answer, all questions at once. What the garden then says takes
the place of what it says now, its weight in the network kept: one garden's plots hardly move the variance
between gardens, and the weights are what the answer rests on tonight.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
import pandas as pd

from pipeline.response.garden_effects import garden_effects
from pipeline.response.plots import plot_seasons
from sites.errors import InputError

Size = Literal["small", "some", "large"]

#: Percent points from which a move is some or large. Sentences give whole percent: a move of a whole point
#: changes the number that people read, one below a quarter hardly ever does. Common practice, no source.
SOME_POINTS, LARGE_POINTS = 0.25, 1.0


@dataclass(frozen=True)
class Otherwise:
    """What would be otherwise, question by question.

    `about` has question and site; `without` question, kind (harvest or planting) and row_id of rows that
    would not count; `added` holds, by kind, rows that would: question and the sheet's columns.
    """

    about: pd.DataFrame
    without: pd.DataFrame
    added: Mapping[str, pd.DataFrame]


def plots_otherwise(
    layout: pd.DataFrame,
    rows: Mapping[str, pd.DataFrame],
    otherwise: Otherwise,
    *,
    control: str,
    completeness: float,
    early_days: int,
    harvest_stage: str = "mature",
) -> pd.DataFrame:
    """Return the plot seasons of each question's garden as they would be, with `question`.

    `layout` and `rows` (harvest, planting and condition rows that count) are those of `plot_seasons`.
    """
    copies = otherwise.about.merge(layout, on="site").pipe(_as_gardens)
    changed = {kind: _changed(kind, counting, otherwise) for kind, counting in rows.items()}
    plots = plot_seasons(
        copies,
        changed["harvest"],
        changed["planting"],
        changed["condition"],
        control=control,
        completeness=completeness,
        early_days=early_days,
        harvest_stage=harvest_stage,
    )
    return plots.assign(question=plots["site"].astype("int64"))


def _as_gardens(copies: pd.DataFrame) -> pd.DataFrame:
    """Return copies of gardens under the number of their question, so that each stands for itself."""
    return copies.assign(site=copies["question"].astype("str")).drop(columns="question")


def _changed(kind: str, counting: pd.DataFrame, otherwise: Otherwise) -> pd.DataFrame:
    copies = otherwise.about.merge(counting, on="site")
    lost = otherwise.without[otherwise.without["kind"] == kind]
    gone = pd.MultiIndex.from_frame(lost[["question", "row_id"]])
    kept = copies[~pd.MultiIndex.from_frame(copies[["question", "row_id"]]).isin(gone)]
    more = otherwise.added.get(kind)
    if more is not None and len(more):
        kept = pd.concat([kept, more.reindex(columns=kept.columns)], ignore_index=True)
    return _as_gardens(kept)


def effects_otherwise(plots: pd.DataFrame, control: str, outcome: str) -> pd.DataFrame:
    """Return what each question's garden would say: question, treatment, log_ratio."""
    used = plots[plots["used"]]
    table = used.assign(value=used[outcome], site=used["question"])
    try:
        found = garden_effects(table[["site", "block", "treatment", "value"]], control, "value")
    except InputError:
        # Not one garden would still have the control and a treatment.
        return pd.DataFrame({"question": [], "treatment": [], "log_ratio": []}).astype(
            {"question": "int64", "treatment": "str"}
        )
    effects = found.effects.rename(columns={"site": "question"})
    return effects[["question", "treatment", "log_ratio"]]


def points_moved(about: pd.DataFrame, otherwise: pd.DataFrame, effects: pd.DataFrame) -> pd.Series:
    """Return by question how many percent points the answer would move, whichever way; nan where none is.

    `about` has question and site, `otherwise` question, treatment and log_ratio as they would be, `effects`
    site, treatment, log_ratio and weight as they are. The move is the largest over the treatments. A garden
    that would fall out is left out of the weighted mean, one that would come in enters it with the usual
    weight of the others (Cook & Weisberg 1982, Residuals and Influence in Regression, section 3.2, for a
    mean with known weights).
    """
    total = effects.groupby("treatment")["weight"].sum()
    mean = (effects["weight"] * effects["log_ratio"]).groupby(effects["treatment"]).sum() / total
    usual = effects.groupby("treatment")["weight"].median()
    pairs = about.merge(pd.DataFrame({"treatment": mean.index}), how="cross")
    pairs = pairs.merge(
        effects[["site", "treatment", "log_ratio", "weight"]], on=["site", "treatment"], how="left"
    )
    pairs = pairs.merge(otherwise, on=["question", "treatment"], how="left", suffixes=("", "_then"))
    at, now, then = pairs["treatment"], pairs["log_ratio"], pairs["log_ratio_then"]
    weight, whole, middle = pairs["weight"].fillna(at.map(usual)), at.map(total), at.map(mean)
    with np.errstate(divide="ignore", invalid="ignore"):
        moved = np.select(
            [now.notna() & then.notna(), now.notna(), then.notna()],
            [
                weight * (then - now) / whole,
                -weight * (now - middle) / (whole - weight),
                weight * (then - middle) / (whole + weight),
            ],
            default=0.0,
        )
    points = 100 * np.abs(np.expm1(middle + moved) - np.expm1(middle))
    return points.groupby(pairs["question"]).max().reindex(about["question"])


def size_of(points: float) -> Size | None:
    """Return the move in a word; None where there is no answer to move."""
    if not np.isfinite(points):
        return None
    return "large" if points >= LARGE_POINTS else "some" if points >= SOME_POINTS else "small"
