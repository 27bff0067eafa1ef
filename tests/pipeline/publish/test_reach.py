"""What gardens gave: counted from the sheets as they are, with how complete that is."""

import csv
import io
import json
from datetime import date, datetime

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.commands.reach import reach as reach_command
from pipeline.nightly import run_night
from pipeline.publish import reach_document as documents
from pipeline.publish.reach import FEWEST_PEOPLE, TO_DATE, WHOLE, withheld
from pipeline.publish.reach_year import (
    complete,
    counties_table,
    figures_table,
    how_sure,
    reach_year,
    sentence,
    told,
)
from pipeline.publish.snapshot import newest_snapshot
from pipeline.settings import Settings
from pipeline.store.engine import open_store
from pipeline.workspace import make_workspace
from sites.errors import InputError
from tests.pipeline.conftest import REGISTRY

TODAY = date(2025, 8, 20)
COLUMNS = (
    "site,date,activity,volunteers,hours,hours_kind,contacts,contact_kind,intend_to_adopt,donated_weight"
)
#: G01 lies in Sherman County, G02 in Saline County. 2024 has days on both sides of 20 August.
SHEETS = {
    "G01": [
        "G01,2024-05-01,work day,6,12,service,9,direct,,",
        "G01,2024-10-01,work day,4,8,service,5,direct,2,10 lb",
        "G01,2025-05-02,work day,7,14,service,20,direct,6,4 lb",
        "G01,2025-06-02,class,5,7.5,learning,300,indirect,,",
        "G01,2025-07-02,work day,3,6,,2,,,0.5 lb",
    ],
    "G02": [
        "G02,2024-05-03,work day,2,3,service,7,direct,,",
        "G02,2025-05-03,work day,2,5,service,1,direct,,",
    ],
}


@pytest.fixture(scope="module")
def workspace(tmp_path_factory):
    made = make_workspace(
        tmp_path_factory.mktemp("reach") / "network", Settings(name="Row Network", today=TODAY), REGISTRY
    )
    for site, rows in SHEETS.items():
        (made.inbox / site).mkdir()
        (made.inbox / site / "outreach.csv").write_text("\n".join([COLUMNS, *rows]) + "\n")
    assert run_night(made).status == "published"
    return made


@pytest.fixture(scope="module")
def snapshot(workspace):
    engine = open_store(workspace.database_url)
    yield newest_snapshot(engine)
    engine.dispose()


@pytest.fixture
def found(snapshot):
    return lambda year=None: reach_year(snapshot.frame("reach"), snapshot.frame("reach_counties"), year)


@pytest.mark.parametrize(
    ("measure", "value"),
    [
        ("gardens", 2),
        ("counties", 2),
        ("came_back", 2),
        ("work_days", 4),
        ("volunteer_turns", 7 + 5 + 3 + 2),
        ("service_hours", 14 + 5),
        ("learning_hours", 7.5),
        ("other_hours", 6),
        ("direct_contacts", 21),
        ("indirect_contacts", 300),
        ("intend_to_adopt", 6),
    ],
)
def test_each_figure_is_the_sum_of_the_rows_that_it_is_defined_by(found, measure, value):
    assert found().figure(measure)["value"] == pytest.approx(value)


def test_food_is_kept_in_kilograms_and_told_in_pounds(found):
    # 1 lb = 0.45359237 kg (International Yard and Pound Agreement 1959).
    food = found().figure("donated")
    assert food["value"] == pytest.approx(4.5 * 0.45359237)
    assert (food["shown"], food["shown_unit"]) == (pytest.approx(4.5), "lb")


def test_a_running_year_is_held_against_the_same_part_of_the_year_before(found):
    assert found().is_running
    assert found().figure("service_hours", 2024)["value"] == 12 + 3


def test_a_year_that_is_over_is_told_whole(found):
    assert not found(2024).is_running
    assert found(2024).figure("service_hours")["value"] == 12 + 8 + 3
    assert list(found(2024).years) == [2024]


def test_no_year_before_means_that_nobody_can_have_come_back(found):
    assert told(found(2024).figure("came_back")) == "first year"


def test_a_figure_that_nobody_sent_is_not_zero(found):
    assert told(found().figure("travel_hours")) == "not sent"


def test_beside_a_figure_stands_on_how_many_gardens_it_rests(found):
    assert complete(found().figure("donated")) == "1 of 2 gardens sent it"
    assert complete(found().figure("came_back")) == "of 2"


def test_fewer_than_five_people_are_not_told(found):
    assert told(found(2024).figure("intend_to_adopt")) == "not told"
    assert pd.isna(found(2024).figure("intend_to_adopt")["value"])


