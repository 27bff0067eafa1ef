"""The interim analyses of a trial and season as its published frame."""

from datetime import date
from typing import Any

import pandas as pd

from pipeline.publish.answer_frames import INTERIM
from pipeline.response.interim import complete_days, interim_answers
from pipeline.response.plots import season_plots
from pipeline.settings import Answer

#: Gardens that nobody waits for.
_GONE = ("paused", "left")


def interim_frame(
    trial: Any,
    layout: pd.DataFrame,
    rows: dict[str, pd.DataFrame],
    gardens: pd.DataFrame,
    answer: Answer,
    tonight: date,
) -> pd.DataFrame:
    """Return the analyses whose dates have come, each from rows dated up to it; empty where none was named.

    `trial` is the trial's row of the registry; `rows` are the rows that count by kind of sheet. Raises
    InputError for dates that may not be named.
    """
    dates = [date.fromisoformat(part) for part in str(trial.interim_dates).split()]
    if not dates:
        return INTERIM.empty()
    plots_at = {
        day: season_plots(trial, answer, layout, **_until(rows, day)) for day in dates if day <= tonight
    }
    gone = gardens["site"][gardens["status"].isin(_GONE)]
    waited_for = sorted(set(layout["site"]) - set(gone))
    complete_on = complete_days(rows["harvest"], waited_for, answer.early_days)
    season = trial.start.date(), trial.close.date()
    found = interim_answers(plots_at, complete_on, dates, *season, trial.control, answer)
    return pd.DataFrame(found) if found else INTERIM.empty()


def _until(rows: dict[str, pd.DataFrame], day: date) -> dict[str, pd.DataFrame]:
    return {kind: table[table["date"] <= pd.Timestamp(day)] for kind, table in rows.items()}
