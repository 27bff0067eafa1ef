"""One picking typed in by hand: nothing ripe, not visited and not weighed stay three different things."""

from datetime import date

import pytest

from dashboard.sending.picking import file_name, harvest_sheet, read_form, still_wanted
from dashboard.sending.writing import csv_bytes
from pipeline.intake.tables import SentFile

TODAY = date(2025, 8, 20)
PLOTS = ("1", "2", "9", "10")


def form(**fields: str):
    named = {name.replace("_", "-"): value for name, value in fields.items()}
    return read_form("K01", PLOTS, {"day": "2025-08-19", "unit": "lb"} | named)


def cells(picking) -> list[list[str]]:
    return [row[1:6] for row in harvest_sheet(picking).rows[1:]]


def test_a_plot_that_nobody_went_to_has_no_row():
    assert [row[0] for row in cells(form(count_2="8", weight_2="3.2"))] == ["2"]


def test_nothing_ripe_is_zero_and_not_weighed_is_blank():
    picking = form(state_1="zero", state_2="unweighed", count_2="5")
    assert cells(picking) == [
        ["1", "2025-08-19", "0", "0", "lb"],
        ["2", "2025-08-19", "5", "", "lb"],
    ]
    assert still_wanted(picking, TODAY) == []


def test_the_three_states_reach_the_judge_apart(gate):
    picking = form(state_1="zero", state_2="unweighed", count_2="5", count_9="8", weight_9="3 lb 4 oz")
    told = gate.told_of(SentFile(file_name(picking), csv_bytes(harvest_sheet(picking)), ("K01",)))
    rows = told.judged.rows["harvest"].sort("line")
    assert told.held == 0
    assert rows["plot"].to_list() == ["1", "2", "9"]
    assert rows["marketable_weight"].to_list() == [0.0, None, pytest.approx(3.25 * 0.45359237)]


@pytest.mark.parametrize(
    ("typed", "written"),
    [("2 3", "2 lb 3 oz"), ("2 lb 3 oz", "2 lb 3 oz"), ("2", "2 lb"), ("1.5 kg", "1.5 kg")],
)
def test_pounds_and_ounces_may_be_typed_as_the_scale_shows_them(typed, written):
    picking = form(unit="lb oz", weight_1=typed)
    assert [row[3:] for row in cells(picking)] == [[written, ""]]


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"day": ""}, "Choose the day"),
        ({"day": "2025-08-21"}, "has not come yet"),
        ({"weight_1": ""}, "No plot is filled in"),
        ({"state_1": "picked", "count_1": "4", "weight_1": ""}, "Plot 1: write the weight"),
        ({"state_1": "zero"}, "Plot 1: it says “Nothing ripe”"),
    ],
)
def test_what_is_missing_is_said_in_words(fields, words):
    wants = still_wanted(form(**({"weight_1": "3.2"} | fields)), TODAY)
    assert len(wants) == 1
    assert words in wants[0]


def test_a_picking_of_today_is_taken():
    assert still_wanted(form(day="2025-08-20", weight_1="3.2"), TODAY) == []


def test_what_is_still_wanted_is_said_in_spanish_too():
    assert still_wanted(form(), TODAY, "es") == [
        "Todavía no hay ninguna parcela llena. Llene una o elija “Nada maduro”."
    ]
