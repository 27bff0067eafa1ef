"""The same answer worked out in other ways that somebody may have preferred, so that they can be compared."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pandas as pd

from pipeline.response.answer import Scale, TrialAnswer, trial_answer
from pipeline.response.outcomes import Outcome, plots_with
from pipeline.response.plots import without_last_pickings
from sites.errors import InputError

#: Ways in which the answer is worked out again, by their names in the published frame.
WAYS = ("one stage", "same stage", "no last picking", "as assigned", "mean of log ratios")


def sensitivity(
    plots: pd.DataFrame, outcome: Outcome, control: str, given: TrialAnswer
) -> list[dict[str, Any]]:
    """Return one row per treatment and other way of working out its answer, where that way changes anything.

    `plots` are plot seasons, `given` is the answer itself. The ways: without gardens whose treatments were
    picked at different maturities; without the last picking that strips a plot; treatments as they were
    assigned, where something else was planted; the mean of log ratios within blocks for a ratio of means;
    all plots in one model. A row has the keys outcome, treatment, way, gardens, estimate, ci_low, ci_high.
    """
    rows = [
        _row(outcome, str(each["treatment"]), "one stage", None, each)
        for each in given.mixed_model
        if each["estimate"] is not None
    ]
    for way, table in _tables(plots, outcome):
        scale: Scale = "log" if way == "mean of log ratios" else given.how.scale
        how = replace(given.how, scale=scale, at_once=False)
        try:
            found = trial_answer(table, control, "value", how)
        except InputError:
            # This way leaves nothing to compare, which the row that is not there says.
            continue
        rows += [
            _row(outcome, str(each.treatment), way, each.pooled.k, each.pooled.to_json())
            for each in found.network
        ]
    return rows


def _tables(plots: pd.DataFrame, outcome: Outcome) -> Iterator[tuple[str, pd.DataFrame]]:
    if plots["stages_differ"].any():
        yield "same stage", plots_with(plots[~plots["stages_differ"]], outcome)
    if outcome.name == "marketable_kg_per_plant" and (plots["last_share"] > 0).any():
        yield "no last picking", plots_with(without_last_pickings(plots), outcome)
    if (plots["assigned"] != plots["treatment"]).any():
        yield "as assigned", plots_with(plots.assign(treatment=plots["assigned"]), outcome)
    if outcome.scale == "ratio":
        yield "mean of log ratios", plots_with(plots, outcome)


def _row(
    outcome: Outcome, treatment: str, way: str, gardens: int | None, numbers: dict[str, Any]
) -> dict[str, Any]:
    values = {name: numbers[name] for name in ("estimate", "ci_low", "ci_high")}
    return {"outcome": outcome.name, "treatment": treatment, "way": way, "gardens": gardens, **values}
