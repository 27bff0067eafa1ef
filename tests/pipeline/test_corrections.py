"""Known faults of a source are put right by the night, and a correction that no longer fits is loud."""

import pytest

from pipeline.nightly import run_night
from pipeline.publish.snapshot import newest_snapshot
from pipeline.store.engine import open_store
from sites.errors import RegistryError

HEADER = "sheet,site,plot,from,to,column,says,is,why,told,until\n"
SHEET = "site,plot,date,weight (kg),good fruits\nG01,1,2024-07-01,3.0,\nG01,2,2024-07-01,2.0,\n"


@pytest.fixture
def corrected(workspace):
    def corrected(*lines, sheet=SHEET):
        (workspace.registry / "corrections.csv").write_text(HEADER + "".join(f"{line}\n" for line in lines))
        (workspace.inbox / "sheet.csv").write_text(sheet)
        run_night(workspace)
        engine = open_store(workspace.database_url)
        plots = newest_snapshot(engine).frame("plot_seasons", "graft", "2024").set_index(["site", "plot"])
        engine.dispose()
        return plots["marketable_kg_per_plant"]

    return corrected


def test_a_known_fault_is_put_right(corrected):
    plots = corrected(
        "harvest,G01,1,2024-07-01,,marketable_weight,3 kg,1.4 kg,bucket not taken off,AN,2025-01-31"
    )
    assert plots["G01", "1"] == pytest.approx(0.7)
    assert plots["G01", "2"] == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (
            "harvest,G01,1,,,marketable_weight,9 kg,1.4 kg,bucket,AN,2025-01-31",
            "line 2, says: no row says this any more.",
        ),
        ("harvest,G01,1,,,marketable_weight,3 kg,1.4 kg,bucket,AN,2024-01-31", "ran out on 2024-01-31"),
        (
            "harvest,G01,1,,,weight,3 kg,1.4 kg,bucket,AN,2025-01-31",
            "“weight” cannot be corrected here. Name one of",
        ),
        ("harvest,G01,1,,,marketable_weight,lots,1.4 kg,bucket,AN,2025-01-31", "“lots” cannot be read"),
        ("harvest,G01,1,,,marketable_weight,3 kg,1.4 kg,,AN,2025-01-31", "why: the cell is blank."),
    ],
)
def test_a_correction_that_does_not_fit_stops_the_night(corrected, line, words):
    with pytest.raises(RegistryError, match=words):
        corrected(line)


def test_without_the_file_nothing_is_corrected(workspace):
    assert run_night(workspace).status == "published"
