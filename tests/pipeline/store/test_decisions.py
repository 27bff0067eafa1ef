"""A decision holds until the garden sends something else, and can be undone."""

import pytest

from pipeline.store.decisions import Asked, record
from pipeline.store.standing import store_mark
from pipeline.store.timeline import file_timeline, row_timeline
from sites.errors import InputError

GOOD = ("1 07-01 1.0", "2 07-01 2.0")
#: 4 eggplants of 40 kg would weigh 10 kg each; as pounds or ounces none is usual either, so it is held.
HELD = "G01,1,2024-07-08,40,4,"


def test_a_held_row_counts_once_somebody_says_to_use_it(nights):
    nights.night(*GOOD, HELD)
    assert (nights.total(), len(nights.asked())) == (pytest.approx(1.0), 1)
    nights.decide("use it", "1 07-08", why="a very big one")
    nights.night()
    assert (nights.total(), nights.asked()) == (pytest.approx(41.0), [])


def test_the_decision_holds_when_the_same_row_is_sent_again(nights):
    nights.night(*GOOD, HELD)
    nights.decide("use it", "1 07-08")
    nights.night(*GOOD, HELD, "1 07-15 1.0")
    assert (nights.total(), nights.asked()) == (pytest.approx(42.0), [])


def test_the_decision_ends_when_the_garden_sends_another_value(nights):
    nights.night(*GOOD, HELD)
    nights.decide("use it", "1 07-08")
    nights.night()
    nights.night(*GOOD, "G01,1,2024-07-08,1.4,4,")
    assert (nights.total(), nights.asked()) == (pytest.approx(2.4), [])


def test_a_row_set_aside_stays_so_when_it_is_sent_again(nights):
    nights.night(*GOOD)
    nights.decide("set aside", "1 07-01", why="two plots in one bag")
    nights.night(*GOOD, "1 07-08 1.5")
    assert nights.total() == pytest.approx(1.5)


def test_a_row_set_aside_counts_again_with_a_new_value(nights):
    nights.night(*GOOD)
    nights.decide("set aside", "1 07-01")
    nights.night()
    nights.night("1 07-01 0.9", GOOD[1])
    assert nights.total() == pytest.approx(0.9)


def test_a_changed_value_holds_against_the_old_one_sent_again(nights):
    nights.night(*GOOD)
    nights.decide("change it", "1 07-01", column="marketable_weight", value="2 lb")
    nights.night(*GOOD, "1 07-08 1.5")
    assert nights.total() == pytest.approx(2 * 0.45359237 + 1.5)


def test_a_change_can_give_a_row_its_plot(nights):
    nights.night(*GOOD, "9 07-08 1.5")
    nights.decide("change it", "9 07-08", column="plot", value="1")
    nights.night()
    assert (nights.total(), nights.asked()) == (pytest.approx(2.5), [])
    nights.night(*GOOD, "9 07-08 1.5", "2 07-08 1.0")
    assert (nights.total(), nights.asked()) == (pytest.approx(2.5), [])


#: Answers about one picking that two people sent, 1.5 kg and then 1.8 kg, and what the plot gave by them.
OF_TWO = [
    ("keep the newer", {}, 1.8),
    ("keep the older", {}, 1.5),
    ("two pickings", {}, 3.3),
    ("use it", {}, 1.8),
    ("change it", {"column": "marketable_weight", "value": "1.7 kg"}, 1.7),
    ("change it", {"column": "date", "value": "2024-07-09"}, 3.3),
]


def sent_by_two(nights):
    nights.night("2 06-24 1.0", "2 07-01 1.0", "1 07-08 1.5", sender="", name="ana.csv")
    nights.night("1 07-08 1.8", sender="", name="ben.csv")


@pytest.mark.parametrize(("answer", "more", "total"), OF_TWO)
def test_two_people_s_pickings_are_settled_by_an_answer(nights, answer, more, total):
    sent_by_two(nights)
    nights.decide(answer, "1 07-08", **more)
    nights.night()
    assert (nights.total(), nights.asked()) == (pytest.approx(total), [])
    nights.night("1 07-08 1.8", "1 07-15 1.0", sender="", name="ben.csv")
    assert (nights.total(), nights.asked()) == (pytest.approx(total + 1.0), [])


def test_a_lacking_row_can_be_taken_out(nights):
    nights.night(*GOOD, "1 07-08 1.5")
    nights.night(*GOOD)
    assert nights.asked() == ["rows-not-in-new-file"]
    nights.decide("set aside", "1 07-08")
    nights.night()
    assert (nights.total(), nights.asked()) == (pytest.approx(1.0), [])


def test_two_plots_swapped_in_the_record_trade_rows_from_a_day_on(nights):
    nights.night(*GOOD, "1 07-08 1.5", "2 07-08 2.5")
    nights.decide("swapped", site="G01", value="1 2 2024-07-05")
    nights.night()
    assert nights.total("1") == pytest.approx(1.0 + 2.5)
    assert nights.total("2") == pytest.approx(2.0 + 1.5)


