"""The night, whole: what went in is what comes out, nothing is lost, nothing half-done is served."""

import csv
import hashlib
import json
import shutil
from datetime import date

import numpy as np
import pandas as pd
import pytest

from pipeline import nightly
from pipeline.nightly import run_night
from pipeline.publish.snapshot import newest_snapshot
from pipeline.simulate.network import TRIAL, Network, simulate
from pipeline.simulate.truth import Truth
from pipeline.store.engine import open_store
from pipeline.workspace import open_workspace
from sites.errors import RegistryError, WorkspaceBusyError

YIELD = "marketable_kg_per_plant"


def published(workspace):
    return newest_snapshot(open_store(workspace.database_url))


def effects_of(workspace, season="2024"):
    effects = published(workspace).frame("effects", TRIAL, season)
    return effects[effects["outcome"] == YIELD].set_index(["site", "treatment"])["log_ratio"]


def truth_of(workspace):
    return json.loads((workspace.root / "truth.json").read_text())


@pytest.fixture(scope="module")
def exact(tmp_path_factory):
    """A network without noise, after its night."""
    truth = Truth(effects=(0.2, 0.07), slope_per_100_km=-0.03, tau=0.0, cv=0.0)
    workspace = simulate(
        tmp_path_factory.mktemp("exact") / "net", Network(gardens=12, faults=0.0, truth=truth, seed=5)
    )
    assert run_night(workspace).status == "published"
    return workspace


@pytest.fixture(scope="module")
def faulty(tmp_path_factory):
    """A network with noise and faults, before its night."""
    truth = Truth(effects=(0.25, 0.1), slope_per_100_km=-0.03, tau=0.1, cv=0.15)
    network = Network(gardens=16, faults=0.04, truth=truth, seed=8, workbooks=1)
    return simulate(tmp_path_factory.mktemp("faulty") / "net", network)


def copy_of(workspace, folder):
    shutil.copytree(workspace.root, folder)
    return open_workspace(folder)


@pytest.fixture
def fresh(faulty, tmp_path):
    return copy_of(faulty, tmp_path / "net")


def test_without_noise_every_garden_effect_is_the_true_one(exact):
    truth = pd.DataFrame(truth_of(exact)["gardens"]).set_index(["site", "treatment"])["effect"]
    found = effects_of(exact)
    assert len(found) == 24
    np.testing.assert_allclose(found.sort_index(), truth.sort_index(), rtol=0, atol=1e-9)


def test_without_noise_the_line_through_the_gardens_is_the_true_one(exact):
    truth = truth_of(exact)
    terms = published(exact).frame("gradient", TRIAL, "2024")
    terms = terms[(terms["outcome"] == YIELD) & (terms["axis"] == "position_km")]
    terms = terms.set_index(["treatment", "term"])["coefficient"]
    slope = truth["slope"] / 100
    for treatment, effect in truth["effects"].items():
        assert terms[treatment, "position_km"] == pytest.approx(slope, abs=1e-9)
        assert terms[treatment, "intercept"] == pytest.approx(effect - slope * truth["centre_km"], abs=1e-9)


def test_without_noise_the_network_answers_with_the_true_effect(exact):
    network = published(exact).frame("network", TRIAL, "2024").set_index(["outcome", "treatment"])["estimate"]
    for treatment, effect in truth_of(exact)["effects"].items():
        assert network[YIELD, treatment] == pytest.approx(effect, abs=1e-9)


def test_with_faults_the_interval_covers_the_truth(fresh):
    run_night(fresh)
    network = published(fresh).frame("network", TRIAL, "2024").set_index(["outcome", "treatment"])
    for treatment, effect in truth_of(fresh)["effects"].items():
        row = network.loc[(YIELD, treatment)]
        assert row["ci_low"] < effect < row["ci_high"]


def test_the_same_night_without_checks_gives_another_answer(fresh, faulty, tmp_path):
    unchecked = copy_of(faulty, tmp_path / "unchecked")
    run_night(fresh)
    run_night(unchecked, checks=())

    def answer(workspace):
        network = published(workspace).frame("network", TRIAL, "2024").set_index(["outcome", "treatment"])
        return network.loc[(YIELD, "corvane"), "estimate"]

    assert abs(answer(fresh) - answer(unchecked)) > 0.02


def fault_of(workspace, kind):
    """Return the first planted fault of a kind in a text file: its file's path in the inbox, and its line."""
    with (workspace.root / "faults.csv").open() as lines:
        found = next(
            row for row in csv.DictReader(lines) if row["fault"] == kind and row["file"].endswith("csv")
        )
    return next(workspace.inbox.rglob(found["file"])), int(found["line"])


def test_mending_a_fault_moves_only_its_own_garden(fresh):
    path, line = fault_of(fresh, "number-unreadable")
    rows = list(csv.reader(path.read_text().splitlines()))
    header = next(row for row in rows if any(cell.startswith("Weight") for cell in row))
    rows[line - 1][next(at for at, name in enumerate(header) if name.startswith("Weight"))] = "1.5"
    run_night(fresh)
    before = effects_of(fresh)
    with (fresh.inbox / "mended.csv").open("w", newline="") as out:
        csv.writer(out).writerows(rows)
    run_night(fresh)
    moved = (effects_of(fresh) - before).abs() > 1e-12
    assert set(moved[moved].index.get_level_values("site")) == {path.parent.name}


