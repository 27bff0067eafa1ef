"""A weight against the garden's own rows: those of its file, of other files, and those kept.

Fruits weigh about 0.66 lb (300 g) in these gardens; bands are those of the crop table for eggplant.
"""

from datetime import date, timedelta

import polars as pl
import pytest

HEADER = "site,plot,date,good fruits,weight (lb)\n"
FIRST = date(2024, 6, 10)


def pickings(days=12, pounds=0.66, counted=True):
    """Return rows of four plots on weekly days; fruits differ by up to 6 %."""
    rows = []
    for day in range(days):
        for plot in range(1, 5):
            count = 3 + (plot + day) % 4
            weight = count * pounds * (1 + 0.03 * ((plot * 7 + day * 3) % 5 - 2))
            shown = str(count) if counted else ""
            rows.append([f"G01,{plot},{FIRST + timedelta(days=7 * day)}", shown, f"{weight:.2f}"])
    return rows


def text(rows):
    return HEADER + "".join(",".join(row) + "\n" for row in rows)


def kept_rows(rows):
    cells = [row[0].split(",") for row in rows]
    return pl.DataFrame(
        {
            "site": [cell[0] for cell in cells],
            "season": ["2024"] * len(rows),
            "plot": [cell[1] for cell in cells],
            "date": [date.fromisoformat(cell[2]) for cell in cells],
            "marketable_count": [float(row[1]) if row[1] else None for row in rows],
            "marketable_weight": [float(row[2]) * 0.45359237 for row in rows],
        }
    )


def test_even_pickings_are_left_alone(context, asked):
    assert asked(context, text(pickings())) == []


@pytest.mark.parametrize(
    ("factor", "check"),
    [
        # Kilograms typed under pounds: a fruit of 136 g is inside the crop's band, and far from the garden's.
        (0.45359237, "weight-unit-maybe"),
        # No unit is that much smaller than a pound.
        (2.20462262, "fruit-mass-unlike-own"),
        (16.0, "weight-unit-slip"),
        (10.0, "decimal-slip"),
        (0.1, "decimal-slip"),
        # 1.9 times is no slip of a unit; the garden's own fruits say that it is odd.
        (1.9, "fruit-mass-unlike-own"),
        (0.7, None),
        (1.3, None),
    ],
)
def test_a_slip_is_told_by_the_garden_s_own_fruits(context, asked, factor, check):
    rows = pickings()
    rows[17][2] = f"{float(rows[17][2]) * factor:.3f}"
    found = [case for _, case, _ in asked(context, text(rows)) if case != "weight-far-from-usual"]
    assert found == ([] if check is None else [check])


def test_rows_that_are_kept_say_what_is_usual_and_are_never_asked_about(network, asked):
    before, new = pickings()[:44], pickings()[44:]
    new[0][2] = f"{float(new[0][2]) * 0.45359237:.2f}"
    assert asked(network(), text(new)) == []
    context = network(kept_of=lambda _: {"harvest": kept_rows(before)})
    assert asked(context, text(new)) == [(2, "weight-unit-maybe", "question")]


def test_a_new_row_takes_the_place_of_the_one_that_is_kept(network, judged):
    rows = pickings()
    context = network(kept_of=lambda _: {"harvest": kept_rows(rows)})
    alone = judged(network(), text(rows)).rows["harvest"]["own_n_marketable_weight"]
    beside = judged(context, text(rows)).rows["harvest"]["own_n_marketable_weight"]
    assert beside.equals(alone)


def test_a_garden_that_slipped_in_all_rows_is_told_by_the_crop(context, asked):
    rows = [[row[0], row[1], f"{float(row[2]) * 16:.1f}"] for row in pickings()]
    found = asked(context, text(rows))
    assert {(check, level) for _, check, level in found} == {("weight-unit-slip", "held")}
    assert len(found) == len(rows)


