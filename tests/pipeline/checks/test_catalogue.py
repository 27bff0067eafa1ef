"""Each check asks about what it is for, and leaves what is nearly so alone.

Masses of a fruit are held against the crop table's band for eggplant, 100 to 700 g; limits without a source
are common practice and stand beside each check.
"""

from dataclasses import replace

import polars as pl
import pytest

from pipeline.checks.catalogue import CATALOGUE
from pipeline.checks.words import catalogue_words

HARVEST = "site,plot,date,good fruits,weight (lb)"
SOUND = ["G01,1,2024-07-01,4,3.2", "G01,2,2024-07-01,5,4.0", "G02,1,2024-07-02,0,0", "G02,2,2024-07-02,,"]


def sheet(*rows, header=HARVEST):
    return "\n".join([header, *rows]) + "\n"


@pytest.fixture
def ask(context, asked):
    def ask(*rows, header=HARVEST, notes=False):
        return asked(context, sheet(*rows, header=header), notes=notes)

    return ask


def test_each_check_has_the_level_that_its_words_were_written_for():
    assert {(check.name, check.level) for check in CATALOGUE} == {
        (check.name, catalogue_words()[check.name]["level"]) for check in CATALOGUE
    }


def test_sound_rows_are_left_alone(ask):
    assert ask(*SOUND, notes=True) == []


@pytest.mark.parametrize(
    ("row", "check"),
    [
        ("G77,1,2024-07-01,4,3.2", "site-unknown"),
        (",1,2024-07-01,4,3.2", "needed-cell-blank"),
        ("G01,9,2024-07-01,4,3.2", "plot-unknown"),
        ("G01,1,2025-07-01,4,3.2", "date-in-future"),
        ("G01,1,2024-09-03,4,3.2", "date-in-future"),
        ("G01,1,2024-04-01,4,3.2", "date-out-of-season"),
        ("G01,1,2023-07-01,4,3.2", "date-year-slip"),
        ("G01,1,2022-07-01,4,3.2", "date-year-slip"),
        ("G01,1,July the something,4,3.2", "date-unreadable"),
        ("G01,1,2024-07-01,4,lots", "number-unreadable"),
        ("G01,1,2024-07-01,four,3.2", "number-unreadable"),
        ("G01,1,2024-07-01,4,#DIV/0!", "formula-broken"),
        ("G01,#REF!,2024-07-01,4,3.2", "formula-broken"),
        ("G01,1,2024-07-01,4,-3.2", "number-negative"),
        ("G01,1,2024-07-01,3.5,3.2", "count-not-whole"),
        ("G01,1,2024-07-01,4,3 baskets", "unit-unknown"),
        ('G01,1,2024-07-01,,"1,234"', "number-two-ways"),
        ("G01,1,2024-07-01,4,0", "fruit-without-weight"),
        # 4 eggplants of 51 lb weigh 12.75 lb each; read as ounces each is 0.8 lb, inside the usual band.
        ("G01,1,2024-07-01,4,51", "weight-unit-slip"),
        # 4 eggplants of 1,200 lb: as grams each is 300 g.
        ("G01,1,2024-07-01,4,1200", "weight-unit-slip"),
        # 1 eggplant of 0.02 lb is 9 g; ten times that is 91 g and 0.02 kg is 20 g: nothing fits.
        ("G01,1,2024-07-01,1,0.02", "fruit-mass-impossible"),
    ],
)
def test_a_row_that_cannot_be_true_is_held_with_its_reason(ask, row, check):
    assert ask(row, *SOUND[1:]) == [(2, check, "held")]


