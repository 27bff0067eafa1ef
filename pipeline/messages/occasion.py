"""One thing to tell a garden, once; and what every night has to tell things from."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

import pandas as pd

from pipeline.publish.snapshot import FrameKey
from pipeline.settings import Settings


@dataclass(frozen=True)
class Occasion:
    """One thing to tell a garden: named, so that it is told once, with its subject and its text.

    `starts` says whether it is reason enough for a message; others go along with the next message.
    """

    name: str
    subject: str
    text: str
    starts: bool = True


@dataclass(frozen=True)
class Night:
    """What a night tells things from: its run and day, the registry, the settings and the frames it made.

    `lying` are the gardens whose message of this day still lies in the outbox: a later run of the day writes
    that message anew with all that the day has to say.
    """

    run: int
    day: date
    gardens: pd.DataFrame
    trials: pd.DataFrame
    settings: Settings
    frames: Mapping[FrameKey, pd.DataFrame] = field(default_factory=dict)
    lying: frozenset[str] = frozenset()

    @property
    def tonight(self) -> pd.Timestamp:
        """The day as a time stamp."""
        return pd.Timestamp(self.day)

    def running(self, name: str, ahead_days: int = 0) -> pd.DataFrame:
        """Return a frame of all trials that run tonight, or start within some days, under each other."""
        soon = self.trials["start"] <= self.tonight + pd.Timedelta(days=ahead_days)
        parts = [
            self.frames[key].assign(trial=trial.trial, season=trial.season, close=trial.close)
            for trial in self.trials[soon & (self.trials["close"] >= self.tonight)].itertuples()
            if (key := FrameKey(name, str(trial.trial), str(trial.season))) in self.frames
        ]
        filled = [part for part in parts if len(part)]
        return pd.concat(filled, ignore_index=True) if filled else pd.DataFrame()
