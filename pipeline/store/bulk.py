"""Writing and reading many rows at once."""

from collections.abc import Iterable, Sequence
from typing import Any

import polars as pl
import sqlalchemy as sa

#: Rows handed to the driver at once.
_CHUNK = 20_000


def insert(connection: sa.Connection, table: sa.Table, rows: pl.DataFrame) -> None:
    """Insert the rows; the frame's columns are columns of the table.

    The statement is compiled once and run by the driver: binding row by row through the expression
    language takes four times as long (measured with a million rows).
    """
    if rows.is_empty():
        return
    # The compiled statement names columns in the order of the table, whatever order they are given in.
    columns = [column for column in table.columns if column.name in rows.columns]
    statement = str(sa.insert(table).values(dict.fromkeys(columns)).compile(connection.engine))
    ready = _for_driver(connection, rows.select([column.name for column in columns]))
    if connection.dialect.name == "postgresql":
        _copy(connection, table, ready)
        return
    for chunk in _chunks(ready.rows()):
        connection.exec_driver_sql(statement, list(chunk))


def _for_driver(connection: sa.Connection, rows: pl.DataFrame) -> pl.DataFrame:
    if connection.dialect.name != "sqlite":
        return rows
    return rows.with_columns(pl.col(pl.Date).dt.to_string("iso"))


def _chunks(rows: Sequence[tuple[Any, ...]]) -> Iterable[Sequence[tuple[Any, ...]]]:
    return (rows[start : start + _CHUNK] for start in range(0, len(rows), _CHUNK))


def _copy(connection: sa.Connection, table: sa.Table, rows: pl.DataFrame) -> None:
    """Insert by COPY, which is seven times as fast as single inserts there."""
    preparer = connection.dialect.identifier_preparer
    names = ", ".join(preparer.quote(name) for name in rows.columns)
    cursor = connection.connection.cursor()
    with cursor.copy(f"COPY {preparer.format_table(table)} ({names}) FROM STDIN") as copy:
        for row in rows.iter_rows():
            copy.write_row(row)


def mark_left(connection: sa.Connection, table: sa.Table, row_ids: Sequence[int], run: int) -> None:
    """Mark rows as no longer counting from `run` on."""
    for start in range(0, len(row_ids), 500):
        some = row_ids[start : start + 500]
        connection.execute(sa.update(table).where(table.c.row_id.in_(some)).values(left=run))


def next_id(connection: sa.Connection, column: sa.Column[Any]) -> int:
    """Return the first identifier that is free; the caller holds the only writing transaction."""
    return int(connection.execute(sa.select(sa.func.coalesce(sa.func.max(column), 0))).scalar_one()) + 1


def select(connection: sa.Connection, query: sa.Select, columns: Sequence[sa.ColumnElement]) -> pl.DataFrame:
    """Return the rows of a query with the columns that it selects, also where there are none."""
    schema = {str(column.key): _polars_type(column.type) for column in columns}
    return pl.DataFrame([tuple(row) for row in connection.execute(query)], schema=schema, orient="row")


def _polars_type(kind: sa.types.TypeEngine[Any]) -> type[pl.DataType]:
    if isinstance(kind, sa.Date):
        return pl.Date
    if isinstance(kind, sa.Double):
        return pl.Float64
    return pl.String if isinstance(kind, (sa.Text, sa.String)) else pl.Int64
