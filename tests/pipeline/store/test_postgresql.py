"""The same night gives the same answer on PostgreSQL as on SQLite."""

import pandas as pd
import pytest

from pipeline.nightly import run_night
from pipeline.publish.snapshot import newest_snapshot
from pipeline.simulate.network import TRIAL, Network, simulate
from pipeline.store.engine import open_store
from pipeline.workspace import Workspace, open_workspace

pytestmark = pytest.mark.postgresql


def test_a_night_on_postgresql_gives_the_answer_of_sqlite(tmp_path, postgresql_url):
    simulate(tmp_path / "sqlite", Network(gardens=6, seed=4))
    simulate(tmp_path / "postgresql", Network(gardens=6, seed=4))
    on_sqlite = open_workspace(tmp_path / "sqlite")
    other = open_workspace(tmp_path / "postgresql")
    on_postgresql = Workspace(other.root, other.settings.model_copy(update={"database": postgresql_url}))
    answers = []
    for workspace in (on_sqlite, on_postgresql):
        assert run_night(workspace).status == "published"
        assert run_night(workspace).status == "nothing new"
        engine = open_store(workspace.database_url)
        snapshot = newest_snapshot(engine)
        answers.append(
            {name: snapshot.frame(name, TRIAL, "2024") for name in ("plot_seasons", "effects", "network")}
        )
        engine.dispose()
    for name, frame in answers[0].items():
        pd.testing.assert_frame_equal(frame, answers[1][name])
