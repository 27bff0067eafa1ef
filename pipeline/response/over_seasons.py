"""The answer of a trial over its closed seasons, gardens that came back counted once."""

from dataclasses import replace

import numpy as np
import pandas as pd

from pipeline.response.answer import trial_answer
from pipeline.response.outcomes import OUTCOMES, PRIMARY, Outcome, plots_with
from pipeline.response.season import SeasonAnswer, add_line, how_of
from pipeline.response.season_lines import AXES, ROW_AXIS, lines
from pipeline.response.season_rows import gave_nothing, network_row
from pipeline.response.seasons import combine_seasons
from pipeline.settings import Answer
from sites.errors import InputError


def over_seasons(
    plots: pd.DataFrame, place: pd.DataFrame, control: str, answer: Answer, primary: str = PRIMARY
) -> SeasonAnswer:
    """Return what several closed seasons of one trial say together.

    `plots` are their plot seasons and `place` the attributes of their gardens, both with a column season. A
    garden that came back is one garden: `gardens` and all degrees of freedom count gardens, `garden_seasons`
    their seasons, and `season_tau2` is how much a garden's effect varied between them. Lines run through the
    gardens' effects over their seasons, along the place and weather of the seasons that each was there.
    """
    found = SeasonAnswer()
    for outcome in OUTCOMES:
        how = replace(how_of(answer, outcome), at_once=False)
        table = _plots_with_season(plots, outcome)
        try:
            trial = trial_answer(table, control, "value", how, season="season")
        except InputError:
            # No garden of any season has the control and a treatment in this outcome.
            continue
        nothing = gave_nothing(trial.gardens)
        for each in trial.network:
            found.network.append(network_row(outcome, each, None, nothing))
            rows = trial.gardens.effects
            rows = rows[(rows["treatment"] == each.treatment) & rows["effect"].notna()]
            axes = AXES if outcome.name == primary else (ROW_AXIS,)
            combined, where = _combined(rows, place)
            for line in lines(combined, where, how, axes):
                add_line(found, outcome, str(each.treatment), line)
    return found


def _plots_with_season(plots: pd.DataFrame, outcome: Outcome) -> pd.DataFrame:
    rows = plots_with(plots, outcome)
    return rows.assign(season=plots.loc[rows.index, "season"])


def _combined(rows: pd.DataFrame, place: pd.DataFrame) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Return one effect and variance per garden, and the gardens' mean places in their seasons."""
    variance = rows["variance"].to_numpy()
    combined = combine_seasons(
        rows["effect"].to_numpy(), None if np.isnan(variance).all() else variance, rows["site"].tolist()
    )
    known = [axis for axis in AXES if axis in place]
    there = rows[["site", "season"]].merge(
        place[["site", "season", *known]], on=["site", "season"], how="left"
    )
    where = there.groupby("site")[known].mean()
    own = np.full(len(combined.gardens), np.nan) if combined.variance is None else combined.variance
    return pd.DataFrame({"site": combined.gardens, "effect": combined.effect, "variance": own}), where
