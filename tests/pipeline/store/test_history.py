"""What new rows mean for rows that are kept, one rule at a time."""

from datetime import date

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.intake.sheets import sheets
from pipeline.store.history import decide, with_keys
from pipeline.store.kept import Kept

HARVEST = sheets()["harvest"]
SCHEMA = {
    column.name: pl.Float64 if column.kind in ("count", "weight") else pl.String for column in HARVEST.columns
}
SCHEMA |= {"date": pl.Date, "season": pl.String, "file": pl.UInt32, "line": pl.UInt32, "is_held": pl.Boolean}
SCHEMA |= {"row": pl.UInt32, "sender": pl.String, "sent": pl.String, "sheet_id": pl.Int64}
CHAIN = 7


def row(plot="1", day=date(2024, 7, 1), weight=2.0, *, sender="garden G01", **more):
    values = dict.fromkeys(SCHEMA)
    given = {
        "site": "G01",
        "plot": plot,
        "date": day,
        "marketable_weight": weight,
        "season": "2024",
        "sender": sender,
    }
    return values | given | {"file": 0, "is_held": False, "sheet_id": 99, "sent": f"{plot} {weight}"} | more


def batch(*rows):
    numbered = [each | {"row": at, "line": at + 2} for at, each in enumerate(rows)]
    return with_keys(HARVEST, pl.DataFrame(numbered, schema=SCHEMA))


def kept(*rows, state="counts"):
    """Return rows kept from one earlier file, whose chain they are."""
    frame = batch(*rows).with_columns(
        pl.int_range(100, 100 + len(rows), dtype=pl.Int64).alias("row_id"),
        pl.lit(state).alias("state"),
        pl.lit(CHAIN, pl.Int64).alias("chain"),
        pl.lit(1, pl.Int64).alias("sheet_id"),
        pl.col("line").cast(pl.Int64),
        pl.lit(value=False).alias("is_decided"),
    )
    heads = frame.select("site", "chain", "key").drop_nulls()
    return Kept(
        frame.select(
            "row_id",
            "state",
            "key",
            "site",
            "sheet_id",
            "line",
            "sender",
            "sent",
            "chain",
            "is_decided",
            *[name for name in HARVEST.column_names if name != "site"],
        ),
        heads,
        frame.select("sheet_id", "chain").unique(),
    )


def decided(new, before=None):
    return decide(HARVEST, new.with_columns(pl.col("line").cast(pl.Int64)), before or kept())


def counts(decision):
    return decision.new, decision.revised, decision.unchanged, decision.held


def test_rows_that_nobody_sent_before_are_new():
    decision = decided(batch(row("1"), row("2")))
    assert counts(decision) == (2, 0, 0, 0)
    assert decision.entered["state"].to_list() == ["counts", "counts"]


def test_equal_rows_are_left_alone():
    decision = decided(batch(row("1")), kept(row("1")))
    assert counts(decision) == (0, 0, 1, 0)
    assert decision.entered.is_empty()


@pytest.mark.parametrize(
    "change", [{"marketable_weight": 3.0}, {"marketable_weight": None}, {"note": "hot"}, {"cull_count": 0.0}]
)
def test_any_changed_cell_is_a_change(change):
    decision = decided(batch(row("1", **change)), kept(row("1")))
    assert counts(decision) == (0, 1, 0, 0)
    assert decision.left["row_id"].to_list() == [100]


def test_a_copy_of_a_row_in_one_file_is_the_row_itself():
    assert counts(decided(batch(row("1"), row("1")))) == (1, 0, 1, 0)


def test_a_row_on_hold_takes_nothing_s_place():
    decision = decided(batch(row("1", weight=90.0, is_held=True)), kept(row("1")))
    assert counts(decision) == (0, 0, 0, 1)
    assert decision.left.is_empty()


def test_a_row_that_cannot_be_placed_is_held():
    assert counts(decided(batch(row(plot=None)))) == (0, 0, 0, 1)


@pytest.mark.parametrize("picking", [None, 1.0])
def test_the_first_picking_of_a_day_needs_no_number(picking):
    assert decided(batch(row(picking=picking)), kept(row(picking=1.0), row(picking=2.0))).new == 0


def test_half_of_the_keys_continue_a_file_and_fewer_do_not():
    before = kept(row("1"), row("2"), row("3"), row("4"))
    assert decided(batch(row("1"), row("2")), before).parts["chain"].to_list() == [CHAIN]
    assert decided(batch(row("1"), row("9")), before).parts["chain"].to_list() == [None]


def test_another_sender_s_value_waits_unless_the_file_continues():
    before = kept(row("1"), row("2"), row("3"))
    other = row("1", weight=5.0, sender="garden G02")
    assert decided(batch(other), before).entered["state"].to_list() == ["waits"]
    continuing = decided(batch(other, row("2", sender="garden G02")), before)
    assert continuing.entered["state"].to_list() == ["counts"]
    assert continuing.left["why"].to_list() == ["revised"]


@given(
    st.lists(st.tuples(st.sampled_from("1234"), st.integers(0, 3), st.booleans()), max_size=8),
    st.lists(
        st.tuples(st.sampled_from("1234"), st.integers(0, 3)), max_size=6, unique_by=lambda pair: pair[0]
    ),
)
def test_every_row_read_is_counted_once(new, before):
    rows = batch(*(row(plot, weight=float(weight), is_held=is_held) for plot, weight, is_held in new))
    decision = decided(rows, kept(*(row(plot, weight=float(weight)) for plot, weight in before)))
    assert sum(counts(decision)) == len(new)
    assert min(counts(decision)) >= 0


@given(
    st.lists(
        st.tuples(st.sampled_from("1234"), st.integers(0, 3)), max_size=6, unique_by=lambda pair: pair[0]
    )
)
def test_the_same_rows_again_change_nothing(rows):
    same = [row(plot, weight=float(weight)) for plot, weight in rows]
    decision = decided(batch(*same), kept(*same))
    assert (decision.entered.height, decision.left.height, decision.lacking.height) == (0, 0, 0)