def test_a_county_is_not_given_away_by_subtraction(found):
    # Saline has one contact in 2025 and Sherman twenty; the total, 21, is told.
    counties = found().counties
    contacts = counties[counties["measure"] == "direct_contacts"]
    assert contacts["is_withheld"].tolist() == [True, True]
    assert contacts["value"].isna().all()


counts = st.lists(st.one_of(st.integers(0, 12), st.none()), min_size=1, max_size=8)


@given(counts)
def test_from_what_is_told_and_the_sum_no_small_count_can_be_found(values):
    told_counts = pd.Series(values, dtype="float64")
    hidden = withheld(told_counts)
    small = (told_counts > 0) & (told_counts < FEWEST_PEOPLE)
    assert hidden[small].all()
    positive = told_counts > 0
    # One hidden count alone is the sum less the others; it may stand only where it is the sum itself.
    assert hidden.sum() != 1 or positive.sum() == 1


@given(counts)
def test_counts_of_nobody_and_counts_not_sent_are_never_withheld(values):
    table = pd.Series(values, dtype="float64")
    assert not withheld(table)[~(table > 0)].any()


def test_the_sentence_says_what_was_given_and_that_the_year_still_runs(found):
    assert sentence(found()) == "So far in 2025, 2 gardens in 2 counties have given 19 hours of work and " + (
        "4\u00a0lb of food."
    )
    assert sentence(found(2024)).startswith("In 2024, 2 gardens in 2 counties gave 23 hours of work")


def test_who_sent_no_sheet_is_said(snapshot):
    reach = snapshot.frame("reach").assign(active=5)
    assert "3 gardens have sent no sheet of work days" in how_sure(
        reach_year(reach, snapshot.frame("reach_counties"))
    )


def test_a_year_without_figures_is_refused_with_those_that_there_are(found):
    with pytest.raises(InputError, match="2025, 2024"):
        found(1999)


def test_every_year_stands_whole_and_up_to_tonights_day(snapshot):
    reach = snapshot.frame("reach")
    until = {(row.year, row.span): row.until.date() for row in reach.itertuples()}
    assert until == {
        (2024, WHOLE): date(2024, 12, 31),
        (2024, TO_DATE): date(2024, 8, 20),
        (2025, WHOLE): TODAY,
        (2025, TO_DATE): TODAY,
    }


def test_page_document_and_table_hold_the_same_figures(found, snapshot, monkeypatch):
    tables = []
    monkeypatch.setattr(documents, "_table", lambda _page, heads, rows, *_, **_more: tables.append(rows))
    documents.reach_document(found(), snapshot.frame("outlines"), "Row Network", datetime(2025, 8, 20))
    figures, by_county = tables
    for row in figures_table(found()).to_dict("records"):
        if row["year"] != 2025 or pd.isna(row["value"]):
            continue
        written = next(cells for cells in figures if cells[0] == row["figure"])
        assert f"{row['value']:,.0f}" in written[2]
    assert [cells[0] for cells in by_county] == counties_table(found())["county"].tolist()


def test_the_same_figures_make_the_same_document(found, snapshot):
    once, again = (
        documents.reach_document(found(), snapshot.frame("outlines"), "Row", datetime(2025, 8, 20))
        for _ in range(2)
    )
    assert once == again
    assert once.startswith(b"%PDF-")


def test_the_command_writes_document_table_and_json(workspace, tmp_path, capsys):
    reach_command(workspace.root, None, tmp_path / "year.pdf")
    reach_command(workspace.root, 2024, tmp_path / "year.csv")
    assert (tmp_path / "year.pdf").read_bytes().startswith(b"%PDF-")
    rows = list(csv.DictReader(io.StringIO((tmp_path / "year.csv").read_text())))
    assert {row["year"] for row in rows} == {"2024"}
    assert all(row["how_it_is_counted"] for row in rows)
    capsys.readouterr()
    reach_command(workspace.root, as_json=True)
    told_json = json.loads(capsys.readouterr().out)
    assert (told_json["year"], told_json["until"]) == (2025, "2025-08-20")
    hours = [row for row in told_json["figures"] if row["measure"] == "service_hours" and row["year"] == 2025]
    assert hours[0]["value"] == 19


def test_the_command_prints_the_figures_for_people(workspace, capsys):
    reach_command(workspace.root)
    printed = capsys.readouterr().out
    assert "Until August 20 of each year." in printed
    assert "Hours of work" in printed


def test_the_command_says_what_names_it_can_write(workspace, tmp_path):
    with pytest.raises(InputError, match=r"\.pdf or \.csv"):
        reach_command(workspace.root, None, tmp_path / "year.doc")
