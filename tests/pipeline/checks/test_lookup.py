"""Looking things up for every row: what is missing leads nowhere, and the order of rows is kept."""

import polars as pl

from pipeline.checks.lookup import in_runs, looked_up, looked_up_at, looked_up_by_number, where_known


def rows_of(numbers):
    return pl.DataFrame({"at": pl.Series(numbers, dtype=pl.UInt32)})


def table_of(names):
    return pl.DataFrame({"at": pl.Series(list(names), dtype=pl.UInt32), "name": list(names.values())})


def test_a_number_leads_to_its_row_of_the_table_and_no_other_number_leads_anywhere():
    found = looked_up_by_number(rows_of([7, None, 2, 9, 7]), table_of({2: "two", 7: "seven"}), "at")
    assert found["name"].to_list() == ["seven", None, "two", None, "seven"]


def test_a_row_of_the_table_without_a_number_is_found_by_nobody():
    found = looked_up_by_number(rows_of([2, None]), table_of({2: "two", None: "nobody"}), "at")
    assert found["name"].to_list() == ["two", None]


def test_a_number_leads_where_a_join_leads():
    rows, table = rows_of([3, 1, None, 0, 3]), table_of({3: "c", 0: "a", 2: "b"})
    joined = rows.join(table, on="at", how="left", maintain_order="left")
    assert looked_up_by_number(rows, table, "at").equals(joined)
    assert looked_up(rows, table, ["at"]).equals(joined)


def test_a_place_leads_to_that_row_of_the_table():
    table = pl.DataFrame({"name": ["a", "b", "c"]})
    assert looked_up_at(rows_of([2, None, 0]), table, "at")["name"].to_list() == ["c", None, "a"]


def test_groups_that_stand_together_are_numbered_as_they_come():
    assert in_runs(pl.Series([5, 5, 2, 9, 9])).to_list() == [1, 1, 2, 3, 3]


def test_groups_that_are_scattered_keep_their_numbers():
    assert in_runs(pl.Series([5, 2, 5])).to_list() == [5, 2, 5]


def test_rows_without_a_value_are_left_out():
    assert where_known(rows_of([4, None, 1]), "at")["at"].to_list() == [4, 1]
