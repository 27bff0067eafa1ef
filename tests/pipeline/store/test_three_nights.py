"""What a garden sends over three nights, and what its plots come to in the end.

The totals are worked out by hand from the rows that are sent; pickings are in kilograms.
"""

import pytest

from pipeline.nightly import run_night
from pipeline.store.tables import rows_of
from tests.pipeline.store.nights import HEADER

WEEK_1 = ("1 07-01 1.0", "2 07-01 2.0")
WEEK_2 = (*WEEK_1, "1 07-08 1.5", "2 07-08 2.5")
WEEK_3 = (*WEEK_2, "1 07-15 0.5", "2 07-15 0.7")


def test_the_whole_sheet_sent_again_each_week_counts_once(nights):
    nights.night(*WEEK_1)
    nights.night(*WEEK_2)
    counts = nights.night(*WEEK_3)
    assert nights.total() == pytest.approx(3.0)
    assert (counts.rows_new, counts.rows_unchanged) == (2, 4)
    assert nights.asked() == []


def test_only_the_new_pickings_of_each_week_add_up(nights):
    nights.night(*WEEK_1)
    nights.night(*WEEK_2[2:])
    nights.night(*WEEK_3[4:])
    assert nights.total() == pytest.approx(3.0)
    assert nights.asked() == []


def test_a_changed_weight_in_a_continuing_sheet_is_a_revision(nights):
    nights.night(*WEEK_2, sender="")
    counts = nights.night("1 07-01 1.2", *WEEK_2[1:], sender="")
    assert counts.rows_revised == 1
    assert nights.total() == pytest.approx(2.7)
    assert nights.noted() == ["value-revised"]
    nights.night("1 07-01 1.1", *WEEK_2[1:], sender="")
    assert nights.total() == pytest.approx(2.6)


def test_a_single_row_sent_by_the_same_garden_is_a_revision_too(nights):
    nights.night(*WEEK_3)
    assert nights.night("1 07-01 4.0").rows_revised == 1
    assert nights.total() == pytest.approx(6.0)


def test_an_unknown_sender_never_revises_outside_a_continuing_file(nights):
    nights.night(*WEEK_3)
    counts = nights.night("1 07-01 4.0", sender="")
    assert counts.rows_revised == 0
    assert nights.total() == pytest.approx(3.0)
    assert nights.asked() == ["picking-by-two-people"]


def test_two_people_with_two_weights_for_one_picking_wait_for_an_answer(nights):
    nights.night(*WEEK_2, sender="", name="ana.csv")
    nights.night("1 07-08 1.8", "1 07-22 3.0", sender="", name="ben.csv")
    assert nights.total() == pytest.approx(2.5 + 3.0)
    assert nights.asked() == ["picking-by-two-people"]
    nights.night("1 07-08 1.8", "1 07-22 3.0", "1 07-29 1.0", sender="", name="ben.csv")
    assert nights.total() == pytest.approx(2.5 + 3.0 + 1.0)
    assert nights.asked() == ["picking-by-two-people"]


def test_a_row_missing_from_a_continuing_sheet_goes_on_counting_and_is_asked_about(nights):
    nights.night(*WEEK_2)
    nights.night(*WEEK_2[:3])
    assert nights.total("2") == pytest.approx(4.5)
    assert nights.asked() == ["rows-not-in-new-file"]
    nights.night(*WEEK_3)
    assert nights.total("2") == pytest.approx(5.2)
    assert nights.asked() == []


def test_a_row_missing_from_a_file_that_continues_nothing_is_not_asked_about(nights):
    nights.night(*WEEK_3)
    nights.night("1 07-22 1.0")
    assert nights.asked() == []


def test_a_row_with_its_plot_put_right_takes_the_old_one_s_place(nights):
    nights.night("1 07-01 1.0", "1 07-08 1.5", "3 07-01 2.0", "2 07-08 2.5")
    nights.night("1 07-01 1.0", "1 07-08 1.5", "2 07-01 2.0", "2 07-08 2.5")
    assert nights.total("3") == 0
    assert nights.total("2") == pytest.approx(4.5)
    assert nights.asked() == []
    assert nights.noted() == ["row-mended"]


def test_a_row_with_its_day_put_right_takes_the_old_one_s_place(nights):
    nights.night("1 07-01 1.0", "1 07-08 1.5", "1 07-15 2.0")
    nights.night("1 07-01 1.0", "1 07-09 1.5", "1 07-15 2.0")
    assert nights.total() == pytest.approx(4.5)
    assert nights.asked() == []


