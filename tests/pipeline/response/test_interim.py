"""Before the close only what was named and is complete is analysed, and false claims stay below 5 %."""

from datetime import date

import numpy as np
import pandas as pd
import pytest

from pipeline.response.answer import How, trial_answer
from pipeline.response.interim import complete_days, interim_answers
from pipeline.settings import Answer
from sites.errors import InputError
from tests.pipeline.response.invented_seasons import invented_plots

START, CLOSE = date(2025, 5, 10), date(2025, 10, 5)
LOOKS = (date(2025, 7, 20), date(2025, 8, 10), date(2025, 9, 1))
EARLY = {"early_kg_per_plant": date(2025, 8, 1), "survival": date.min}


def answers(plots, looks=LOOKS, come=LOOKS, complete=EARLY):
    plots_at = (
        dict.fromkeys(come, plots) if isinstance(plots, pd.DataFrame) else dict(zip(come, plots, strict=True))
    )
    return interim_answers(plots_at, complete, looks, START, CLOSE, "bare soil", Answer())


def test_an_outcome_that_is_not_complete_waits():
    rows = answers(invented_plots(), come=LOOKS[:1])
    early = next(row for row in rows if row["outcome"] == "early_kg_per_plant")
    assert early["why_not"] == "not complete at this date"
    assert early["p"] is None
    assert {row["outcome"] for row in rows if row["p"] is not None} == {"survival"}


def test_a_date_that_has_not_come_has_no_analysis():
    assert {row["date"] for row in answers(invented_plots(), come=LOOKS[:2])} == set(
        pd.to_datetime(LOOKS[:2])
    )


def test_a_large_difference_is_called_and_its_interval_leaves_out_zero():
    row = next(
        row
        for row in answers(invented_plots(gain=0.8))
        if row["outcome"] == "early_kg_per_plant" and row["p"]
    )
    assert row["is_called"]
    assert row["ci_low"] > 0
    assert row["level"] < 0.05


def test_the_first_look_is_the_strictest():
    levels = [row["level"] for row in answers(invented_plots()) if row["outcome"] == "survival"]
    assert levels == sorted(levels)


def test_more_dates_than_three_are_refused():
    with pytest.raises(InputError, match="may name 3"):
        answers(invented_plots(), looks=[*LOOKS, date(2025, 9, 15)])


def test_a_date_outside_the_season_is_refused():
    with pytest.raises(InputError, match="between the start and the close"):
        answers(invented_plots(), looks=[date(2025, 11, 1)])


def test_early_yield_is_complete_when_the_last_gardens_early_days_are_over():
    harvest = pd.DataFrame(
        {
            "site": ["G1", "G1", "G2"],
            "date": pd.to_datetime(["2025-07-01", "2025-07-10", "2025-07-15"]),
            "marketable_weight": [0.0, 1.0, 2.0],
            "marketable_count": [0.0, 3.0, 4.0],
        }
    )
    assert complete_days(harvest, ["G1", "G2"], 21)["early_kg_per_plant"] == date(2025, 8, 5)
    assert complete_days(harvest, ["G1", "G2", "G3"], 21)["early_kg_per_plant"] is None


def ripening(looks, delay_days, gardens, blocks, random):
    """Return plots at each look and at the close; treated plots ripen later and end equal.

    A plot gives its season's weight along a logistic curve in time, its own noise from a random walk.
    """
    days = np.array([*looks, 148.0])
    plots = invented_plots(
        gardens, blocks, gain=0.0, noise=0.0, seed=int(random.integers(2**31)), treatments=("graft",)
    )
    late = delay_days * (plots["treatment"] == "graft").to_numpy()
    ripe = 1 / (1 + np.exp(-(days[:, None] - 95 - late) / 8))
    noise = np.exp(0.2 * random.standard_normal(len(plots)))
    kg = plots["marketable_kg_per_plant"].to_numpy() * noise * ripe / ripe[-1]
    alive = random.binomial(6, 0.85, len(plots)) / 6
    columns = {"survival": alive}
    return [plots.assign(marketable_kg_per_plant=now, early_kg_per_plant=kg[0], **columns) for now in kg]


def p_of_yield(plots):
    table = plots.assign(value=plots["marketable_kg_per_plant"])[["site", "block", "treatment", "value"]]
    return trial_answer(table, "bare soil", "value", How(at_once=False)).network[0].pooled.p


def test_a_treatment_that_only_ripens_later_is_called_different_in_five_percent_of_seasons_at_most():
    random = np.random.default_rng(20251005)
    seasons, at_close, at_looks, without_waiting = 40, 0, 0, 0
    for _ in range(seasons):
        *so_far, end = ripening((71.0, 92.0, 114.0), 7.0, gardens=8, blocks=2, random=random)
        # Early yield is not complete where a treatment is late, so only survival may be looked at.
        rows = answers(so_far, complete={"early_kg_per_plant": None, "survival": date.min})
        at_looks += any(row["is_called"] for row in rows)
        at_close += p_of_yield(end) < 0.05
        without_waiting += any(p_of_yield(now) < 0.05 for now in so_far)
    chance = 2.6 * np.sqrt(0.05 * 0.95 / seasons)
    assert at_close / seasons <= 0.05 + chance
    assert at_looks / seasons <= 0.05 + chance
    assert without_waiting / seasons > 0.9
