"""Each check asks about what it is for, and leaves sound rows alone."""

import pytest

from pipeline.checks.catalogue import CATALOGUE
from pipeline.checks.judge import judge
from pipeline.checks.words import catalogue_words
from pipeline.intake.tables import SentFile
from pipeline.settings import Settings

SOUND = [
    "G01,1,2024-07-01,4,3.2",
    "G01,2,2024-07-01,5,4.0",
    "G02,1,2024-07-02,0,0",
    "G02,2,2024-07-02,,",
]


@pytest.fixture
def ask(context):
    def ask(*rows, header="site,plot,date,good fruits,weight (lb)"):
        text = "\n".join([header, *rows]) + "\n"
        judged = judge([SentFile("sheet.csv", text.encode())], context, Settings(), CATALOGUE)
        return [(row["line"], row["check"], row["level"]) for row in judged.findings.to_dicts()]

    return ask


def test_sound_rows_are_left_alone(ask):
    assert ask(*SOUND) == []


@pytest.mark.parametrize(
    ("row", "finding"),
    [
        ("G77,1,2024-07-01,4,3.2", (2, "site-unknown", "held")),
        (",1,2024-07-01,4,3.2", (2, "needed-cell-blank", "held")),
        ("G01,9,2024-07-01,4,3.2", (2, "plot-unknown", "held")),
        ("G01,1,2025-07-01,4,3.2", (2, "date-in-future", "held")),
        ("G01,1,2024-04-01,4,3.2", (2, "date-out-of-season", "held")),
        ("G01,1,2023-07-01,4,3.2", (2, "date-year-slip", "held")),
        ("G01,1,July the something,4,3.2", (2, "date-unreadable", "held")),
        ("G01,1,2024-07-01,4,lots", (2, "number-unreadable", "held")),
        ("G01,1,2024-07-01,four,3.2", (2, "number-unreadable", "held")),
        ("G01,1,2024-07-01,4,-3.2", (2, "number-negative", "held")),
        ("G01,1,2024-07-01,3.5,3.2", (2, "count-not-whole", "held")),
        ("G01,1,2024-07-01,4,3 baskets", (2, "unit-unknown", "held")),
        ('G01,1,2024-07-01,,"1,234"', (2, "number-two-ways", "held")),
        # 4 eggplants of 51 lb weigh 12.75 lb each; read as ounces each is 0.8 lb, inside the usual band.
        ("G01,1,2024-07-01,4,51", (2, "weight-unit-slip", "held")),
    ],
)
def test_a_row_that_does_not_fit_is_held_with_its_reason(ask, row, finding):
    assert ask(row, *SOUND[1:]) == [finding]


def test_days_of_grace_around_a_season_still_count(ask):
    assert ask("G01,1,2024-04-28,4,3.2") == []


def test_a_garden_is_known_by_its_name_as_well(ask):
    assert ask("first row,01,2024-07-01,4,3.2") == [(2, "site-read-as", "note")]


def test_two_pickings_with_other_weights_on_one_day_are_both_held(ask):
    found = ask("G01,1,2024-07-01,4,3.2", "G01,1,2024-07-01,4,3.9", "G01,2,2024-07-01,4,3")
    assert found == [(2, "picking-twice-in-file", "held"), (3, "picking-twice-in-file", "held")]


def test_a_copied_row_is_used_once_and_noted(ask):
    assert ask("G01,1,2024-07-01,4,3.2", "G01,1,2024-07-01,4,3.2") == [(3, "row-repeated", "note")]


def test_numbered_pickings_of_one_day_are_two(ask):
    header = "site,plot,date,good fruits,weight (lb),picking"
    assert ask("G01,1,2024-07-01,4,3.2,1", "G01,1,2024-07-01,4,3.9,2", header=header) == []


def test_weights_without_a_unit_are_asked_about_once_a_file(ask):
    header = "site,plot,date,good fruits,weight"
    assert ask(*SOUND[:2], header=header) == [(2, "weight-no-unit", "question")]


def test_a_column_that_nobody_knows_is_a_note(ask):
    assert ask(*(f"{row},x" for row in SOUND), header="site,plot,date,good fruits,weight (lb),moon") == [
        (None, "column-unknown", "note")
    ]


@pytest.mark.parametrize(
    ("tag", "finding"),
    [
        ("B", []),
        ("grafted", []),
        ("Grafted", []),
        ("A", [(2, "tag-differs", "question")]),
        ("Z", [(2, "tag-unknown", "question")]),
    ],
)
def test_a_tag_is_held_against_the_map(ask, tag, finding):
    header = "site,plot,date,treatment,plants,union_cm"
    assert ask(f"G01,2,2024-05-20,{tag},2,4", header=header) == finding


def test_every_check_has_words_in_both_languages():
    words = catalogue_words()
    for check in CATALOGUE:
        for part in ("message", "why", "remedy", "if_nothing"):
            assert words[check.name][f"{part}_en"]
            assert words[check.name][f"{part}_es"]


def test_every_check_says_what_its_words_need():
    always = {"file", "line", "column", "plot", "garden", "sent", "read"}
    for check in CATALOGUE:
        needed = set(catalogue_words()[check.name]["placeholders"].split())
        assert needed <= always | set(check.say), check.name


def test_each_check_has_the_level_that_its_words_were_written_for():
    assert {check.name: check.level for check in CATALOGUE} == {
        check.name: catalogue_words()[check.name]["level"] for check in CATALOGUE
    }
