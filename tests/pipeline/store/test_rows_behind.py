"""The rows behind a question: the row itself, whatever became of it, and its garden's."""

import pytest
import sqlalchemy as sa

from pipeline.store.read import read_frame
from pipeline.store.rows_behind import garden_rows, row_as_kept, rows_around
from pipeline.store.tables import decisions, rows_of

GOOD = ("1 07-01 1.0", "2 07-01 2.0")


def around(nights, row_id, site, run):
    with nights.engine.connect() as connection:
        return rows_around(connection, "harvest", row_id, site, run)


def test_a_row_is_found_among_those_of_its_garden_as_the_run_left_them(nights):
    nights.night(*GOOD)
    row_id = nights.row("1 07-01")
    with nights.engine.connect() as connection:
        expected = garden_rows(connection, "harvest", "G01", None, 1)
    found = around(nights, row_id, "G01", 1)
    assert list(found[0]) == list(expected.columns)
    assert [row["row_id"] for row in found] == expected["row_id"].tolist()


def test_a_row_is_found_after_another_took_its_place(nights):
    nights.night(*GOOD)
    replaced = nights.row("1 07-01")
    nights.night("1 07-01 1.4", GOOD[1])
    weights = [row["marketable_weight"] for row in around(nights, replaced, "G01", 2) if row["plot"] == "1"]
    assert weights == pytest.approx([1.0, 1.4])


def test_a_row_of_a_garden_that_is_not_known_stands_alone(nights):
    nights.night(*GOOD)
    row_id = nights.row("2 07-01")
    assert [row["row_id"] for row in around(nights, row_id, None, 1)] == [row_id]


def test_of_a_row_that_is_not_there_only_the_garden_is_found(nights):
    nights.night(*GOOD)
    assert len(around(nights, 9_999, "G01", 1)) == 2
    assert around(nights, 9_999, None, 1) == []


def test_what_is_read_has_the_kinds_of_the_schema_with_rows_and_without(nights):
    nights.night(*GOOD)
    with nights.engine.connect() as connection:
        row = row_as_kept(connection, "harvest", nights.row("1 07-01"))
        none = row_as_kept(connection, "harvest", 9_999)
        never = read_frame(connection, sa.select(decisions))
    assert (len(row), len(none), len(never)) == (1, 0, 0)
    assert row.dtypes.tolist() == none.dtypes.tolist()
    kinds = {name: str(kind) for name, kind in none.dtypes.items()}
    assert kinds["row_id"] == "Int64"
    assert kinds["marketable_weight"] == "float64"
    assert kinds["date"] == kinds["received"] == "datetime64[us]"
    assert kinds["plot"] == "str"
    assert list(never.columns) == [column.name for column in decisions.columns]


def test_a_blank_cell_is_missing_in_every_kind(nights):
    nights.night("G01,1,2024-07-01,,,")
    with nights.engine.connect() as connection:
        rows = read_frame(connection, sa.select(rows_of["harvest"]))
    assert rows[["marketable_weight", "marketable_count", "left", "origin", "note"]].isna().all(axis=None)
