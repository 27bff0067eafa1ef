"""A year written wrongly falls into last year's season where there was one, and is asked about all the same.

The shares are common practice, no source; what is expected is worked out by hand.
"""

from datetime import date

import polars as pl
import pytest

from pipeline.checks.catalogue import CATALOGUE
from pipeline.checks.context import make_context
from pipeline.checks.judge import judge
from pipeline.intake.tables import SentFile
from pipeline.settings import Settings
from sites.crops import read_crops
from sites.registry import read_registry
from tests.pipeline.conftest import REGISTRY

TODAY = date(2024, 9, 1)
HEADER = "site,plot,date,weight (kg)"


@pytest.fixture
def judged(tmp_path):
    """Judge a file of a network that ran in 2023 too."""
    trials = REGISTRY["trials.csv"] + "graft,2023,eggplant,own-root,2023-05-10,2023-10-05,2,2\n"
    head, *rows = REGISTRY["plots.csv"].splitlines()
    plots = [f"season,{head}", *(f"{season},{row}" for season in ("2023", "2024") for row in rows), ""]
    for name, text in (REGISTRY | {"trials.csv": trials, "plots.csv": "\n".join(plots)}).items():
        (tmp_path / name).write_text(text)
    context = make_context(read_registry(tmp_path), read_crops(), TODAY)

    def judged(*days):
        rows = [f"G01,{1 + at % 4},{day},1.0" for at, day in enumerate(days)]
        file = SentFile("sheet.csv", "\n".join([HEADER, *rows, ""]).encode())
        return judge([file], context, Settings(), CATALOGUE)

    return judged


def slips(judged):
    return judged.findings.filter(pl.col("check") == "date-year-slip")["line"].to_list()


def days(year, count, first=1):
    return [f"{year}-07-{first + at:02}" for at in range(count)]


def test_a_slip_of_the_year_among_this_seasons_rows_is_held(judged):
    found = judged(*days(2024, 12), "2023-07-20", *days(2024, 8, 14))
    assert slips(found) == [14]
    row = found.rows["harvest"].filter(pl.col("line") == 14).to_dicts()[0]
    assert (row["season"], row["is_held"]) == ("2024", True)


def test_a_slip_in_the_very_first_row_is_held(judged):
    assert slips(judged("2023-07-20", *days(2024, 12))) == [2]


def test_a_record_that_goes_on_from_last_season_is_taken_as_it_is(judged):
    assert slips(judged(*days(2023, 3), *days(2024, 28))) == []


def test_a_file_of_two_seasons_is_taken_as_it_is(judged):
    assert slips(judged(*days(2023, 12), *days(2024, 12))) == []


def test_a_file_of_last_season_alone_is_taken_as_it_is(judged):
    assert slips(judged(*days(2023, 12))) == []


def test_the_29th_of_february_is_no_trouble(judged):
    assert slips(judged(*days(2024, 12), "2024-02-29", *days(2024, 8, 14))) == []
