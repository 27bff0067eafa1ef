"""In which season a plot stands on a day."""

from datetime import date

import pandas as pd

from sites.registry import Registry


class Seasons:
    """The seasons of a network's plots."""

    def __init__(self, registry: Registry) -> None:
        trials = registry.trials[["trial", "season", "start", "close"]]
        self._plots = registry.plots.merge(trials, on=["trial", "season"], validate="many_to_one")

    def of_plot(self, site: str, plot: str, day: date) -> str | None:
        """Return the season that holds the day, else the nearest one; None where there is no such plot."""
        mine = self._plots[(self._plots["site"] == site) & (self._plots["plot"] == plot)]
        if mine.empty:
            return None
        stamp = pd.Timestamp(day)
        away = (
            pd.concat([mine["start"] - stamp, stamp - mine["close"]], axis=1)
            .max(axis=1)
            .clip(lower=pd.Timedelta(0))
        )
        return str(mine.loc[away.idxmin(), "season"])
