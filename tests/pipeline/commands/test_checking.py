"""`longrow check` says what a sheet would be told, in words and as one JSON document, and writes nothing."""

import json

import pytest
from typer.testing import CliRunner

from pipeline.cli import app
from pipeline.nightly import run_night

KEYS = ["file", "tab", "sheet", "verdict", "rows", "used", "held", "findings"]
FINDING_KEYS = ["line", "column", "check", "level", "sent", "read", "message", "remedy"]


@pytest.fixture
def check(workspace, tmp_path):
    def check(text, *options):
        sheet = tmp_path / "sheet.csv"
        sheet.write_text(text, encoding="utf-8")
        return CliRunner().invoke(app, ["check", str(sheet), "--workspace", str(workspace.root), *options])

    return check


GOOD = "site,plot,date,good fruits,weight (lb)\nG01,1,2024-07-01,4,3.2\nG01,2,7/1/2024,5,2 lb 3 oz\n"
HELD = GOOD + "G01,9,2024-07-01,4,3.2\n"


def test_a_sheet_without_findings_is_taken(check):
    result = check(GOOD, "--json")
    assert result.exit_code == 0
    (entry,) = json.loads(result.stdout)["files"]
    assert list(entry) == KEYS
    assert (entry["sheet"], entry["verdict"], entry["rows"], entry["used"], entry["held"]) == (
        "harvest",
        "taken",
        2,
        2,
        0,
    )


def test_a_held_row_makes_the_exit_code_one(check):
    result = check(HELD, "--json")
    assert result.exit_code == 1
    (entry,) = json.loads(result.stdout)["files"]
    assert entry["verdict"] == "taken in part"
    (finding,) = (finding for finding in entry["findings"] if finding["level"] == "held")
    assert list(finding) == FINDING_KEYS
    assert (finding["line"], finding["column"], finding["check"], finding["sent"]) == (
        4,
        "plot",
        "plot-unknown",
        "9",
    )


def test_rows_are_given_as_read_in_si_units(check):
    (entry,) = json.loads(check(GOOD, "--json", "--rows").stdout)["files"]
    first, second = entry["values"]
    assert (first["line"], second["line"]) == (2, 3)
    assert first["date"] == second["date"] == "2024-07-01"
    assert first["marketable_weight"] == pytest.approx(3.2 * 0.45359237)
    assert first["cull_weight"] is None


def test_a_refused_file_says_why(check):
    result = check("hello\n", "--json")
    (entry,) = json.loads(result.stdout)["files"]
    assert (result.exit_code, entry["verdict"], entry["rows"]) == (1, "refused", 0)
    assert entry["findings"][0]["message"]


def test_people_read_sentences(check):
    result = check(HELD)
    assert "taken in part (2 of 3 rows)" in result.stdout
    assert "First Row has no plot “9”. Its plots are 1, 2, 3, 4." in result.stdout


def test_nothing_is_written(check, workspace):
    before = sorted(str(path) for path in workspace.root.rglob("*"))
    check(HELD)
    assert sorted(str(path) for path in workspace.root.rglob("*")) == before


def test_rows_with_one_cause_are_said_once_with_their_remedy(check):
    rows = "".join(f"G01,{at % 4 + 1},2024-07-{at // 4 + 1:02},4,many\n" for at in range(12))
    result = check("site,plot,date,good fruits,weight (lb)\n" + rows)
    assert "marketable weight: 12 rows, the first 5 are below." in result.stdout
    assert result.stdout.count("Write only the number") == 1


def test_more_than_five_questions_are_counted(check):
    rows = "".join(f"Q{letter},1,2024-07-01,4,3.{at}\n" for at, letter in enumerate("abcdefgh"))
    result = check("site,plot,date,good fruits,weight (lb)\n" + rows)
    assert "3 more to look at:" in result.stdout


def test_a_weight_is_said_with_the_unit_that_it_was_read_in(check):
    result = check("site,plot,date,good fruits,weight (lb)\nG01,1,2024-07-01,4,51\n")
    assert "4 fruits weighing 51 lb would be 12.8 lb each. Do you mean 51 oz (3.2 lb)?" in result.stdout


def test_a_sheet_is_held_against_what_the_garden_sent_before(check, workspace):
    def asked():
        (entry,) = json.loads(check(GOOD, "--json").stdout)["files"]
        return [found["check"] for found in entry["findings"] if found["column"] == "date"]

    assert asked() == []
    planting = "site,plot,date,plants planted\n" + "".join(
        f"G01,{plot},2024-06-20,2\n" for plot in range(1, 5)
    )
    (workspace.inbox / "planting.csv").write_text(planting)
    run_night(workspace)
    assert asked() == ["first-picking-early", "first-picking-early"]