@pytest.mark.parametrize(
    "row",
    [
        "G01,01,2024-07-01,4,3.2",
        "G01,1,2024-04-28,4,3.2",
        "G01,1,2024-09-02,4,3.2",
        "G01,1,2024-07-01,4.0004,3.2",
        "G01,1,2024-07-01,,3.2",
        "G01,1,2024-07-01,,",
        "G01,1,2024-07-01,0,0",
        # 700 g each is the top of the band.
        "G01,1,2024-07-01,2,3.08",
        "G01,1,2024-07-01,2,0.5",
    ],
)
def test_a_row_that_may_be_true_is_used(ask, row):
    assert ask(row, *SOUND[1:]) == []


@pytest.mark.parametrize(
    ("row", "check"),
    [
        ("G01,1,2024-07-01,3,", "weight-blank"),
        ("G01,1,2024-07-01,0,2.5", "weight-without-fruit"),
        # 3 eggplants of 5 lb are 756 g each: above the band, far below three times its top.
        ("G01,1,2024-07-01,3,5", "fruit-mass-odd"),
        # 4 eggplants of 0.32 lb are 36 g each; ten times that is 363 g, and no other unit fits.
        ("G01,1,2024-07-01,4,0.32", "decimal-slip"),
    ],
)
def test_a_row_that_looks_odd_is_used_and_asked_about(ask, row, check):
    assert ask(row, *SOUND[1:]) == [(2, check, "question")]


def test_two_fruits_that_are_heavy_are_not_called_odd(ask):
    assert ask("G01,1,2024-07-01,2,3.5", *SOUND[1:]) == []


def test_a_weight_with_two_readings_is_read_as_the_one_that_gives_a_usual_fruit(context, judged):
    # 1.234 lb for 4 eggplants are 140 g each; 1,234 lb are 140 kg each.
    rows = judged(context, sheet('G01,1,2024-07-01,4,"1,234"')).rows["harvest"]
    assert rows["marketable_weight"].to_list() == [pytest.approx(1.234 * 0.45359237)]


@pytest.mark.parametrize(
    ("row", "check"),
    [
        ("first row,1,2024-07-01,4,3.2", "site-read-as"),
        ("Frist Row,1,2024-07-01,4,3.2", "site-read-as"),
        ("G01,1,2024-07-01,4,2 lb 3 oz", "number-read-as"),
        ("G01,1,2024-07-01,4,3 1/2", "number-read-as"),
        ("G01,1,7/1/24,4,3.2", "date-two-digit-year"),
        ("G01,1,45474,4,3.2", "date-from-number"),
    ],
)
def test_a_cell_that_is_read_in_a_way_to_be_told_has_a_note(ask, row, check):
    assert ask(row, notes=True) == [(2, check, "note")]


def test_a_garden_of_another_number_is_never_taken_for_a_misspelt_one(ask):
    assert ask("Second Row 2,1,2024-07-01,4,3.2") == [(2, "site-unknown", "held")]


def test_a_unit_that_differs_from_the_header_s_is_told(ask):
    found = ask("G01,1,2024-07-01,4,1.5 kg", notes=True)
    assert (2, "unit-two-places", "note") in found


def test_ounces_on_a_scale_of_pounds_and_ounces_are_no_second_unit(ask):
    found = ask("G01,1,2024-07-01,4,2 lb 3 oz", "G01,2,2024-07-01,1,14 oz", notes=True)
    assert {check for _, check, _ in found} == {"number-read-as"}


def test_weights_without_a_unit_are_asked_about_once_a_file(ask):
    assert ask(*SOUND[:2], header="site,plot,date,good fruits,weight") == [(2, "weight-no-unit", "question")]


def test_a_unit_that_is_none_holds_a_weight_beside_it(ask):
    header = "site,plot,date,good fruits,weight,unit"
    assert ask("G01,1,2024-07-01,4,3.2,baskets", header=header) == [(2, "unit-unknown", "held")]
    assert ask("G01,1,2024-07-01,4,3.2 lb,baskets", header=header) == []


def test_a_column_that_nobody_knows_is_a_note(ask):
    found = ask(*(f"{row},x" for row in SOUND), header=f"{HARVEST},moon", notes=True)
    assert found == [(None, "column-unknown", "note")]


