"""Rows of a plot against what became of it, as all its sheets tell, those of this batch and those kept.

Limits of days, points and spreads are common practice, no source; days to the first picking (60 to 80 for
eggplant set out) are those of the crop table.
"""

from datetime import date

import polars as pl
import pytest

PLANTING = "site,plot,date,treatment,plants,union_cm,note\n"
PLANTED = PLANTING + "G01,1,2024-05-20,A,2,,\nG01,2,2024-05-20,B,2,4,\n"
HARVEST = "site,plot,date,good fruits,weight (lb)\n"
CONDITION = "site,plot,date,alive,height_cm,severity_pct,note\n"


def one_row(text, header):
    return f"{header}{text}\n"


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        ("G01,1,2024-05-19,4,3.2", [(2, "harvest-before-planting", "held")]),
        # 0.6 of 60 days are 36: the first fruit on day 35 is very soon, on day 36 it is not.
        ("G01,1,2024-06-24,4,3.2", [(2, "first-picking-early", "question")]),
        ("G01,1,2024-06-25,4,3.2", []),
        ("G01,1,2024-06-01,0,0", []),
        # Without a planting row nothing is known.
        ("G01,3,2024-05-19,4,3.2", []),
        # A day in another year is asked about as that.
        ("G01,1,2023-07-01,4,3.2", [(2, "date-year-slip", "held")]),
    ],
)
def test_a_picking_is_held_against_the_planting_of_its_plot(context, asked, row, expected):
    assert asked(context, PLANTED, one_row(row, HARVEST)) == expected


def test_a_later_row_of_replaced_plants_is_no_planting(context, asked):
    later = PLANTED + "G01,1,2024-07-10,A,1,,two plants replaced\n"
    assert asked(context, later, one_row("G01,1,2024-07-05,4,3.2", HARVEST)) == []


def test_a_planting_day_after_pickings_that_count_is_held(network, asked):
    kept = pl.DataFrame(
        {
            "site": ["G01"],
            "season": ["2024"],
            "plot": ["1"],
            "date": [date(2024, 7, 1)],
            "marketable_weight": [1.2],
        }
    )
    context = network(kept_of=lambda _: {"harvest": kept})
    found = asked(context, PLANTING + "G01,1,2024-07-20,A,2,,\nG01,2,2024-07-20,B,2,4,\n")
    assert found == [(2, "harvest-before-planting", "held")]


@pytest.mark.parametrize(
    ("looks", "row", "expected"),
    [
        ("G01,1,2024-07-01,0,,,", "G01,1,2024-07-09,4,3.2", [(2, "harvest-after-death", "question")]),
        ("G01,1,2024-07-01,0,,,", "G01,1,2024-07-08,4,3.2", []),
        ("G01,1,2024-07-01,0,,,", "G01,1,2024-07-09,0,0", []),
        ("G01,1,2024-07-01,0,,,\nG01,1,2024-07-05,1,,,", "G01,1,2024-07-09,4,3.2", []),
        ("G01,1,2024-07-01,1,,,", "G01,1,2024-07-09,4,3.2", []),
    ],
)
def test_fruit_of_a_dead_plot_is_asked_about(context, asked, looks, row, expected):
    assert asked(context, one_row(looks, CONDITION), one_row(row, HARVEST)) == expected


@pytest.mark.parametrize(
    ("looks", "expected"),
    [
        (["G01,1,2024-07-01,1,,,", "G01,1,2024-07-08,2,,,"], [(3, "plants-rising", "question")]),
        (["G01,1,2024-07-01,1,,,", "G01,1,2024-07-08,2,,,replaced one"], []),
        (["G01,1,2024-07-01,2,,,", "G01,1,2024-07-08,1,,,"], []),
        (["G01,1,2024-07-01,3,,,"], [(2, "alive-over-planted", "held")]),
        (["G01,1,2024-07-01,,,50,", "G01,1,2024-07-08,,,19,"], [(3, "sick-part-falls", "question")]),
        (["G01,1,2024-07-01,,,50,", "G01,1,2024-07-08,,,20,"], []),
        (["G01,1,2024-07-01,,,50,", "G01,1,2024-07-23,,,10,"], []),
        (["G01,1,2024-07-01,,,50,", "G01,1,2024-07-08,,,10,leaves cut"], []),
        (["G01,1,2024-07-01,,301,,"], [(2, "height-odd", "question")]),
        (["G01,1,2024-07-01,,300,,"], []),
    ],
)
def test_a_look_at_a_plot_is_held_against_the_one_before(context, asked, looks, expected):
    assert asked(context, CONDITION + "\n".join(looks) + "\n") == expected


