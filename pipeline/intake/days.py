"""Columns of days: each distinct cell is read once for each order in which files write their days."""

from collections.abc import Sequence

import polars as pl

from pipeline.intake.dates import DateReading, Season, Settled, System, only_order, read_date, settled_order

_ISO_DAY = r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$"


def with_days(frame: pl.DataFrame, name: str, order: str, seasons: Sequence[Season]) -> pl.DataFrame:
    """Return the rows with a column of days read, and how (`how_`, `form_`, `other_`, `settled_`), and the file's order.

    The days of a file that can be read in one order only settle the others; else the network's `order`
    does. `seasons` are those in which the days of this sheet lie; empty where they may lie anywhere.
    """
    sent = pl.col(f"sent_{name}")
    is_open = pl.col(f"how_{name}").is_null() & sent.is_not_null()
    plain = sent.str.to_date("%Y-%m-%d", strict=False)
    cells = frame.select(
        pl.int_range(pl.len(), dtype=pl.UInt32).alias("at"),
        "table",
        sent.alias("cell"),
        "is_1904",
        "header_order",
        (is_open & ~(sent.str.contains(_ISO_DAY) & plain.is_not_null())).alias("is_odd"),
    ).filter("is_odd")
    how = pl.coalesce(f"how_{name}", pl.when(sent.is_null()).then(pl.lit("blank")).otherwise(pl.lit("plain")))
    if cells.is_empty():
        return frame.with_columns(
            pl.when(is_open).then(plain).alias(name),
            how.alias(f"how_{name}"),
            pl.when(is_open).then(pl.lit("iso")).alias(f"form_{name}"),
            pl.lit(None, pl.Date).alias(f"other_{name}"),
            *(
                pl.lit(None, pl.String).alias(part)
                for part in (f"settled_{name}", "file_order", "usual_order")
            ),
            pl.lit(value=False).alias("is_order_mixed"),
        )
    read = _read_distinct(_with_orders(cells, order, seasons), seasons)
    joined = frame.with_row_index("at").join(read, on="at", how="left", maintain_order="left")
    is_odd = pl.col("form_how").is_not_null()
    return joined.with_columns(
        pl.when(is_odd).then("day").when(is_open).then(plain).alias(name),
        pl.coalesce("form_how", how).alias(f"how_{name}"),
        pl.when(is_odd).then("form").when(is_open).then(pl.lit("iso")).alias(f"form_{name}"),
        pl.col("other_day").alias(f"other_{name}"),
        pl.col("settled").alias(f"settled_{name}"),
        pl.col("turned").alias("file_order"),
        pl.when(pl.col("turned").is_not_null()).then(pl.lit(order)).alias("usual_order"),
        (pl.col("settled") == "nothing").fill_null(value=False).alias("is_order_mixed"),
    ).drop("at", "day", "form_how", "form", "other_day", "settled", "turned")


def _with_orders(cells: pl.DataFrame, network: str, seasons: Sequence[Season]) -> pl.DataFrame:
    """Return the cells with the `order` of their table, what settles it, and the `only` order of each cell.

    An order that the header spells out counts like a day that can be read in that order only.
    """
    distinct = cells.select("cell").unique(maintain_order=True)
    clear = distinct.with_columns(
        pl.Series("only", [only_order(cell, seasons) for cell in distinct["cell"]], pl.String)
    )
    known = cells.join(clear, on="cell", how="left", maintain_order="left")
    shown = known.group_by("table").agg(
        pl.concat([pl.col("only"), pl.col("header_order")]).drop_nulls().unique().alias("shown")
    )
    settled = {table: settled_order(network, orders) for table, orders in shown.rows()}
    return known.with_columns(
        pl.col("table")
        .replace_strict({t: o for t, (o, _) in settled.items()}, return_dtype=pl.String)
        .alias("order"),
        pl.col("table")
        .replace_strict({t: by for t, (_, by) in settled.items()}, return_dtype=pl.String)
        .alias("by"),
    ).with_columns(
        pl.when((pl.col("by") == "file") & (pl.col("only") == pl.col("order"))).then("order").alias("turned")
    )


def _read_distinct(cells: pl.DataFrame, seasons: Sequence[Season]) -> pl.DataFrame:
    keys = ["cell", "order", "by", "is_1904"]
    distinct = cells.select(keys).unique(maintain_order=True)
    found = [_read(cell, order, by, is_1904, seasons) for cell, order, by, is_1904 in distinct.rows()]
    readings = distinct.with_columns(
        pl.Series("day", [one.value for one in found], pl.Date),
        pl.Series("form_how", [one.how for one in found], pl.String),
        pl.Series("form", [one.form for one in found], pl.String),
        pl.Series("other_day", [one.other for one in found], pl.Date),
        pl.Series("settled", [one.settled for one in found], pl.String),
    )
    joined = cells.join(readings, on=keys, how="left", nulls_equal=True, maintain_order="left")
    return joined.select("at", "day", "form_how", "form", "other_day", "settled", "turned")


def _read(cell: str, order: str, by: Settled, is_1904: bool | None, seasons: Sequence[Season]) -> DateReading:
    system: System | None = None if is_1904 is None else "1904" if is_1904 else "1900"
    return read_date(cell, order, seasons, by, system)