def test_every_file_lies_in_the_archive_under_its_hash(fresh):
    sent = {
        hashlib.sha256(path.read_bytes()).hexdigest() for path in fresh.inbox.rglob("*") if path.is_file()
    }
    run_night(fresh)
    assert {path.name for path in fresh.archive.iterdir()} == sent
    assert all(hashlib.sha256(path.read_bytes()).hexdigest() == path.name for path in fresh.archive.iterdir())
    assert [path for path in fresh.inbox.rglob("*") if path.is_file()] == []


def test_every_row_read_is_counted_once(fresh):
    counts = run_night(fresh).counts
    assert (
        counts.rows_read == counts.rows_new + counts.rows_revised + counts.rows_unchanged + counts.rows_held
    )
    assert counts.files_new == counts.taken + counts.taken_in_part + counts.refused


def test_a_second_run_on_the_same_data_is_nothing_new(exact):
    before = published(exact)
    report = run_night(exact)
    assert report.status == "nothing new"
    assert published(exact).id == before.id


def test_the_same_file_sent_again_changes_nothing(fresh):
    some = next(path for path in sorted(fresh.inbox.rglob("*harvest*.csv")))
    content = some.read_bytes()
    run_night(fresh)
    (fresh.inbox / "again.csv").write_bytes(content)
    report = run_night(fresh)
    assert (report.status, report.again, report.counts.rows_read) == ("nothing new", 1, 0)


def test_the_same_data_give_the_same_frames(faulty, tmp_path):
    first, second = copy_of(faulty, tmp_path / "one"), copy_of(faulty, tmp_path / "two")
    run_night(first)
    run_night(second)
    for name in ("plot_seasons", "effects", "network", "gradient_band", "sentences"):
        one, two = (published(workspace).frame(name, TRIAL, "2024") for workspace in (first, second))
        pd.testing.assert_frame_equal(one, two, check_exact=True)


def test_a_night_that_fails_leaves_the_old_snapshot(fresh, monkeypatch):
    run_night(fresh)
    before = published(fresh)
    (fresh.inbox / "late.csv").write_text("site,plot,date,weight (lb)\nG01,1,2024-09-01,2\n")

    def broken(*_args, **_more):
        raise OSError("the disk is full")

    monkeypatch.setattr(nightly, "publish", broken)
    report = run_night(fresh)
    assert report.status == "failed"
    assert "disk is full" in report.summary()[0]
    assert published(fresh).id == before.id
    monkeypatch.undo()
    assert run_night(fresh).status == "published"


def test_a_file_that_cannot_be_read_is_kept_and_the_others_are_taken(fresh):
    (fresh.inbox / "photo.csv").write_bytes(b"\xff\xd8\xff\xe0 not a sheet")
    report = run_night(fresh)
    assert report.status == "published"
    assert report.counts.refused == 1
    uploads = published(fresh).frame("uploads")
    assert uploads.set_index("file").loc["photo.csv", "verdict"] == "refused"


def test_a_broken_registry_stops_the_night_before_anything_is_touched(fresh):
    waiting = sorted(fresh.inbox.rglob("*"))
    (fresh.registry / "plots.csv").write_text("site,trial\n")
    with pytest.raises(RegistryError, match="the column is missing"):
        run_night(fresh)
    assert sorted(fresh.inbox.rglob("*")) == waiting


def test_two_runs_at_once_are_refused(fresh):
    with fresh.held(), pytest.raises(WorkspaceBusyError):
        run_night(fresh)


def test_nothing_dated_after_the_replayed_day_is_visible(tmp_path):
    network = Network(gardens=6, faults=0.0, seed=2, today=date(2024, 8, 15))
    workspace = simulate(tmp_path / "net", network)
    (workspace.inbox / "early.csv").write_text("site,plot,date,weight (lb)\nG1,1,2024-09-20,2\n")
    run_night(workspace)
    snapshot = published(workspace)
    curves = snapshot.frame("harvest_curves", TRIAL, "2024")
    assert curves["date"].max() <= pd.Timestamp("2024-08-15")
    assert snapshot.frame("attributes", TRIAL, "2024")["degree_days_c"].max() < 2000


def test_before_the_close_no_error_and_no_answer_is_published(tmp_path):
    workspace = simulate(tmp_path / "net", Network(gardens=6, seed=2, today=date(2024, 8, 15)))
    run_night(workspace)
    snapshot = published(workspace)
    effects = snapshot.frame("effects", TRIAL, "2024")
    assert len(effects) > 0
    assert effects[["log_ratio_variance", "percent_low", "percent_high"]].isna().all(axis=None)
    for name in ("network", "gradient", "gradient_band"):
        assert snapshot.frame(name, TRIAL, "2024").empty
    assert not snapshot.frame("sentences", TRIAL, "2024")["sentence"].str.contains("percent").any()
