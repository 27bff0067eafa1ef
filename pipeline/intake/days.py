"""Days that are not written plainly: each distinct cell is read once for each order that files write in."""

from collections.abc import Sequence

import polars as pl

from pipeline.intake.dates import DateReading, Season, Settled, System, only_order, read_date, settled_order
from pipeline.intake.odd_cells import formula_trouble


def day_readings(cells: pl.DataFrame, network: str, seasons: Sequence[Season]) -> pl.DataFrame:
    """Return the readings of cells of a column of days: `at`, value, how, form, other, settled, turned.

    `cells` has `at`, `table`, `cell`, `is_1904` and `header_order`. The days of a file that can be read in
    one order only settle the others; else the order of the `network` does. `turned` is the order that such a
    day shows where it beats the network's. `seasons` are those in which the days of this sheet lie; empty
    where they may lie anywhere.
    """
    keys = ["cell", "order", "by", "is_1904"]
    ordered = _with_orders(cells, network, seasons)
    distinct = ordered.select(keys).unique(maintain_order=True)
    found = [_read(cell, order, by, is_1904, seasons) for cell, order, by, is_1904 in distinct.rows()]
    readings = distinct.with_columns(
        pl.Series("value", [one.value for _, one in found], pl.Date),
        pl.Series("how", [how for how, _ in found], pl.String),
        pl.Series("form", [one.form for _, one in found], pl.String),
        pl.Series("other", [one.other for _, one in found], pl.Date),
        pl.Series("settled", [one.settled for _, one in found], pl.String),
    )
    joined = ordered.join(readings, on=keys, how="left", nulls_equal=True, maintain_order="left")
    return joined.select("at", "value", "how", "form", "other", "settled", "turned")


def _with_orders(cells: pl.DataFrame, network: str, seasons: Sequence[Season]) -> pl.DataFrame:
    """Return the cells with the `order` of their table and what settles it (`by`), and the order they show.

    An order that the header spells out counts like a day that can be read in that order only.
    """
    distinct = cells["cell"].unique(maintain_order=True).to_list()
    only = {cell: order for cell in distinct if (order := only_order(cell, seasons)) is not None}
    known = cells.with_columns(
        pl.col("cell").replace_strict(only, default=None, return_dtype=pl.String).alias("only")
        if only
        else pl.lit(None, pl.String).alias("only")
    )
    shown: dict[int, set[str]] = {}
    for table, *orders in known.select("table", "only", "header_order").unique().rows():
        shown.setdefault(table, set()).update(order for order in orders if order is not None)
    settled = {table: settled_order(network, orders) for table, orders in shown.items()}
    if len(set(settled.values())) == 1:
        in_order, by = (pl.lit(part, pl.String) for part in next(iter(settled.values())))
    else:
        in_order, by = (
            pl.col("table").replace_strict({t: of[part] for t, of in settled.items()}, return_dtype=pl.String)
            for part in (0, 1)
        )
    return known.with_columns(
        in_order.alias("order"),
        by.alias("by"),
        pl.when((by == "file") & (pl.col("only") == in_order)).then("only").alias("turned"),
    )


def _read(
    cell: str, order: str, by: Settled, is_1904: bool | None, seasons: Sequence[Season]
) -> tuple[str, DateReading]:
    """Return how a cell was read, and the day in it."""
    trouble = formula_trouble(cell)
    if trouble is not None:
        return trouble, DateReading(None, "unreadable")
    system: System | None = None if is_1904 is None else "1904" if is_1904 else "1900"
    found = read_date(cell, order, seasons, by, system)
    return found.how, found