@pytest.mark.parametrize(
    ("answer", "more"),
    [
        ("set aside", {}),
        ("change it", {"column": "marketable_weight", "value": "9"}),
        ("change it", {"column": "plot", "value": "3"}),
    ],
)
def test_a_decision_that_was_applied_can_be_undone(nights, answer, more):
    nights.night(*GOOD)
    decision = nights.decide(answer, "1 07-01", **more)
    nights.night()
    assert nights.total() != pytest.approx(1.0)
    nights.undo(decision)
    nights.night()
    assert nights.total() == pytest.approx(1.0)


@pytest.mark.parametrize(("answer", "more", "total"), OF_TWO)
def test_undoing_an_answer_about_two_people_s_pickings_lets_the_first_one_count_again(
    nights, answer, more, total
):
    sent_by_two(nights)
    before, asked = nights.total(), nights.asked()
    decision = nights.decide(answer, "1 07-08", **more)
    nights.night()
    assert nights.total() == pytest.approx(total)
    nights.undo(decision)
    nights.night()
    assert (nights.total(), nights.asked()) == (pytest.approx(before), asked)


def test_undoing_the_use_of_a_held_row_asks_about_it_again(nights):
    nights.night(*GOOD, HELD)
    asked = nights.asked()
    decision = nights.decide("use it", "1 07-08")
    nights.night()
    nights.undo(decision)
    nights.night()
    assert (nights.total(), nights.asked()) == (pytest.approx(1.0), asked)


def test_a_decision_undone_before_the_night_never_happens(nights):
    nights.night(*GOOD)
    nights.undo(nights.decide("set aside", "1 07-01"))
    nights.night("1 07-08 1.0")
    assert nights.total() == pytest.approx(2.0)


def test_a_decision_about_a_row_that_changed_meanwhile_is_refused(nights):
    nights.night(*GOOD)
    stale = Asked("set aside", "lead", row_id=nights.row("1 07-01"))
    nights.night("1 07-01 3.0", GOOD[1])
    with pytest.raises(InputError, match="changed since the page was opened"):
        record(nights.engine, stale, nights.workspace.now())


def test_a_decision_overtaken_by_a_new_value_is_spent(nights):
    nights.night(*GOOD)
    nights.decide("set aside", "1 07-01")
    nights.night("1 07-01 3.0", GOOD[1])
    assert nights.total() == pytest.approx(3.0)


def test_a_row_without_its_plot_cannot_just_be_used(nights):
    nights.night(*GOOD, "9 07-08 1.5")
    with pytest.raises(InputError, match="which plot and day"):
        nights.decide("use it", "9 07-08")


def test_undoing_twice_is_explained(nights):
    nights.night(*GOOD)
    decision = nights.decide("set aside", "1 07-01")
    nights.undo(decision)
    with pytest.raises(InputError, match="undone already"):
        nights.undo(decision)


def test_the_mark_of_the_store_changes_with_every_decision_undoing_and_night(nights):
    marks = []

    def look():
        with nights.engine.connect() as connection:
            marks.append(store_mark(connection))

    nights.night(*GOOD)
    look()
    first, second = (nights.decide("set aside", about) for about in ("1 07-01", "2 07-01"))
    look()
    for decision in (first, second):
        nights.undo(decision)
        look()
    nights.night()
    look()
    assert len(set(marks)) == len(marks)


def test_one_timeline_tells_who_did_what_to_a_row(nights):
    nights.night(*GOOD)
    nights.night("1 07-01 1.2", GOOD[1])
    nights.decide("change it", "1 07-01", column="marketable_weight", value="1.3", why="the scale")
    nights.night()
    with nights.engine.connect() as connection:
        told = row_timeline(connection, "harvest", nights.row("1 07-01"))
    assert told["marketable_weight"].tolist() == pytest.approx([1.0, 1.2, 1.3 * 0.45359237])
    assert told["who"].tolist() == ["garden G01", "garden G01", "lead"]
    assert told["left_why"].fillna("").tolist() == ["revised", "decided", ""]
    assert told["answer"].fillna("").tolist() == ["", "", "change it"]
    assert told["line"].tolist() == [2, 2, 2]


def test_one_timeline_tells_what_became_of_a_file(nights):
    nights.night(*GOOD, "9 07-08 1.5")
    with nights.engine.connect() as connection:
        (told,) = file_timeline(connection, 1)
    assert (told["verdict"], told["rows"], told["held"]) == ("taken in part", 3, 1)
    assert [row["state"] for row in told["entered"]] == ["counts", "counts", "held"]
    assert [asked["check"] for asked in told["asked"]] == ["plot-unknown"]
