"""Networks of thousands of gardens for benchmarks of screens: a real night's frames, repeated and published.

A night of 5,000 gardens takes many minutes, of which screens see nothing but the frames at its end. So a
night is run on a few hundred gardens at most, every garden of its frames is repeated under further names a
little way off, and the whole goes out through the same publishing code.
"""

from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd
import sqlalchemy as sa

from pipeline.nightly import run_night
from pipeline.publish.frames import FRAMES
from pipeline.publish.snapshot import FrameKey, PublishedSnapshot, newest_snapshot, publish
from pipeline.simulate.network import Network, simulate
from pipeline.simulate.truth import Truth
from pipeline.store.engine import open_store
from pipeline.workspace import Workspace

#: Gardens of a night that is run; a larger network repeats them.
MOST_RUN = 250
#: Kilometres within which a repeated garden stands from the first.
NEAR_KM = 12.0
_SEASONS = ("2024", "2025")


def night_of(folder: Path, gardens: int) -> Workspace:
    """Return a simulated network of so many gardens after its night, with a season over and one running."""
    truth = Truth(effects=(0.22, 0.08), slope_per_100_km=-0.03, tau=0.08, cv=0.2)
    asked = Network(gardens=gardens, seasons=_SEASONS, truth=truth, today=date(2025, 8, 20))
    workspace = simulate(folder, asked)
    report = run_night(workspace)
    if report.status != "published":
        raise SystemExit(f"The night of {gardens} gardens was not published: {report.trouble}")
    return workspace


def grow(workspace: Workspace, gardens: int) -> None:
    """Publish the network's newest frames with its gardens repeated until there are so many."""
    engine = open_store(workspace.database_url)
    newest = newest_snapshot(engine)
    if newest is None:
        raise SystemExit("There is no night to grow from.")
    frames = _frames_of(engine, newest)
    sites = frames[FrameKey("gardens")]["site"].tolist()
    copies = -(-gardens // len(sites))
    left_out = set(sites[gardens - len(sites) * (copies - 1) :])
    grown = {key: _repeated(key.name, frame, copies, left_out) for key, frame in frames.items()}
    fingerprint = f"grown to {gardens}"
    publish(engine, newest.run, newest.night, newest.published, fingerprint, grown)
    engine.dispose()


def _frames_of(engine: sa.Engine, newest: PublishedSnapshot) -> dict[FrameKey, pd.DataFrame]:
    trials = newest.frame("trials")
    keys = [FrameKey(frame.name) for frame in FRAMES if not frame.per_season]
    for trial, season in zip(trials["trial"], trials["season"], strict=True):
        keys += [FrameKey(frame.name, trial, season) for frame in FRAMES if frame.per_season]
    return {key: newest.frame(*key) for key in keys}


def _repeated(name: str, frame: pd.DataFrame, copies: int, left_out: set[str]) -> pd.DataFrame:
    """Return the frame with each garden's rows repeated under further names; others as they are."""
    if name == "trials":
        counts = ["gardens", "plots", "pickings_expected", "pickings_received"]
        return frame.assign(**{count: frame[count] * copies for count in counts})
    column = "sites" if name == "uploads" else "site"
    if column not in frame.columns or frame.empty:
        return frame
    parts = [_copy(frame, column, number, name) for number in range(copies)]
    parts[-1] = parts[-1][~frame[column].isin(left_out)] if copies > 1 else parts[-1]
    whole = pd.concat(parts, ignore_index=True)
    if name == "gardens":
        return whole.sort_values(["position_km", "site"], ignore_index=True)
    return whole


def _copy(frame: pd.DataFrame, column: str, number: int, name: str) -> pd.DataFrame:
    if number == 0:
        return frame
    moved = frame.assign(**{column: frame[column].astype("str") + f"-{number}"})
    if name == "gardens":
        rng = np.random.default_rng(number)
        for along in ("position_km", "across_km"):
            moved[along] = moved[along] + rng.uniform(-NEAR_KM, NEAR_KM, len(moved))
    if name == "uploads":
        moved["upload"] = moved["upload"] + number * int(frame["upload"].max())
    return moved
