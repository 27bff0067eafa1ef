"""A night with hand-made frames: two gardens and one running trial."""

from datetime import date

import pandas as pd
import pytest

from pipeline.messages.occasion import Night
from pipeline.publish.snapshot import FrameKey
from pipeline.settings import Settings

TODAY = date(2024, 9, 1)


@pytest.fixture
def night():
    """Return what makes a night of frames, by their names; the trial runs from May to October."""

    def night(day=TODAY, settings=None, lying=(), **frames):
        gardens = pd.DataFrame(
            {
                "site": ["G01", "G02", "G03"],
                "name": ["First Row", "Second Row", "Third Row"],
                "language": ["en", "es", ""],
                "status": "active",
                "contact": "",
            }
        )
        trials = pd.DataFrame(
            {
                "trial": ["graft"],
                "season": ["2024"],
                "start": pd.to_datetime(["2024-05-10"]),
                "close": pd.to_datetime(["2024-10-05"]),
            }
        )
        made = {FrameKey(name, "graft", "2024"): frame for name, frame in frames.items()}
        return Night(1, day, gardens, trials, settings or Settings(), made, frozenset(lying))

    return night
