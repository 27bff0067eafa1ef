"""A closed season's answer is worked out once, and anew as soon as anything that it rests on changes."""

import shutil

import pandas as pd
import pytest

from pipeline.nightly import run_night
from pipeline.publish import kept_answer, seasons
from pipeline.publish.snapshot import newest_snapshot
from pipeline.response.season import season_answer
from pipeline.simulate.network import TRIAL, Network, simulate
from pipeline.store.engine import open_store
from pipeline.workspace import open_workspace


@pytest.fixture(scope="module")
def closed(tmp_path_factory):
    """A network whose one season is closed, after its night."""
    workspace = simulate(tmp_path_factory.mktemp("closed") / "net", Network(gardens=6, faults=0.0, seed=4))
    assert run_night(workspace).status == "published"
    return workspace


@pytest.fixture
def workspace(closed, tmp_path):
    shutil.copytree(closed.root, tmp_path / "net")
    return open_workspace(tmp_path / "net")


@pytest.fixture
def worked_out(monkeypatch):
    """Count the answers that are worked out."""
    calls = []

    def counted(*given, **more):
        calls.append(more)
        return season_answer(*given, **more)

    monkeypatch.setattr(seasons, "season_answer", counted)
    return calls


def changed(path, old, new):
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def night(workspace, **options):
    fresh = open_workspace(workspace.root)
    assert run_night(fresh, **options).status == "published"
    return newest_snapshot(open_store(fresh.database_url))


def another_setting(workspace):
    """Change what no answer rests on, so that there is something to publish."""
    changed(workspace.root / "network.toml", "late_days = 14", "late_days = 15")


def test_what_rests_on_the_same_is_not_worked_out_again(workspace, worked_out):
    another_setting(workspace)
    night(workspace)
    assert worked_out == []


def test_the_frames_are_the_same_as_those_worked_out_anew(workspace, worked_out):
    another_setting(workspace)
    kept = night(workspace)
    again = night(workspace, rebuild=True)
    assert len(worked_out) == 1
    names = [frame.name for frame in kept_answer.MADE_OF]
    names += ["sentences", "questions", "public_answer", "public_band", "public_counties"]
    for name in names:
        one, other = (snapshot.frame(name, TRIAL, "2024") for snapshot in (kept, again))
        pd.testing.assert_frame_equal(one, other, check_exact=True)
    assert len(kept.frame("network", TRIAL, "2024")) > 0


def test_a_changed_row_makes_a_new_answer(workspace, worked_out):
    plots = newest_snapshot(open_store(workspace.database_url)).frame("plot_seasons", TRIAL, "2024")
    one = plots[plots["used"]].iloc[0]
    row = f"site,plot,date,good fruits,weight (kg)\n{one['site']},{one['plot']},2024-09-05,9,2.5\n"
    (workspace.inbox / "late.csv").write_text(row)
    night(workspace)
    assert len(worked_out) == 1


@pytest.mark.parametrize(
    ("file", "old", "new"),
    [
        ("registry/plots.csv", ",tressel", ",corvane"),
        ("registry/trials.csv", ",own-root,", ",corvane,"),
        ("registry/gardens.csv", "", ""),
        ("network.toml", 'interval = "knapp-hartung"', 'interval = "knapp-hartung-floor"'),
        ("network.toml", "early_days = 21", "early_days = 28"),
    ],
    ids=["plan", "control", "place", "interval", "early-days"],
)
def test_a_change_of_plan_place_or_setting_makes_a_new_answer(workspace, worked_out, file, old, new):
    path = workspace.root / file
    if file == "registry/gardens.csv":
        table = pd.read_csv(path, dtype="str")
        table.loc[0, "elevation_m"] = "777"
        table.to_csv(path, index=False)
    else:
        changed(path, old, new)
    night(workspace)
    assert len(worked_out) == 1


def test_another_program_makes_a_new_answer(workspace, worked_out, monkeypatch):
    another_setting(workspace)
    monkeypatch.setattr(kept_answer, "_program", lambda: b"another")
    night(workspace)
    assert len(worked_out) == 1
