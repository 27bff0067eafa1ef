"""After a night each garden is written to about its own rows, in its language, and about nobody else."""

import pytest

from pipeline.messages.night import messages_of_night
from pipeline.messages.occasion import Night
from pipeline.nightly import run_night
from pipeline.settings import Settings
from pipeline.store.engine import open_store
from pipeline.workspace import make_workspace
from sites.registry import read_registry
from tests.pipeline.conftest import REGISTRY, TODAY

HEADER = "site,plot,date,good fruits,weight (lb)\n"
GARDENS = "site,name,lon,lat,elevation_m,language,status,contact\n"
FIRST = "G01,First Row,-101.7,39.3,1100,es-MX,active,wren@example.org\n"


@pytest.fixture
def night(tmp_path):
    """Run a night over sheets, by their place in the inbox; return the messages by garden."""

    def night(sheets, second="G02,Second Row,-97.6,38.8,380,,active,\n"):
        files = REGISTRY | {"gardens.csv": GARDENS + FIRST + second}
        workspace = make_workspace(tmp_path / "network", Settings(today=TODAY), files)
        for name, text in sheets.items():
            place = workspace.inbox / name
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_text(text)
        report = run_night(workspace)
        with open_store(workspace.database_url).connect() as connection:
            registry = read_registry(workspace.registry)
            tonight = Night(report.run, TODAY, registry.gardens, registry.trials, workspace.settings)
            written = messages_of_night(connection, tonight)
        return {message.site: message for message in written}

    return night


def test_each_garden_is_written_to_in_its_language_about_its_own_rows(night):
    written = night(
        {
            "G01/july.csv": f"{HEADER}G01,9,2024-07-01,4,3.2\nG01,2,2024-07-01,5,4.0\n",
            "G02/july.csv": f"{HEADER}G02,1,2024-07-01,4,3.2\n",
        }
    )
    assert (written["G01"].language, written["G01"].contact) == ("es", "wren@example.org")
    assert "Fila 2" in written["G01"].text
    assert "Second Row" not in written["G01"].text
    assert "We could use your row." in written["G02"].text


def test_the_counts_of_a_shared_sheet_are_told_to_nobody(night):
    written = night({"all.csv": f"{HEADER}G01,9,2024-07-01,4,3.2\nG02,1,2024-07-01,4,3.2\n"})
    assert "Si no hace nada, 1 fila espera." in written["G01"].text
    assert " rows" not in written["G02"].text.split("If you do nothing")[0]


def test_a_garden_hears_of_a_file_that_could_not_be_read(night):
    written = night({"G02/july.csv": ""})
    assert "We kept july.csv, but could not read any row yet." in written["G02"].text


def test_a_garden_that_has_left_is_not_written_to(night):
    sent = {"G02/july.csv": f"{HEADER}G02,1,2024-07-01,4,3.2\n"}
    assert "G02" not in night(sent, "G02,Second Row,-97.6,38.8,380,,left,\n")
