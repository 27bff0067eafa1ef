"""A hundred awkward files and more, each judged line by line as the people who sent them would expect."""

from collections import Counter

import polars as pl
import pytest

from pipeline.checks.catalogue import CATALOGUE
from pipeline.checks.judge import judge
from pipeline.intake.batch import read_batch
from pipeline.intake.tables import Limits, SentFile
from pipeline.settings import Intake, Settings
from tests.pipeline.intake.corpus import cells, headers, refusals, rows, text_files, workbooks
from tests.pipeline.intake.corpus.network import small_network

CASES = [
    case for module in (text_files, workbooks, cells, headers, refusals, rows) for case in module.cases()
]
TIGHT = Intake(
    largest_file_mb=refusals.LARGEST_BYTES / 1e6,
    largest_unpacked_mb=refusals.LARGEST_UNPACKED / 1e6,
    most_rows=refusals.MOST_ROWS,
    most_columns=refusals.MOST_COLUMNS,
)
LIMITS = Limits(refusals.LARGEST_BYTES, refusals.LARGEST_UNPACKED, refusals.MOST_ROWS, refusals.MOST_COLUMNS)
every_case = pytest.mark.parametrize("case", CASES, ids=[f"{case.kind}: {case.name}" for case in CASES])


@pytest.fixture(scope="module")
def judged_case(tmp_path_factory):
    context = small_network(tmp_path_factory.mktemp("corpus"))
    return lambda case: judge([SentFile(case.file, case.content)], context, Settings(intake=TIGHT), CATALOGUE)


def outcomes(judged):
    """Return, by tab and line, whether each row is used or held and which checks ask about it."""
    found = judged.findings.filter(pl.col("level") != "note")
    told = {}
    for frame in judged.rows.values():
        for row in frame.select("tab", "line", "is_held").to_dicts():
            told.setdefault(row["tab"], {})[row["line"]] = "held" if row["is_held"] else "used"
    for one in found.sort("check").to_dicts():
        lines = told.setdefault(one["tab"], {})
        line = one["line"] or 0
        before = lines.get(line, "file")
        if one["check"] not in before:
            lines[line] = f"{before}{': ' if ':' not in before else ' '}{one['check']}"
    return told


@every_case
def test_every_line_is_judged_as_expected(judged_case, case):
    found = outcomes(judged_case(case))
    if case.refused:
        assert list(found.values()) == [{0: f"file: {case.refused}"}]
    else:
        assert found == {tab: dict(lines) for tab, lines in (case.tabs or {None: case.lines}).items()}


@every_case
def test_every_note_is_expected(judged_case, case):
    notes = judged_case(case).findings.filter(pl.col("level") == "note")
    assert sorted({(line or 0, check) for line, check in notes.select("line", "check").rows()}) == sorted(
        case.notes
    )


@every_case
def test_a_file_of_which_nothing_can_be_read_is_refused_with_its_reason(judged_case, case):
    judged = judged_case(case)
    told = judged.findings.filter(pl.col("line").is_null() & (pl.col("level") == "held"))
    assert told["check"].to_list() == ([case.refused] if case.refused else [])
    assert (judged.verdicts["verdict"].to_list() == ["refused"]) == bool(case.refused)


@every_case
def test_cells_are_read_as_they_were_meant(judged_case, case):
    read = {}
    for frame in judged_case(case).rows.values():
        for row in frame.to_dicts():
            read.setdefault(row["line"], {}).update(row)
    for line, values in case.values.items():
        for column, value in values.items():
            found = read[line][column]
            found = found.isoformat() if column == "date" else found
            assert found == (pytest.approx(value) if isinstance(value, float) else value), column


@every_case
def test_no_line_is_lost(judged_case, case):
    reading = read_batch([SentFile(case.file, case.content)], LIMITS)
    for table in reading.tables.to_dicts():
        skipped = sum(table[why] for why in ("blank", "printed", "header", "totals"))
        assert table["lines"] == table["rows"] + skipped
        if not case.refused:
            assert skipped == case.skipped
    for verdict in judged_case(case).verdicts.to_dicts():
        assert verdict["rows"] == verdict["used"] + verdict["held"]


def test_there_are_more_than_a_hundred_files_and_none_twice():
    assert len(CASES) > 100
    assert max(Counter((case.kind, case.name, case.content) for case in CASES).values()) == 1
