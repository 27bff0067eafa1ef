"""The rows of a garden as far as they are known: those that count already and the new ones in their place.

Medians, "the garden's other rows" and what happened to a plot are taken from the pool; only new rows are
asked about.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

import numpy as np
import polars as pl

from pipeline.checks.context import Context
from pipeline.checks.placing import placed_again
from pipeline.intake.sheets import NUMBER_KINDS, Sheet, sheets

#: Numbers of the layout that every row of a pool carries.
_NUMBERS = ("plot_at", "garden_at", "arm_at", "block_at")


@dataclass(frozen=True)
class Pools:
    """The pooled rows by kind of sheet.

    They have the sheet's columns, season, and `row`, the place of a new row, null for one that is kept; where
    rows are about plots, the numbers of the layout. A kind of which nothing is known is an empty frame.
    `repeating` names the kinds in whose new rows a key comes more than once.
    """

    by_sheet: Mapping[str, pl.DataFrame]
    repeating: frozenset[str] = frozenset()

    def of(self, name: str) -> pl.DataFrame:
        """Return the pool of one kind of sheet."""
        if name in self.by_sheet:
            return self.by_sheet[name]
        return _empty(name)


def make_pools(placed: Mapping[str, pl.DataFrame], context: Context) -> Pools:
    """Return the pools of all kinds of sheets that were sent or are kept of the gardens that sent them."""
    kept = context.kept_of(_sites(placed))
    repeating = frozenset(name for name, rows in placed.items() if _has_repeats(sheets()[name], rows))
    pools = {}
    for name, sheet in sheets().items():
        if name in placed or name in kept:
            new = placed[name][list(_schema(sheet))] if name in placed else _empty(name)
            new = _newest(sheet, new) if name in repeating else new
            pools[name] = _pooled(sheet, new, kept[name], context) if name in kept else new
    return Pools(pools, repeating)


def _has_repeats(sheet: Sheet, rows: pl.DataFrame) -> bool:
    """Return whether a key comes more than once; equal keys have equal hashes, which are quick to compare."""
    key = [name for name in _quick_key(sheet) if rows[name].null_count() < rows.height]
    if not key:
        return rows.height > 1
    hashes = np.sort(rows.select(pl.struct(key).hash()).to_series().to_numpy())
    return bool((hashes[1:] == hashes[:-1]).any())


def _sites(placed: Mapping[str, pl.DataFrame]) -> set[str]:
    return {site for rows in placed.values() for site in rows["site"].unique() if site is not None}


def _pooled(sheet: Sheet, new: pl.DataFrame, kept: pl.DataFrame, context: Context) -> pl.DataFrame:
    """Return the new rows with those that are kept beside them and not under the same key."""
    if kept.is_empty():
        return new
    schema = new.schema
    if is_of_plots(sheet):
        kept = placed_again(kept, context)
    missing = [pl.lit(None).alias(name) for name in schema if name not in kept.columns or name == "row"]
    kept = kept.with_columns(missing).select(list(schema)).cast(schema)
    return pl.concat([kept.join(new, on=_key(sheet), how="anti", nulls_equal=True), new])


def _newest(sheet: Sheet, rows: pl.DataFrame) -> pl.DataFrame:
    """Return the rows without those whose key comes again later in the batch."""
    key = pl.struct(_quick_key(sheet))
    is_placed = pl.col("plot_at").is_not_null() if is_of_plots(sheet) else pl.lit(value=True)
    return rows.filter(is_placed & key.is_last_distinct())


def _key(sheet: Sheet) -> list[str]:
    return ["season", *sheet.key] if is_of_plots(sheet) else list(sheet.key)


def _quick_key(sheet: Sheet) -> list[str]:
    """Return a key in which a number stands for garden, season and plot: it is quicker to compare."""
    if not is_of_plots(sheet):
        return _key(sheet)
    return ["plot_at", *(name for name in sheet.key if name not in ("site", "plot"))]


def is_of_plots(sheet: Sheet) -> bool:
    """Return whether every row of a sheet is about one plot."""
    return "plot" in sheet.required


def value_kinds(sheet: Sheet) -> dict[str, type[pl.DataType]]:
    """Return the kinds of a sheet's values by column."""
    return {column.name: _dtype(column.kind) for column in sheet.columns}


def _schema(sheet: Sheet) -> dict[str, type[pl.DataType]]:
    values = value_kinds(sheet)
    numbers = dict.fromkeys(_NUMBERS, pl.UInt32) if is_of_plots(sheet) else {}
    return {"row": pl.UInt32, "season": pl.String, **values, **numbers}


def _dtype(kind: str) -> type[pl.DataType]:
    if kind == "date":
        return pl.Date
    return pl.Float64 if kind in NUMBER_KINDS else pl.String


@cache
def _empty(name: str) -> pl.DataFrame:
    """Return a pool without rows."""
    return pl.DataFrame(schema=_schema(sheets()[name]))