def test_two_pickings_with_other_weights_on_one_day_are_both_held(ask):
    found = ask("G01,1,2024-07-01,4,3.2", "G01,1,2024-07-01,4,3.9", "G01,2,2024-07-01,4,3")
    assert found == [(2, "picking-twice-in-file", "held"), (3, "picking-twice-in-file", "held")]


def test_a_copied_row_is_used_once_and_noted(ask):
    copied = ask("G01,1,2024-07-01,4,3.2", "G01,1,2024-07-01,4,3.2", notes=True)
    assert copied == [(3, "row-repeated", "note")]


def test_numbered_pickings_of_one_day_are_two(ask):
    header = f"{HARVEST},picking"
    assert ask("G01,1,2024-07-01,4,3.2,1", "G01,1,2024-07-01,4,3.9,2", header=header, notes=True) == []


def test_a_copied_work_day_is_noted_as_well(ask):
    row = "G01,2024-07-01,weeding,4,8"
    header = "site,date,activity,volunteers,hours"
    assert ask(row, row, header=header, notes=True) == [(3, "row-repeated", "note")]


@pytest.mark.parametrize(
    ("note", "check"),
    [
        ("call 785-555-0142", ["note-kept-private"]),
        ("ask wren@example.org", ["note-kept-private"]),
        ("shed at 412 Elm Street", ["note-kept-private"]),
        ("picked 12 of 40 in row 3", []),
    ],
)
def test_a_note_with_a_way_to_reach_somebody_is_kept_private(ask, note, check):
    found = ask(f"G01,1,2024-07-01,4,3.2,{note}", header=f"{HARVEST},note", notes=True)
    assert [name for _, name, _ in found] == check


@pytest.mark.parametrize(("kind", "expected"), [("school", ["note-kept-private"]), ("park", [])])
def test_two_names_in_a_note_of_a_school_are_kept_private(network, asked, kind, expected):
    context = network()
    gardens = context.gardens.with_columns(kind=pl.lit(kind))
    sent = "site,date,activity,volunteers,hours,note\nG01,2024-07-01,weeding,4,8,with Tomi Alder\n"
    found = asked(replace(context, gardens=gardens), sent, notes=True)
    assert [name for _, name, _ in found] == expected


def test_letters_that_came_out_odd_are_told_once_a_file(ask):
    found = ask(
        "G01,1,2024-07-01,4,3.2,maÃ±ana",
        "G01,2,2024-07-01,4,3.2,maÃ±ana",
        header=f"{HARVEST},note",
        notes=True,
    )
    assert found == [(2, "letters-garbled", "note")]


@pytest.mark.parametrize(
    ("shares", "expected"),
    [
        (("0.2", "0.5", "0.1"), [(2, "percent-as-share", "question")]),
        (("1", "1", "1"), []),
        (("0.2", "0.5", "12"), []),
        (("0.2", "0.5"), []),
    ],
)
def test_percentages_of_one_or_less_may_be_parts_of_one(ask, shares, expected):
    rows = [f"G01,{at},2024-07-01,{share}" for at, share in enumerate(shares, start=1)]
    assert ask(*rows, header="site,plot,date,severity") == expected


def test_a_percentage_over_a_hundred_is_held(ask):
    found = ask("G01,1,2024-07-01,101", "G01,2,2024-07-01,100", header="site,plot,date,severity")
    assert found == [(2, "percent-over-hundred", "held")]


PLOT_NAMES = "G01,graft,3,1-2,own-root\nG02,graft,3,Z7,own-root\n"


@pytest.mark.parametrize(
    ("plot", "check"),
    [
        ("2-Jan", "plot-turned-date"),
        ("1/2/2024", "plot-turned-date"),
        ("2024-01-02", "plot-turned-date"),
        ("3-Jan", "plot-unknown"),
        ("Z7", "plot-of-other-garden"),
        ("Z8", "plot-unknown"),
    ],
)
def test_a_plot_that_is_not_the_garden_s_is_held_with_what_was_likely_meant(network, asked, plot, check):
    context = network(more={"plots.csv": PLOT_NAMES})
    found = asked(context, sheet(f"G01,{plot},2024-07-01,4,3.2", *SOUND[1:]))
    assert found == [(2, check, "held")]