@pytest.mark.parametrize(("factor", "expected"), [(16.0, ["weight-unit-maybe"]), (4.0, []), (1.0, [])])
def test_without_counts_a_weight_is_held_against_those_around_it(context, asked, factor, expected):
    rows = pickings(counted=False)
    rows[13][2] = f"{float(rows[13][2]) * factor:.2f}"
    found = [check for _, check, _ in asked(context, text(rows)) if check != "weight-far-from-usual"]
    assert found == expected


def test_a_picking_far_above_all_others_of_its_day_is_asked_about(context, asked):
    rows = pickings()
    rows[9][1], rows[9][2] = "300", "198.0"
    found = asked(context, text(rows))
    assert found == [(11, "weight-far-from-usual", "question")]


def test_a_proposed_reading_has_no_stray_digits(context, judged):
    # Ten times 0.57 is 5.7 for people and 5.699999999999999 for machines (IEEE 754 doubles).
    rows = pickings()
    rows[9][1:] = ["9", "0.57"]
    (finding,) = judged(context, text(rows)).findings.to_dicts()
    assert '"number":5.7,' in finding["details"]


def test_a_count_with_a_digit_too_many_is_told_from_a_weight(context, judged):
    rows = pickings()
    rows[9][1] += "0"
    found = judged(context, text(rows)).findings.to_dicts()
    assert [(row["check"], row["column"]) for row in found] == [("decimal-slip", "marketable_count")]


def test_all_plots_at_zero_between_days_of_fruit_is_asked_about_once(context, asked):
    rows = pickings()
    for at in (*range(8, 12), *range(24, 28)):
        rows[at][1:] = ["0", "0"]
    assert asked(context, text(rows)) == [(10, "zeros-for-blanks", "question")]


@pytest.mark.parametrize(("fruits", "expected"), [(1, []), (2, [(22, "zeros-for-blanks", "question")])])
def test_zeros_are_asked_about_where_all_plots_together_bear_enough(context, asked, fruits, expected):
    # Every other plot bears, so on two days of zeros 4 or 8 fruits were to be expected.
    # By Poisson's distribution none at all then has a chance of exp(-4) = 0.018 or exp(-8) = 0.0003.
    rows = [
        [row[0], *(("0", "0") if at % 2 else (f"{fruits}", f"{0.66 * fruits}"))]
        for at, row in enumerate(pickings())
    ]
    for day in (5, 8):
        for at in range(4 * day, 4 * day + 4):
            rows[at][1:] = ["0", "0"]
    assert [case for case in asked(context, text(rows)) if case[1] == "zeros-for-blanks"] == expected


def test_one_day_of_zeros_and_zeros_at_the_end_are_left_alone(context, asked):
    rows = pickings()
    for at in (*range(8, 12), *range(40, 48)):
        rows[at][1:] = ["0", "0"]
    assert asked(context, text(rows)) == []


@pytest.mark.parametrize(("length", "expected"), [(4, [(7, "copied-down", "question")]), (3, [])])
def test_a_value_copied_down_is_asked_about_at_its_first_row(context, asked, length, expected):
    rows = pickings()
    for at in range(5, 5 + length):
        rows[at][1:] = ["4", "2.71"]
    assert asked(context, text(rows)) == expected


def test_a_scale_that_rounds_to_half_a_pound_repeats_itself(context, asked):
    rows = [
        [row[0], row[1], f"{round(float(row[2]) / 1.5) * 1.5:.1f}"] for row in pickings(10, counted=False)
    ]
    assert [case for case in asked(context, text(rows)) if case[1] == "copied-down"] == []


def test_a_bucket_is_no_slip_of_single_rows(context, asked):
    rows = [[row[0], row[1], f"{float(row[2]) + 2.0:.2f}"] for row in pickings()]
    for at in range(0, len(rows), 3):
        rows[at][1:] = ["1", f"{0.66 + 2.0:.2f}"]
    assert {check for _, check, _ in asked(context, text(rows))} <= {"weight-far-from-usual"}
