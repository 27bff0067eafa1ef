"""Over several nights: an occasion is told once, and a later run of a day adds to the day's message."""

from datetime import date

import pytest

from pipeline.messages.lead_week import LEAD
from pipeline.nightly import run_night
from pipeline.settings import Messages, Settings, commented_file
from pipeline.workspace import make_workspace, open_workspace
from tests.pipeline.conftest import REGISTRY

HEADER = "site,plot,date,good fruits,weight (lb)\n"
PICKED = "".join(f"G01,{plot},2024-07-{day},5,4.0\n" for plot in (1, 2, 3, 4) for day in (10, 20))


@pytest.fixture
def network(tmp_path):
    """A network of two gardens, and what runs a night of it on a day with some new sheets."""
    root = tmp_path / "network"
    settings = Settings(today=date(2024, 8, 5), messages=Messages(lead="Wren"))
    make_workspace(root, settings, REGISTRY)

    def night(day, **sheets):
        dated = settings.model_copy(update={"today": day})
        (root / "network.toml").write_text(commented_file(dated))
        workspace = open_workspace(root)
        for name, text in sheets.items():
            folder = workspace.inbox / "G01"
            folder.mkdir(exist_ok=True)
            (folder / f"{name}.csv").write_text(HEADER + text)
        assert run_night(workspace).status == "published"
        folder = root / "outbox" / day.isoformat()
        return {path.stem: path.read_text() for path in sorted(folder.glob("*.eml"))}

    night.root = root
    return night


def test_a_silence_is_told_once_and_not_every_night_again(network):
    first = network(date(2024, 8, 5), july=PICKED)
    assert "how are your plots doing" not in first["G01"]
    second = network(date(2024, 8, 12))
    assert "Subject: First Row: how are your plots doing?" in second["G01"]
    assert "2 pickings from 4 plots" in second["G01"]
    assert "That is 23 days ago." in second["G01"]
    assert "G01" not in network(date(2024, 8, 13))


def test_a_new_silence_after_a_picking_is_told_again(network):
    network(date(2024, 8, 5), july=PICKED)
    network(date(2024, 8, 12))
    network(date(2024, 8, 14), august=PICKED + "G01,1,2024-08-13,5,4.0\n")
    again = network(date(2024, 9, 6))
    assert "from August 13, 2024. That is 24 days ago." in again["G01"]


def test_a_later_run_of_a_day_adds_to_the_message_and_takes_nothing_from_it(network):
    day = date(2024, 8, 5)
    morning = network(day, july=PICKED + "G01,9,2024-07-20,4,3.2\n")
    assert "“9”" in morning["G01"]
    evening = network(day, more="G01,8,2024-07-27,4,3.2\n")
    assert "“9”" in evening["G01"]
    assert "“8”" in evening["G01"]
    assert "Thank you for your 2 sheets" in evening["G01"]


def test_a_later_run_keeps_what_the_day_s_message_told_beside_questions(network):
    network(date(2024, 8, 5), july=PICKED)
    quiet = network(date(2024, 8, 12))
    assert "how are your plots doing" in quiet["G01"]
    (network.root / "registry" / "absences.csv").write_text("site,from,to,stand_in\n")
    again = network(date(2024, 8, 12))
    assert again["G01"] == quiet["G01"]


def test_a_message_that_was_fetched_is_not_written_again(network):
    day = date(2024, 8, 5)
    network(day, july=PICKED + "G01,9,2024-07-20,4,3.2\n")
    (network.root / "outbox" / day.isoformat() / "G01.eml").unlink()
    evening = network(day, more="G01,8,2024-07-27,4,3.2\n")
    assert "“8”" in evening["G01"]
    assert "“9”" not in evening["G01"]


def test_the_lead_is_written_to_once_a_week(network):
    first = network(date(2024, 8, 5), july=PICKED)
    assert "Subject: Week to August 5, 2024: 1 of 2 gardens in" in first[LEAD]
    assert LEAD not in network(date(2024, 8, 9))
    assert LEAD in network(date(2024, 8, 12))


def test_a_night_that_failed_before_publishing_is_heard_of_on_the_next(network, monkeypatch):
    with monkeypatch.context() as broken:
        broken.setattr("pipeline.nightly.publish", fails)
        with pytest.raises(AssertionError):
            network(date(2024, 8, 5), july=PICKED + "G01,9,2024-07-20,4,3.2\n")
    assert "“9”" in network(date(2024, 8, 6))["G01"]


def fails(*_):
    raise OSError("The disk is full.")
