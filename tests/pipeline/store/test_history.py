"""What new rows mean for rows that are kept: new, revised, unchanged or held."""

from datetime import date

import polars as pl
import pytest

from pipeline.intake.sheets import sheets
from pipeline.store.history import decide, with_keys

HARVEST = sheets()["harvest"]


def row(plot="1", day=date(2024, 7, 1), weight=2.0, line=2, *, picking=None, is_held=False, note=None):
    values = dict.fromkeys(HARVEST.column_names)
    given = {
        "site": "G01",
        "plot": plot,
        "date": day,
        "picking": picking,
        "marketable_weight": weight,
        "note": note,
    }
    return values | given | {"season": "2024", "file": 0, "line": line, "is_held": is_held}


SCHEMA = {
    column.name: pl.Float64 if column.kind in ("count", "weight") else pl.String for column in HARVEST.columns
}
SCHEMA |= {"date": pl.Date, "season": pl.String, "file": pl.Int64, "line": pl.Int64, "is_held": pl.Boolean}


def batch(*rows):
    return with_keys(HARVEST, pl.DataFrame(list(rows), schema=SCHEMA))


def kept(*rows):
    return batch(*rows).with_row_index("row_id", offset=1)


NOTHING = kept()


def counts(decision):
    return decision.new, decision.revised, decision.unchanged, decision.held


def test_rows_that_nobody_sent_before_are_new():
    decision = decide(HARVEST, batch(row("1"), row("2")), NOTHING)
    assert counts(decision) == (2, 0, 0, 0)
    assert decision.entered["plot"].to_list() == ["1", "2"]


def test_equal_rows_are_left_alone():
    decision = decide(HARVEST, batch(row("1")), kept(row("1")))
    assert counts(decision) == (0, 0, 1, 0)
    assert decision.entered.is_empty()


def test_a_changed_value_takes_the_place_of_the_old_one():
    decision = decide(HARVEST, batch(row("1", weight=3.0)), kept(row("1", weight=2.0)))
    assert counts(decision) == (0, 1, 0, 0)
    assert decision.left == [1]


def test_a_value_that_turns_blank_is_a_change():
    decision = decide(HARVEST, batch(row("1", weight=None)), kept(row("1", weight=2.0)))
    assert decision.revised == 1


def test_a_changed_note_is_a_change():
    assert decide(HARVEST, batch(row(note="hot")), kept(row(note="cold"))).revised == 1


def test_a_row_on_hold_is_kept_and_replaces_nothing():
    decision = decide(HARVEST, batch(row("1", weight=9.0, is_held=True)), kept(row("1", weight=2.0)))
    assert counts(decision) == (0, 0, 0, 1)
    assert decision.left == []
    assert decision.entered["is_held"].to_list() == [True]


def test_a_row_missing_from_a_later_file_is_no_deletion():
    decision = decide(HARVEST, batch(row("2")), kept(row("1")))
    assert decision.left == []


@pytest.mark.parametrize("picking", [None, 1.0])
def test_the_first_picking_of_a_day_needs_no_number(picking):
    assert decide(HARVEST, batch(row(picking=picking)), kept(row(picking=1.0), row(picking=2.0))).new == 0


def test_of_equal_keys_in_one_batch_the_later_file_counts():
    first, second = row(weight=2.0, line=2), row(weight=2.5, line=3) | {"file": 1}
    decision = decide(HARVEST, batch(first, second), NOTHING)
    assert decision.entered["marketable_weight"].to_list() == [2.5]
    assert counts(decision) == (1, 0, 1, 0)


def test_every_row_read_is_counted_once():
    decision = decide(
        HARVEST,
        batch(row("1"), row("1", line=3), row("2", is_held=True), row("3")),
        kept(row("3", weight=1.0)),
    )
    assert sum(counts(decision)) == 4
