"""How the columns of a sheet are read: the value, and beside it what is needed to ask about it.

Plain numbers and days have been read, and stand in the column; cells that are not plain have been read one by
one, and stand in columns that begin with `odd_`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import polars as pl

from pipeline.intake.sent import NO_TEXT
from pipeline.intake.sheets import NUMBER_KINDS, SheetColumn
from pipeline.intake.units import CM_PER_UNIT, KG_PER_UNIT, POUNDS_AND_OUNCES


@dataclass(frozen=True)
class KnownColumn:
    """What is known of the cells of a column before they are read, by which it is settled how.

    `blanks` tells whether none, some or all are blank, `is_odd` whether some are not plain, `has_gaps`
    whether some days have no plain value, `units` what its numbers are in; `is_twice` and `is_said` tell
    of a second column and of a header that says something, `has_amounts` of amounts with a unit in the sheet.
    """

    column: SheetColumn
    blanks: Literal["none", "some", "all"]
    has_gaps: bool
    units: tuple[str, ...]
    is_odd: bool
    is_twice: bool
    is_said: bool
    has_amounts: bool


@lru_cache(maxsize=256)
def read_columns(known: tuple[KnownColumn, ...], order: str) -> list[pl.Expr]:
    """Return how all columns are read, kept: most sheets are known alike."""
    exprs: list[pl.Expr] = []
    for one in known:
        if one.column.kind == "date":
            exprs += _day(one, order)
        elif one.column.kind in NUMBER_KINDS:
            exprs += _number(one)
        else:
            exprs += _text(one)
    return exprs


def _how(known: KnownColumn) -> pl.Expr:
    name = known.column.name
    how: pl.Expr = pl.lit("plain" if known.blanks == "none" else "blank")
    if known.blanks == "some":
        how = pl.when(pl.col(f"sent_{name}").is_null()).then(pl.lit("blank")).otherwise(pl.lit("plain"))
    if known.is_odd:
        how = pl.coalesce(f"odd_how_{name}", how)
    if known.is_twice:
        how = pl.when(pl.col(f"twice_{name}").is_not_null()).then(pl.lit("two columns")).otherwise(how)
    return how.alias(f"how_{name}")


def _value(name: str, plain: pl.Expr, *, is_odd: bool) -> pl.Expr:
    if is_odd:
        is_plain = pl.col(f"odd_how_{name}").is_null()
        return pl.when(is_plain).then(plain).otherwise(pl.col(f"odd_value_{name}")).alias(name)
    return plain.alias(name)


def _no_result(name: str) -> pl.Expr:
    return (pl.col(f"odd_how_{name}") == "no result").fill_null(value=False).alias(f"has_no_result_{name}")


def _number(known: KnownColumn) -> list[pl.Expr]:
    """Return a number with how it was read; a measure in its base unit, with the unit it was read in."""
    name, kind, units, is_odd = known.column.name, known.column.kind, known.units, known.is_odd
    value = pl.col(name)
    if units:
        value = value * _factor(units, name, KG_PER_UNIT if kind == "weight" else CM_PER_UNIT)
    parts = {part: pl.col(f"odd_{part}_{name}") if is_odd else None for part in ("first", "other", "unit")}
    exprs = [
        _value(name, value, is_odd=is_odd),
        _how(known),
        *(
            (pl.lit(None, pl.String if part == "unit" else pl.Float64) if of is None else of).alias(
                f"{part}_{name}"
            )
            for part, of in parts.items()
        ),
    ]
    if is_odd:
        exprs.append(_no_result(name))
    if units:
        given = pl.lit(units[0], pl.String) if len(units) == 1 else pl.col(f"given_{name}")
        typed = given if parts["unit"] is None else pl.coalesce(parts["unit"], given)
        exprs.append(typed.replace(POUNDS_AND_OUNCES, "lb").alias(f"meant_{name}"))
    return exprs


def _factor(units: Sequence[str], name: str, sizes: dict[str, float]) -> pl.Expr:
    """Return what a number in its unit is in the base unit."""
    by_unit = {unit: sizes["lb" if unit == POUNDS_AND_OUNCES else unit] for unit in units}
    if len(by_unit) == 1:
        return pl.lit(next(iter(by_unit.values())), pl.Float64)
    return pl.col(f"given_{name}").replace_strict(by_unit, return_dtype=pl.Float64)


def _day(known: KnownColumn, order: str) -> list[pl.Expr]:
    """Return a day with how it was read, what settled it, and the order that it shows of its file."""
    name = known.column.name
    plain_form: pl.Expr = pl.lit("iso")
    if known.has_gaps:
        plain_form = pl.when(pl.col(name).is_not_null()).then(plain_form)
    if not known.is_odd:
        nothing = (f"settled_{name}", "file_order", "usual_order")
        return [
            _how(known),
            plain_form.alias(f"form_{name}"),
            pl.lit(None, pl.Date).alias(f"other_{name}"),
            *(NO_TEXT.alias(part) for part in nothing),
            pl.lit(value=False).alias("is_order_mixed"),
        ]
    turned, settled = pl.col(f"odd_turned_{name}"), pl.col(f"odd_settled_{name}")
    return [
        _value(name, pl.col(name), is_odd=True),
        _how(known),
        _no_result(name),
        pl.coalesce(f"odd_form_{name}", plain_form).alias(f"form_{name}"),
        pl.col(f"odd_other_{name}").alias(f"other_{name}"),
        settled.alias(f"settled_{name}"),
        turned.alias("file_order"),
        pl.when(turned.is_not_null()).then(pl.lit(order)).alias("usual_order"),
        (settled == "nothing").fill_null(value=False).alias("is_order_mixed"),
    ]


def _text(known: KnownColumn) -> list[pl.Expr]:
    """Return a cell that is words, a code or a unit; a formula in it is one that was never worked out."""
    name, kind = known.column.name, known.column.kind
    cell = pl.col(f"sent_{name}")
    exprs = [cell.alias(name)]
    if kind == "unit":
        exprs = [pl.coalesce("row_unit", cell).alias(name)]
    elif name == "unit" and known.has_amounts:
        exprs = [pl.coalesce(cell, "odd_unit_amount").alias(name)]
    elif known.is_said:
        exprs = [pl.coalesce(cell, f"says_{name}").alias(name)]
    # A note may well begin with an equals sign.
    if kind != "note" and known.blanks != "all":
        exprs.append(cell.str.starts_with("=").fill_null(value=False).alias(f"has_no_result_{name}"))
    return exprs
