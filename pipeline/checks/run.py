"""Running checks over rows: findings out, and which rows they hold.

The same function serves one file or the files of a whole night: one file is a batch of one.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

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
from pipeline.checks.lookup import looked_up
from pipeline.intake.sheets import NUMBER_KINDS, sheets

#: What messages about few rows need, by the name of its column: frames with `row` and that column.
Told = Mapping[str, pl.DataFrame]
_Pair = tuple[Check, str]


@dataclass(frozen=True)
class _Beside:
    """What is known besides the rows: those that count already, what is told of few, and the network."""

    pool: pl.DataFrame
    told: Told
    context: Context


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
    are evaluated in one pass.
    """
    beside = _Beside(pool, told, context)
    found = [NO_FINDINGS]
    for among, pairs in _by_screen(sheet, rows, checks).items():
        if among and not rows[among].any():
            continue
        conditions = [check.conditions[sheet, name].alias(str(at)) for at, (check, name) in enumerate(pairs)]
        hits = _hits(rows, among, conditions)
        is_hit = hits.select(pl.all().exclude("row").any())
        found += [
            _findings(sheet, rows, hits["row"].filter(hits[str(at)]), pair, beside)
            for at, pair in enumerate(pairs)
            if not hits.is_empty() and is_hit[str(at)].item()
        ]
    return with_gardens(pl.concat(found), context).sort("file", "tab", "line", maintain_order=True)


def _hits(rows: pl.DataFrame, among: str, conditions: list[pl.Expr]) -> pl.DataFrame:
    """Return which of the rows looked among each condition is true of, with their places."""
    if not among:
        return rows.select("row", *conditions)
    # Only the columns that the conditions need are filtered.
    return rows.lazy().filter(pl.col(among)).select("row", *conditions).collect()


def _by_screen(sheet: str, rows: pl.DataFrame, checks: Sequence[Check]) -> dict[str, list[_Pair]]:
    """Return the checks of a sheet, with each column that they try, by the rows that they look among."""
    by_screen: dict[str, list[_Pair]] = {}
    for check, name in _applying(sheet, rows, checks):
        by_screen.setdefault(check.among, []).append((check, name))
    return by_screen


def _applying(sheet: str, rows: pl.DataFrame, checks: Sequence[Check]) -> Iterator[_Pair]:
    """Yield the checks of a sheet with each column that they try, where the reader gives what they need."""
    for check in checks:
        for name in check.columns.get(sheet, ()):
            if all(needed.format(name) in rows.columns for needed in check.needs):
                yield check, name


def _findings(
    sheet: str, rows: pl.DataFrame, places: pl.Series, pair: _Pair, beside: _Beside
) -> pl.DataFrame:
    """Return the findings of one check on one column in the rows at these places."""
    check, name = pair
    details = _details(sheet, check, name)
    needed = {*OF_ROW, *details.roots, f"sent_{name}", "plot_at", *check.once_per}
    kept = [each for each in rows.columns if check.more is not None or each in needed]
    found = pl.DataFrame([rows.get_column(each) for each in kept])[places]
    if name:
        found = found.hstack([found.get_column(f"sent_{name}").alias("sent")])
    if check.once_per:
        found = found.unique(check.once_per, keep="first", maintain_order=True)
    if check.more is not None:
        found = check.more(found, beside.pool)
    for column in details.roots & beside.told.keys():
        found = looked_up(found, beside.told[column], ["row"])
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


def held_rows(findings: pl.DataFrame) -> pl.Series:
    """Return the places of rows that are not used until mended."""
    return findings.filter(pl.col("level") == "held")["row"].unique()
