"""Running checks over rows: findings out, and which rows they hold.

The same function serves one file or the files of a whole night: one file is a batch of one.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from types import MappingProxyType

import numpy as np
import polars as pl

from pipeline.checks.check import Check, Say
from pipeline.checks.context import Context
from pipeline.checks.finding import (
    NO_FINDINGS,
    OF_ROW,
    Details,
    as_findings,
    details_of,
    with_gardens,
    with_words,
)
from pipeline.checks.lookup import looked_up_by_number
from pipeline.intake.sheets import NUMBER_KINDS, sheets

#: What messages about few rows need, by the name of its column: frames with `row` and that column.
Told = Mapping[str, pl.DataFrame]


@dataclass(frozen=True)
class _Beside:
    """What is known besides the rows: those that count already, what is told of few, and the network."""

    pool: pl.DataFrame
    told: Told
    context: Context


@dataclass(frozen=True)
class _Try:
    """A check on one column, the number of the try by which its condition goes, and the columns it needs."""

    check: Check
    name: str
    number: str
    condition: pl.Expr
    needs: frozenset[str]


def find(
    sheet: str,
    rows: pl.DataFrame,
    pool: pl.DataFrame,
    checks: Sequence[Check],
    context: Context,
    told: Told = MappingProxyType({}),
) -> pl.DataFrame:
    """Return the findings of all checks over the rows of one kind of sheet, in the order of the rows.

    `rows` are typed rows in their place and with what is usual; `pool` has the rows that count already beside
    them, `told` what messages about few rows need. The conditions of all checks that look among the same rows
    are evaluated in one pass; those of which no row holds what they need are left out.
    """
    beside = _Beside(pool, told, context)
    needed = _needed(sheet, tuple(checks)).intersection(rows.columns)
    holding = {name for name in needed if _holds_something(rows.get_column(name))}
    tried = [one for one in _tries(sheet, tuple(checks)) if one.needs <= holding]
    found = [NO_FINDINGS]
    for among in dict.fromkeys(one.check.among for one in tried):
        among_same = [one for one in tried if one.check.among == among]
        hits = _hits(rows, among, [one.condition for one in among_same])
        found += [
            _findings(sheet, rows, hits["row"].filter(hits[one.number]), one, beside)
            for one in among_same
            if hits[one.number].any()
        ]
    return with_gardens(pl.concat(found), context).sort("file", "tab", "line", maintain_order=True)


def _holds_something(column: pl.Series) -> bool:
    """Return whether some row has a value in a column, or its flag set."""
    return bool(column.any()) if column.dtype == pl.Boolean else column.null_count() < column.len()


def _hits(rows: pl.DataFrame, among: str, conditions: list[pl.Expr]) -> pl.DataFrame:
    """Return which of the rows looked among each condition is true of, with their places."""
    if not among:
        return rows.select("row", *conditions)
    # Only the columns that the conditions need are filtered.
    return rows.lazy().filter(pl.col(among)).select("row", *conditions).collect()


@lru_cache(maxsize=64)
def _tries(sheet: str, checks: tuple[Check, ...]) -> tuple[_Try, ...]:
    """Return the checks of a sheet with each column that they try."""
    tries = [(check, name) for check in checks for name in check.columns.get(sheet, ())]
    return tuple(
        _Try(check, name, str(at), check.conditions[sheet, name].alias(str(at)), _needs(check, name))
        for at, (check, name) in enumerate(tries)
    )


@lru_cache(maxsize=64)
def _needed(sheet: str, checks: tuple[Check, ...]) -> frozenset[str]:
    """Return the columns that some check of a sheet needs."""
    return frozenset().union(*(one.needs for one in _tries(sheet, checks)))


def _needs(check: Check, name: str) -> frozenset[str]:
    """Return the columns without which a check asks nothing: its flag of rows is one of them."""
    flag = [check.among] if check.among else []
    return frozenset([*flag, *(needed.format(name) for needed in check.needs)])


def _findings(sheet: str, rows: pl.DataFrame, places: pl.Series, of: _Try, beside: _Beside) -> pl.DataFrame:
    """Return the findings of one check on one column in the rows at these places."""
    check, name = of.check, of.name
    details = _details(sheet, check, name)
    needed = {*OF_ROW, *details.roots, f"sent_{name}", "plot_at", *check.once_per}
    kept = [each for each in rows.columns if check.more is not None or each in needed]
    found = rows[kept][places]
    if name:
        found = found.hstack([found.get_column(f"sent_{name}").alias("sent")])
    if check.once_per:
        found = found.unique(check.once_per, keep="first", maintain_order=True)
    if check.more is not None:
        found = check.more(found, beside.pool)
    for column in details.roots & beside.told.keys():
        found = looked_up_by_number(found, beside.told[column], "row")
    worded = with_words(found, details.roots, beside.context)
    return as_findings(worded, check, sheet, name, details.expression)


@cache
def _details(sheet: str, check: Check, name: str) -> Details:
    """Return what the messages of a check need, kept: a single sheet is judged in less time than it takes."""
    return details_of(_said(sheet, check, name), name)


def _said(sheet: str, check: Check, name: str) -> dict[str, Say]:
    """Return what a check says; of a number or a day it is always said how it was read."""
    kinds = {column.name: column.kind for column in sheets()[sheet].columns}
    if "read" in check.say or kinds.get(name) not in (*NUMBER_KINDS, "date"):
        return dict(check.say)
    read = Say(lambda column: pl.col(column), "date" if kinds[name] == "date" else "cell")
    return dict(check.say) | {"read": read}


def held_rows(findings: pl.DataFrame) -> np.ndarray:
    """Return the places of rows that are not used until mended."""
    return findings["row"].filter(findings["level"] == "held").to_numpy()
