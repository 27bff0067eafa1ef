"""The same answer worked out in other ways that somebody may have preferred, so that they can be compared."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any

import pandas as pd

from pipeline.response.answer import How, TrialAnswer, trial_answer
from pipeline.response.outcomes import Outcome, plots_with
from pipeline.response.plots import without_last_pickings
from sites.errors import InputError

#: Other choices of estimator, interval and variance, by their names in the published frame: the field of
#: `How`, and what it is there.
CHOICES: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "REML": ("method", "reml"),
        "Paule-Mandel": ("method", "paule-mandel"),
        "DerSimonian-Laird": ("method", "dersimonian-laird"),
        "Knapp-Hartung": ("interval", "knapp-hartung"),
        "Knapp-Hartung with floor": ("interval", "knapp-hartung-floor"),
        "normal interval": ("interval", "normal"),
        "own variance": ("variance", "garden"),
        "pooled variance": ("variance", "pooled"),
        "moderated variance": ("variance", "moderated"),
    }
)
#: Ways in which the answer is worked out again, by their names in the published frame.
WAYS = ("one stage", "same stage", "no last picking", "as assigned", "mean of log ratios", *CHOICES)


def sensitivity(
    plots: pd.DataFrame, outcome: Outcome, control: str, given: TrialAnswer
) -> list[dict[str, Any]]:
    """Return one row per treatment and other way of working out its answer, where that way changes anything.

    `plots` are plot seasons, `given` is the answer itself. The ways: without gardens whose treatments were
    picked at different maturities; without the last picking that strips a plot; treatments as they were
    assigned, where something else was planted; the mean of log ratios within blocks for a ratio of means;
    all plots in one model; every other estimator, interval and variance. A row has the keys outcome,
    treatment, way, gardens, estimate, ci_low, ci_high.
    """
    rows = [
        _row(outcome, str(each["treatment"]), "one stage", None, each)
        for each in given.mixed_model
        if each["estimate"] is not None
    ]
    # What a new garden should expect is not asked here, so the quick form of it will do.
    plain = replace(given.how, at_once=False, prediction="t")
    for way, table, how in (*_tables(plots, outcome, plain), *_choices(plots, outcome, plain)):
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


def _tables(plots: pd.DataFrame, outcome: Outcome, how: How) -> Iterator[tuple[str, pd.DataFrame, How]]:
    """Yield the ways that rest on other plots, treatments or values."""
    if plots["stages_differ"].any():
        yield "same stage", plots_with(plots[~plots["stages_differ"]], outcome), how
    if outcome.name == "marketable_kg_per_plant" and (plots["last_share"] > 0).any():
        yield "no last picking", plots_with(without_last_pickings(plots), outcome), how
    if (plots["assigned"] != plots["treatment"]).any():
        yield "as assigned", plots_with(plots.assign(treatment=plots["assigned"]), outcome), how
    if outcome.scale == "ratio":
        yield "mean of log ratios", plots_with(plots, outcome), replace(how, scale="log")


def _choices(plots: pd.DataFrame, outcome: Outcome, how: How) -> Iterator[tuple[str, pd.DataFrame, How]]:
    """Yield the ways that rest on the same plots and choose another estimator, interval or variance."""
    table = plots_with(plots, outcome)
    for way, (field, chosen) in CHOICES.items():
        if getattr(how, field) != chosen:
            changed: dict[str, Any] = {field: chosen}
            yield way, table, replace(how, **changed)


def _row(
    outcome: Outcome, treatment: str, way: str, gardens: int | None, numbers: dict[str, Any]
) -> dict[str, Any]:
    values = {name: numbers[name] for name in ("estimate", "ci_low", "ci_high")}
    return {"outcome": outcome.name, "treatment": treatment, "way": way, "gardens": gardens, **values}