def test_a_look_is_held_against_one_that_is_kept(network, asked):
    kept = pl.DataFrame(
        {"site": ["G01"], "season": ["2024"], "plot": ["1"], "date": [date(2024, 7, 1)], "alive": [1.0]}
    )
    context = network(kept_of=lambda _: {"condition": kept})
    found = asked(context, one_row("G01,1,2024-07-08,2,,,", CONDITION))
    assert found == [(2, "plants-rising", "question")]


def test_plants_replaced_by_a_planting_row_may_rise(context, asked):
    replaced = "site,plot,date,event,plants\nG01,1,2024-05-20,,2\nG01,1,2024-07-03,replaced,1\n"
    looks = CONDITION + "G01,1,2024-07-01,1,,,\nG01,1,2024-07-08,2,,,\n"
    assert asked(context, replaced, looks) == []


def test_a_height_in_inches_among_centimetres_is_asked_about(network, asked):
    plots = "".join(f"G01,graft,{at},{at + 2},own-root\n" for at in range(3, 7))
    context = network(more={"plots.csv": plots})
    heights = [60, 64, 62, 58, 61, 63, 24, 60]
    rows = [f"G01,{plot},2024-07-01,,{height},," for plot, height in enumerate(heights, start=1)]
    assert asked(context, CONDITION + "\n".join(rows) + "\n") == [(8, "height-odd", "question")]
    rows[6] = "G01,7,2024-07-01,,50,,"
    assert asked(context, CONDITION + "\n".join(rows) + "\n") == []


@pytest.mark.parametrize(
    ("rows", "expected"),
    [
        (["G01,1,2024-05-20,B,2,4,"], [(2, "tag-differs", "question"), (2, "union-on-own-root", "question")]),
        (["G01,1,2024-05-20,Z,2,,"], [(2, "tag-unknown", "question")]),
        (["G01,1,2024-05-20,B,2,,", "G01,2,2024-05-20,A,2,3,"], [(2, "tags-swapped", "question")]),
        (["G01,1,2024-05-20,B,2,,", "G02,2,2024-05-20,A,2,3,"], [(2, "tag-differs"), (3, "tag-differs")]),
        (["G01,2,2024-05-20,B,2,0,"], [(2, "union-buried", "question")]),
        (["G01,2,2024-05-20,B,2,2.5,"], []),
        (["G01,2,2024-05-20,B,2,,"], [(2, "union-missing", "question")]),
        (["G01,1,2024-05-20,A,2,3,"], [(2, "union-on-own-root", "question")]),
        (["G01,2,2024-05-20,B,2,21,"], [(2, "height-odd", "question")]),
        (["G01,1,2024-05-20,A,4,,"], [(2, "plants-differ-from-plan", "question")]),
        (["G01,1,2024-05-20,A,3,,"], []),
        (["G01,1,2024-05-20,A,0,,"], [(2, "plants-differ-from-plan", "question")]),
        (
            ["G01,1,2024-05-20,A,2,,", "G01,1,2024-05-27,A,2,,"],
            [(3, "planted-twice", "question")],
        ),
        (["G01,1,2024-05-20,A,2,,", "G01,1,2024-05-27,A,2,,one replaced"], []),
    ],
)
def test_a_planting_row_is_held_against_the_map(context, asked, rows, expected):
    found = asked(context, PLANTING + "\n".join(rows) + "\n")
    assert [case[: len(wanted)] for case, wanted in zip(found, expected, strict=True)] == expected


def test_a_union_that_is_a_little_low_is_a_note(context, asked):
    found = asked(context, PLANTING + "G01,2,2024-05-20,B,2,2.4,\n", notes=True)
    assert found == [(2, "union-low", "note")]


@pytest.mark.parametrize(("days", "expected"), [("3", ["hardening-short"]), ("4", []), ("", [])])
def test_plants_need_some_days_outdoors_before_they_are_planted(context, asked, days, expected):
    found = asked(context, f"site,plot,date,hardened_days\nG01,1,2024-05-20,{days}\n")
    assert [name for _, name, _ in found] == expected


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        ("G01,1,2024-05-14,A,2,,", [(2, "planted-before-freeze", "question")]),
        ("G01,1,2024-05-15,A,2,,", []),
        ("G01,1,2024-05-14,A,2,,under row cover", []),
        ("G02,1,2024-05-14,A,2,,", []),
    ],
)
def test_tender_plants_before_the_last_freeze_are_asked_about(network, asked, row, expected):
    freeze = pl.DataFrame({"site": ["G01"], "season": ["2024"], "late_freeze": [date(2024, 5, 15)]})
    assert asked(network(late_freeze=lambda: freeze), one_row(row, PLANTING)) == expected


def test_plants_that_bear_a_freeze_may_be_planted_before_it(network, asked):
    freeze = pl.DataFrame({"site": ["G01"], "season": ["2024"], "late_freeze": [date(2024, 5, 15)]})
    context = network("cabbage", late_freeze=lambda: freeze)
    assert asked(context, one_row("G01,1,2024-05-14,A,2,,", PLANTING)) == []
