"""Interim analyses and what moved, through whole nights of an invented network before its close."""

from datetime import date

import pandas as pd
import pytest

from pipeline.nightly import run_night
from pipeline.publish.snapshot import newest_snapshot
from pipeline.simulate.network import TRIAL, Network, simulate
from pipeline.store.engine import open_store
from pipeline.workspace import open_workspace
from sites.errors import RegistryError


def with_interim(root, dates):
    """Return an invented network on 25 August whose trial names these dates."""
    workspace = simulate(root, Network(gardens=6, faults=0.0, seed=2, today=date(2024, 8, 25)))
    path = workspace.registry / "trials.csv"
    pd.read_csv(path, dtype="str").assign(interim_dates=dates).to_csv(path, index=False)
    return open_workspace(workspace.root)


def frame(workspace, name):
    return newest_snapshot(open_store(workspace.database_url)).frame(name, TRIAL, "2024")


@pytest.fixture(scope="module")
def night(tmp_path_factory):
    workspace = with_interim(tmp_path_factory.mktemp("interim") / "net", "2024-07-05 2024-08-22 2024-09-15")
    assert run_night(workspace).status == "published"
    return workspace


def test_only_dates_that_have_come_are_analysed(night):
    assert sorted(frame(night, "interim")["date"].dt.date.unique()) == [date(2024, 7, 5), date(2024, 8, 22)]


def test_an_outcome_waits_until_it_is_complete_and_then_has_a_strict_limit(night):
    early = frame(night, "interim").query("outcome == 'early_kg_per_plant'")
    first, second = (early[early["date"].dt.date == day] for day in (date(2024, 7, 5), date(2024, 8, 22)))
    assert set(first["why_not"]) == {"not complete at this date"}
    assert first["p"].isna().all()
    assert set(second["gardens"]) == {6}
    assert (second["ci_low"] < second["estimate"]).all()
    assert (second["level"] < 0.05 / 2).all()


def test_an_outcome_that_nobody_recorded_says_so(night):
    survival = frame(night, "interim").query("outcome == 'survival'")
    assert set(survival["why_not"]) == {"no garden has it of the control and a treatment"}
    assert set(survival["gardens"]) == {0}


def test_an_interim_analysis_opens_nothing_else_before_the_close(night):
    assert frame(night, "network").empty
    assert not frame(night, "sentences")["sentence"].str.contains("percent").any()


def test_a_heavier_picking_of_one_garden_moves_that_garden_alone(night):
    assert frame(night, "moved").empty
    plots = frame(night, "plot_seasons")
    treated = plots[plots["used"] & (plots["treatment"] != "own-root")].iloc[0]
    site = treated["site"]
    rows = f"site,plot,date,good fruits,weight (kg)\n{site},{treated['plot']},2024-08-24,9,2.5\n"
    (night.inbox / "late.csv").write_text(rows)
    assert run_night(night).status == "published"
    moved = frame(night, "moved")
    assert set(moved["site"]) == {site}
    row = moved[moved["treatment"] == treated["treatment"]].iloc[0]
    assert row["percent_now"] > row["percent_before"]


def test_four_interim_analyses_stop_the_night_with_the_reason(tmp_path):
    workspace = with_interim(tmp_path / "net", "2024-07-05 2024-07-20 2024-08-22 2024-09-15")
    with pytest.raises(RegistryError, match="4 interim analyses are named; a trial may name 3"):
        run_night(workspace)