def test_two_rows_that_could_both_be_the_mended_one_are_left_to_a_person(nights):
    nights.night("1 07-01 1.0", "1 07-08 1.5", "2 07-01 2.0", "2 07-08 2.0")
    nights.night("1 07-01 1.0", "1 07-08 1.5", "3 07-01 2.0", "2 07-09 2.0", "4 07-08 2.0")
    assert "rows-not-in-new-file" in nights.asked()


def test_an_empty_picking_is_never_taken_for_a_mended_one(nights):
    nights.night("1 07-01 0", "1 07-08 1.5", "1 07-15 2.0")
    nights.night("1 07-02 0", "1 07-08 1.5", "1 07-15 2.0")
    assert nights.asked() == ["rows-not-in-new-file"]


def test_a_held_row_comes_back_by_its_line(nights):
    nights.night(*WEEK_1, "G01x,1,2024-07-08,1.5,,", sender="")
    assert nights.asked() == ["site-unknown"]
    assert nights.total() == pytest.approx(1.0)
    nights.night(*WEEK_1, "1 07-08 1.5", sender="")
    assert nights.asked() == []
    assert nights.total() == pytest.approx(2.5)


def test_a_held_row_comes_back_by_its_key(nights):
    nights.night(*WEEK_1, "1 07-08 lots")
    assert nights.asked() == ["number-unreadable"]
    nights.night("1 07-08 1.5", name="just-this-one.csv")
    assert nights.asked() == []
    assert nights.total() == pytest.approx(2.5)


def test_a_held_row_comes_back_by_its_values(nights):
    nights.night(*WEEK_1, "9 07-08 1.5 hot")
    assert nights.asked() == ["plot-unknown"]
    nights.night("1 07-08 1.5 hot", name="just-this-one.csv")
    assert nights.asked() == []
    assert nights.total() == pytest.approx(2.5)


def test_a_held_row_sent_again_unmended_is_asked_about_once(nights):
    for week in (WEEK_1, WEEK_2, WEEK_3):
        nights.night("9 06-24 1.5", *week)
    assert nights.asked() == ["plot-unknown"]
    assert nights.total() == pytest.approx(3.0)


def test_a_held_row_that_changes_but_stays_held_is_asked_about_anew(nights):
    nights.night("9 06-24 1.5", *WEEK_1)
    nights.night("8 06-24 1.5", *WEEK_1)
    assert nights.asked() == ["plot-unknown"]


def test_rows_of_another_garden_wait(nights):
    nights.night(*WEEK_1, "G02,1,2024-07-01,5,,")
    assert nights.asked() == ["rows-of-other-garden"]
    assert nights.total(site="G02") == 0


def test_three_versions_in_one_night_count_as_over_three_nights(nights):
    folder = nights.workspace.inbox / "G01"
    folder.mkdir()
    for number, week in enumerate((WEEK_1, WEEK_2, (*WEEK_3[:4], "1 07-15 0.9", "2 07-15 0.7"))):
        (folder / f"{number}.csv").write_text("\n".join([HEADER, *map(nights.line, week), ""]))
    counts = run_night(nights.workspace).counts
    assert nights.total() == pytest.approx(1.0 + 1.5 + 0.9)
    assert (
        counts.rows_read == counts.rows_new + counts.rows_revised + counts.rows_unchanged + counts.rows_held
    )
    assert (counts.rows_new, counts.rows_unchanged) == (6, 6)


def test_the_older_values_of_a_row_stay_readable(nights):
    nights.night(*WEEK_1)
    nights.night("1 07-01 1.2", "2 07-01 2.0")
    nights.night("1 07-01 1.4", "2 07-01 2.0")
    table = rows_of["harvest"]
    with nights.engine.connect() as connection:
        rows = connection.execute(table.select().where(table.c.plot == "1").order_by(table.c.row_id)).all()
    assert [row.marketable_weight for row in rows] == [1.0, 1.2, 1.4]
    assert [row.successor for row in rows] == [rows[1].row_id, rows[2].row_id, None]
    assert [row.left_why for row in rows] == ["revised", "revised", None]


def test_an_equal_picking_of_another_day_does_not_take_a_held_rows_place(nights):
    held = "G01,9,2024-07-08,1.5,3,"
    nights.night(*WEEK_1, held)
    nights.night(*WEEK_1, held, "G01,1,2024-07-15,1.5,3,")
    assert nights.asked() == ["plot-unknown"]
    nights.night(*WEEK_1, "G01,1,2024-07-08,1.5,3,", "G01,1,2024-07-15,1.5,3,")
    assert nights.asked() == []
    assert nights.total() == pytest.approx(4.0)