def test_most_plots_of_a_file_in_another_garden_are_no_slip_of_single_rows(network, asked):
    context = network(more={"plots.csv": PLOT_NAMES})
    found = asked(context, sheet("G01,Z7,2024-07-01,4,3.2", "G01,Z7,2024-07-08,4,3.2"))
    assert [check for _, check, _ in found] == ["plot-unknown", "plot-unknown"]


def test_two_plots_of_one_loose_name_are_told_apart(network, judged):
    context = network(more={"plots.csv": "G01,graft,3,1-2,own-root\nG01,graft,3,12,grafted\n"})
    rows = judged(context, sheet("G01,1-2,2024-07-01,4,3.2", "G01,12,2024-07-01,4,3.2")).rows["harvest"]
    assert rows["plot"].to_list() == ["1-2", "12"]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("", []),
        ("mature", []),
        ("Maduro", []),
        ("glassy", [(2, "stage-unread", "question")]),
        # Eggplant does not turn from green to a colour: a colour says nothing of its stage.
        ("red", [(2, "stage-unread", "question")]),
    ],
)
def test_a_stage_that_we_do_not_know_is_asked_about(ask, text, expected):
    row = "G01,1,2024-07-01,4,3.2,"
    assert ask(row + text, "G01,2,2024-07-01,4,3.2," + text, header=f"{HARVEST},stage") == expected


# The colours of the US standard for grades of fresh tomatoes, 7 CFR 51.1860.
@pytest.mark.parametrize(
    ("colour", "stage"),
    [
        ("Green", "mature"),
        ("Breakers", "ripe"),
        ("Turning", "ripe"),
        ("Pink", "ripe"),
        ("Light red", "ripe"),
        ("Red", "ripe"),
    ],
)
def test_tomato_stages_are_read_from_their_colours(network, judged, colour, stage):
    context = network("tomato-slicing")
    rows = judged(context, sheet(f"G01,1,2024-07-01,4,1.5,{colour}", header=f"{HARVEST},stage")).rows
    assert rows["harvest"]["stage_read"].to_list() == [stage]


CULLS = "site,plot,date,good fruits,culls,weight (lb)"


@pytest.mark.parametrize(
    ("first", "second", "expected"),
    [
        ("2,22", "10,1", [(2, "culls-many", "question")]),
        # 80 % of the fruits is the limit; and where the other plots had many culls too, it was a bad day.
        ("5,20", "10,1", []),
        ("2,22", "5,8", []),
        ("1,9", "10,1", []),
    ],
)
def test_many_culls_in_one_plot_of_a_good_day_are_asked_about(ask, first, second, expected):
    rows = f"G01,1,2024-07-01,{first},", f"G01,2,2024-07-01,{second},"
    found = [case for case in ask(*rows, header=CULLS) if case[1] == "culls-many"]
    assert found == expected


def test_switched_columns_are_one_question_for_the_file(ask):
    picked = [(12, 5), (14, 6), (9, 4), (16, 7)]
    sound = [f"G01,{plot},2024-07-01,{count},{pounds}" for plot, (count, pounds) in enumerate(picked, 1)]
    turned = [f"G01,{plot},2024-07-01,{pounds},{count}" for plot, (count, pounds) in enumerate(picked, 1)]
    assert ask(*sound) == []
    assert ask(*turned) == [(2, "columns-swapped", "question")]
    # In one row of four it is that row that is odd.
    assert ask(turned[0], *sound[1:]) == [(2, "decimal-slip", "question")]


