"""Looking things up for every row, without copying what is there."""

from collections.abc import Mapping, Sequence
from functools import cache
from typing import cast

import numpy as np
import polars as pl

Kind = pl.DataType | type[pl.DataType]


def looked_up(rows: pl.DataFrame, table: pl.DataFrame, on: Sequence[str]) -> pl.DataFrame:
    """Return the rows, in their order, with the other columns of a table in which each key stands once.

    Only the keys take part in the join: a frame of a hundred columns is not copied for the sake of one.
    Missing keys match missing keys.
    """
    if table.is_empty():
        return with_blanks(rows, {name: kind for name, kind in table.schema.items() if name not in on})
    keys = pl.DataFrame([rows.get_column(name) for name in on])
    differing = {name: kind for name, kind in keys.schema.items() if table.schema[name] != kind}
    if differing:
        table = table.with_columns(pl.col(name).cast(kind) for name, kind in differing.items())
    found = keys.join(table, on=list(on), how="left", maintain_order="left", nulls_equal=True)
    return rows.hstack([column for column in found.get_columns() if column.name not in on])


def looked_up_by_number(rows: pl.DataFrame, table: pl.DataFrame, number: str) -> pl.DataFrame:
    """Return the rows, in their order, with the other columns of a table in which each number stands once.

    `number` names a column of small whole numbers, such as the place of a row, of a plot or of a garden: what
    it leads to is looked up in a list, which is quicker than a join. A missing number leads nowhere.
    """
    keys, numbers = rows.get_column(number), table.get_column(number)
    if keys.null_count() == rows.height or numbers.null_count() == table.height:
        return with_blanks(rows, {name: kind for name, kind in table.schema.items() if name != number})
    if numbers.null_count():
        return looked_up_by_number(rows, where_known(table, number), number)
    parts = [column for column in table.get_columns() if column.name != number]
    end = 1 + max(cast(int, keys.max()), cast(int, numbers.max()))
    place = pl.Series([None], dtype=pl.UInt32).new_from_index(0, end)
    place = place.scatter(numbers, np.arange(table.height, dtype=np.uint32))
    # A missing number leads to a missing place, and that to missing values.
    return rows.hstack(pl.DataFrame(parts)[place[keys]].get_columns())


def where_known(rows: pl.DataFrame, name: str) -> pl.DataFrame:
    """Return the rows in which a column has a value; nothing is copied where all have."""
    column = rows.get_column(name)
    return rows.filter(column.is_not_null()) if column.null_count() else rows


def in_runs(groups: pl.Series) -> pl.Series:
    """Return numbers of the same groups, ascending where the rows of each stand together.

    Files mostly bring the rows of a garden and of a day together, and sorted numbers are quicker to group by.
    """
    runs = groups.rle_id()
    if groups.null_count() or groups.is_empty() or runs[-1] + 1 > groups.n_unique():
        return groups
    return runs.set_sorted().alias(groups.name)


def looked_up_at(rows: pl.DataFrame, table: pl.DataFrame, at: str) -> pl.DataFrame:
    """Return the rows with the columns of a table whose own places the column `at` of the rows names."""
    parts = pl.DataFrame([column for column in table.get_columns() if column.name != at])
    return rows.hstack(parts[rows.get_column(at)].get_columns())


def with_blanks(rows: pl.DataFrame, kinds: Mapping[str, Kind]) -> pl.DataFrame:
    """Return the rows with blank columns of these kinds."""
    return rows.hstack([_blank(name, kind).new_from_index(0, rows.height) for name, kind in kinds.items()])


def with_same(rows: pl.DataFrame, values: Mapping[str, object], kind: Kind | None = None) -> pl.DataFrame:
    """Return the rows with columns that hold the same value in all of them."""
    same = [pl.Series(name, [value], kind).new_from_index(0, rows.height) for name, value in values.items()]
    return rows.hstack(same)


@cache
def _blank(name: str, kind: Kind) -> pl.Series:
    """Return one blank, kept: to make it takes as long as to repeat it."""
    return pl.Series(name, [None], dtype=kind)
