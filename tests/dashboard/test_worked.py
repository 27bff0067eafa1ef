"""What was worked out of a snapshot is made once for all who may see the same, and anew for a new one."""

from dashboard import worked
from dashboard.access.account import Account
from dashboard.worked import Shelf, Worked

LEAD, OTHER_LEAD = Account("Ada", "lead", (), 1), Account("Uma", "lead", (), 2)
VOLUNTEER = Account("Rosa", "volunteer", ("G01",), 3)


def counted(results: Worked, key: str, made: list[str]) -> str:
    def work() -> str:
        made.append(key)
        return f"{key} {len(made)}"

    return results.once(key, work)


def test_the_same_work_is_done_once():
    results, made = Worked(), []
    assert [counted(results, key, made) for key in ("a", "b", "a")] == ["a 1", "b 2", "a 1"]


def test_work_may_rest_on_other_work():
    results = Worked()
    assert results.once("sum", lambda: results.once("one", lambda: 1) + 1) == 2


def test_what_was_asked_for_least_lately_is_given_up_first(monkeypatch):
    monkeypatch.setattr(worked, "_MOST_RESULTS", 2)
    results, made = Worked(), []
    for key in ("a", "b", "a", "c", "a", "b"):
        counted(results, key, made)
    assert made == ["a", "b", "c", "b"]


def test_readers_of_the_same_rights_share_what_was_made_and_others_do_not():
    shelf = Shelf()
    assert shelf.of(1, LEAD) is shelf.of(1, OTHER_LEAD)
    assert shelf.of(1, LEAD) is not shelf.of(1, VOLUNTEER)


def test_nothing_of_an_older_snapshot_is_given_for_a_newer_one():
    shelf = Shelf()
    older = shelf.of(1, LEAD)
    assert shelf.of(2, LEAD) is not older


def test_what_rests_on_the_store_is_made_anew_after_a_decision_and_the_old_is_given_up():
    results, made = Worked(), []
    for mark in (1, 1, 2, 1):
        counted(results.by(mark), "waits", made)
    assert made == ["waits"] * 3


def test_work_on_the_store_may_rest_on_the_snapshot_and_the_other_way_round():
    results = Worked()
    assert results.by(1).once("sum", lambda: results.once("one", lambda: 1) + 1) == 2
    assert results.once("more", lambda: results.by(1).once("sum", lambda: 0) + 1) == 3


def test_what_is_worked_out_of_all_rows_is_shared_by_all_readers_until_the_next_snapshot():
    shelf = Shelf()
    of_all = shelf.of_all(1)
    shelf.of(1, VOLUNTEER)
    assert shelf.of_all(1) is of_all
    assert shelf.of_all(2) is not of_all