def test_a_kitchen_scale_s_point_may_stand_for_ounces(ask):
    rows = [f"G01,{plot},2024-07-01,4,2 lb {plot} oz" for plot in range(1, 5)]
    assert ask(*rows, "G01,1,2024-07-08,4,2.6") == [(6, "pounds-ounces-point", "question")]
    assert ask(*rows, "G01,1,2024-07-08,4,2.16") == []
    assert ask("G01,1,2024-07-08,4,2.6", *SOUND) == []


@pytest.mark.parametrize(
    ("hours", "volunteers", "expected"),
    [
        ("10", "5", []),
        ("14", "1", []),
        ("15", "1", [(2, "hours-per-volunteer-high", "question")]),
        ("24", "1", [(2, "hours-per-volunteer-high", "question")]),
        ("25", "1", [(2, "hours-per-volunteer-impossible", "held")]),
        ("6", "", [(2, "hours-without-volunteers", "question")]),
        ("0", "5", [(2, "hours-without-volunteers", "question")]),
        ("0", "0", []),
    ],
)
def test_hours_are_those_of_everyone_added_up(ask, hours, volunteers, expected):
    header = "site,date,activity,hours,volunteers"
    assert ask(f"G01,2024-07-01,weeding,{hours},{volunteers}", header=header) == expected


def test_hours_that_never_grow_with_the_volunteers_may_be_one_person_s(ask):
    header = "site,date,activity,hours,volunteers"
    alone = [
        f"G01,2024-07-{day:02},weeding,2,{people}" for day, people in enumerate((5, 6, 9, 12, 7), start=1)
    ]
    assert ask(*alone, header=header) == [(2, "hours-look-per-person", "question")]
    assert ask(*alone[:4], header=header) == []
    assert ask(*alone, "G01,2024-07-20,weeding,18,9", header=header) == []


@pytest.mark.parametrize(
    ("contacts", "expected"), [("500", []), ("501", ["contacts-large"]), ("2024", ["contacts-large"])]
)
def test_many_contacts_on_one_day_are_asked_about(ask, contacts, expected):
    header = "site,date,activity,contacts,volunteers"
    assert [name for _, name, _ in ask(f"G01,2024-07-01,fair,{contacts},4", header=header)] == expected


@pytest.mark.parametrize(("kg", "expected"), [("500", []), ("501", ["donated-over-picked"])])
def test_much_donated_food_is_asked_about(ask, kg, expected):
    header = "site,date,activity,donated (kg)"
    assert [name for _, name, _ in ask(f"G01,2024-07-01,fair,{kg}", header=header)] == expected


@pytest.mark.parametrize(
    ("cells", "expected"),
    [
        ("6.5,3,40,40,20,80,200", []),
        ("1.9,,,,,,", [(2, "soil-ph-impossible", "held")]),
        ("65,,,,,,", [(2, "soil-ph-impossible", "held")]),
        ("4.4,,,,,,", [(2, "soil-ph-unusual", "question")]),
        ("4.5,,,,,,", []),
        ("8.5,,,,,,", []),
        ("8.6,,,,,,", [(2, "soil-ph-unusual", "question")]),
        (",26,,,,,", [(2, "soil-organic-high", "question")]),
        (",25,,,,,", []),
        (",101,,,,,", [(2, "percent-over-hundred", "held")]),
        (",,40,40,21,,", []),
        (",,40,40,24,,", [(2, "soil-parts-near", "note")]),
        (",,40,40,26,,", [(2, "soil-parts-sum", "held")]),
        (",,40,40,,,", []),
        (",,,,,1001,", [(2, "soil-nutrient-high", "question")]),
        (",,,,,,3001", [(2, "soil-nutrient-high", "question")]),
    ],
)
def test_soil_tests_are_held_against_what_soil_can_be(ask, cells, expected):
    header = "site,date,bed,ph,organic matter,sand,silt,clay,p_ppm,k_ppm"
    assert ask(f"G01,2024-04-01,A,{cells}", header=header, notes=True) == expected
