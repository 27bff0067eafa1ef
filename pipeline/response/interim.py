"""Interim analyses: the few looks before a trial closes that were named before it began.

Yield to date is not the season's yield: a treatment that ripens later looks worse until it catches up. So an
interim analysis is of outcomes that are complete at its date: survival, and early yield once the early days
of every garden are over. Everything else waits for the close.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

import pandas as pd
from scipy import stats

from pipeline.response.answer import trial_answer
from pipeline.response.network_answer import Pooled
from pipeline.response.outcomes import BY_NAME, plots_with
from pipeline.response.season import how_of
from pipeline.response.spending import spending_limits
from pipeline.settings import Answer
from sites.errors import InputError
from sites.registry import MOST_INTERIM_DATES

#: Outcomes that can be complete before the season is.
COMPLETE_EARLY = ("early_kg_per_plant", "survival")

#: Each look may ask about every one of these outcomes, so each of them has its share of the 5 %.
ALPHA = 0.05


def interim_answers(
    plots_at: Mapping[date, pd.DataFrame],
    complete_on: Mapping[str, date | None],
    dates: Sequence[date],
    start: date,
    close: date,
    control: str,
    answer: Answer,
) -> list[dict[str, Any]]:
    """Return one row per analysis, outcome and treatment.

    `dates` are all dates that the trial named; `plots_at` holds plot seasons as they stood on those that have
    come. `complete_on` says from which day an outcome is complete, None while it is not. The
    error rate is spent by the season's share that has passed at each date (Lan & DeMets 1983), so that it
    does not depend on what came in, and split over outcomes and treatments, so that all analyses of a trial
    together call a difference that is not there in at most 5 % of trials.

    A row has outcome, treatment, date, gardens, estimate, ci_low, ci_high (an interval as wide as the limit
    of that look), p, level (the p-value below which a difference is called) and is_called. An outcome that is
    not complete, or that nobody recorded, has a row without numbers and the reason in `why_not`.
    Raises InputError for more dates than may be named, or one outside the season.
    """
    looks = sorted(set(dates))
    if len(looks) > MOST_INTERIM_DATES:
        most = MOST_INTERIM_DATES
        raise InputError(f"A trial may name {most} interim analyses; this one names {len(looks)}.")
    if looks and not (start < looks[0] and looks[-1] < close):
        raise InputError("Interim analyses must lie between the start and the close of the season.")
    shares = [(look - start).days / (close - start).days for look in looks]
    rows = []
    for at, look in enumerate(looks):
        if look not in plots_at:
            continue
        for name in COMPLETE_EARLY:
            full = complete_on.get(name)
            if full is None or full > look:
                rows.append(_without_numbers(name, look, "not complete at this date"))
                continue
            rows += _rows(plots_at[look], name, look, shares, at, control, answer)
    return rows


def _without_numbers(name: str, look: date, why_not: str, gardens: int | None = None) -> dict[str, Any]:
    numbers = dict.fromkeys(("estimate", "ci_low", "ci_high", "p", "level")) | {"gardens": gardens}
    about = {"outcome": name, "treatment": "", "date": pd.Timestamp(look)}
    return about | numbers | {"is_called": False, "why_not": why_not}


def _rows(
    plots: pd.DataFrame,
    name: str,
    look: date,
    shares: Sequence[float],
    at: int,
    control: str,
    answer: Answer,
) -> list[dict[str, Any]]:
    outcome = BY_NAME[name]
    how = replace(how_of(answer, outcome), at_once=False)
    try:
        found = trial_answer(plots_with(plots, outcome), control, "value", how)
    except InputError:
        return [_without_numbers(name, look, "no garden has it of the control and a treatment", gardens=0)]
    alpha = ALPHA / (len(COMPLETE_EARLY) * len(found.network))
    # The close is a look too: it has what is left of the error rate, and the limits here do not use it.
    level = float(2 * stats.norm.sf(spending_limits([*shares, 1.0], alpha)[at]))
    about = {"outcome": name, "date": pd.Timestamp(look), "level": level}
    return [
        about | {"treatment": str(each.treatment)} | _numbers(each.pooled, level) for each in found.network
    ]


def _numbers(pooled: Pooled, level: float) -> dict[str, Any]:
    if pooled.se is None or pooled.df is None or pooled.p is None:
        unknown = {"ci_low": None, "ci_high": None, "p": None, "is_called": False}
        return unknown | {"gardens": pooled.k, "estimate": pooled.estimate, "why_not": "too few gardens"}
    reach = stats.t.isf(level / 2, pooled.df) * pooled.se
    return {
        "gardens": pooled.k,
        "estimate": pooled.estimate,
        "ci_low": pooled.estimate - reach,
        "ci_high": pooled.estimate + reach,
        "p": pooled.p,
        "is_called": bool(pooled.p < level),
        "why_not": "",
    }


def complete_days(harvest: pd.DataFrame, gardens: Sequence[str], early_days: int) -> dict[str, date | None]:
    """Return from which day each outcome is complete; None where a garden has not come so far.

    Survival is what it is on any day. Early yield is complete once the early days after the first marketable
    picking of every one of `gardens` are over.
    """
    bears = (harvest["marketable_weight"] > 0) | (harvest["marketable_count"] > 0)
    first = harvest[bears].groupby("site")["date"].min().reindex(list(gardens))
    over = first.max() + pd.Timedelta(days=early_days)
    early = None if first.isna().any() or first.empty else over.date()
    return {"survival": date.min, "early_kg_per_plant": early}
