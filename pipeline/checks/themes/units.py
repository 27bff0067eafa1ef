"""Weights without a unit, with two, or with one that nobody can turn into a weight."""

import polars as pl

from pipeline.checks.check import Check, Condition, Say, column, tried
from pipeline.checks.themes.looks_at import ODD_CELL, columns_of, only
from pipeline.checks.usual import COUNT_OF
from pipeline.intake.units import KG_PER_UNIT

#: Flags of rows in gardens that write many of their weights as pounds and ounces.
WRITES_OUNCES = "writes_ounces"

#: A decimal number whose one or two decimals could be ounces.
_LOOKS_LIKE_OUNCES = r"^\s*\d+[.](?:0?[1-9]|1[0-5])\s*(?:(?i:lbs?|pounds?|libras?)\.?)?\s*$"


def _given_unit(name: str) -> pl.Expr:
    """Return the unit that the row or the header gives, whatever the cell says."""
    return pl.coalesce("row_unit", f"header_unit_{name}")


def _is_strange_unit(weights: tuple[str, ...]) -> Condition:
    """Return whether a weight stands beside a unit that is none, and has none in its own cell."""
    bare = [pl.col(name).is_not_null() & pl.col(f"unit_{name}").is_null() for name in weights]
    return lambda name: (
        pl.col(f"sent_{name}").is_not_null() & pl.col("row_unit").is_null() & pl.any_horizontal(bare)
    )


def _has_two_units(name: str) -> pl.Expr:
    typed, given = pl.col(f"unit_{name}"), _given_unit(name)
    # A scale of pounds and ounces shows ounces alone below a pound.
    is_one_scale = typed.is_in(["lb oz", "oz", "lb"]) & given.is_in(["lb", "lb oz"])
    first = "marketable_weight" if name in COUNT_OF else name
    writes_both = (pl.col(f"unit_{first}") == "lb oz").any().over("file", "tab")
    return (typed != given) & (typed != "lb oz") & ~(is_one_scale & writes_both)


def _ounces_meant() -> pl.Expr:
    """Return the weight where the digits after the point are ounces."""
    digits = pl.col("sent_marketable_weight").str.extract(r"(\d+)[.](\d+)", 2).cast(pl.Float64, strict=False)
    pounds = pl.col("sent_marketable_weight").str.extract(r"(\d+)[.]", 1).cast(pl.Float64, strict=False)
    return pounds * KG_PER_UNIT["lb"] + digits * KG_PER_UNIT["oz"]


CHECKS = (
    Check(
        "weight-no-unit",
        "question",
        columns_of("weight"),
        lambda name: (
            pl.col(name).is_not_null()
            & ~pl.col(f"has_unit_{name}")
            & pl.col(f"unit_{name}").is_null()
            # A unit that nobody knows is another question.
            & pl.col("sent_unit").is_null()
        ),
        {"unit": Say(tried("meant_"))},
        once_per=("file", "tab"),
    ),
    Check(
        "unit-unknown",
        "held",
        columns_of("weight", "length"),
        lambda name: pl.col(f"how_{name}") == "unit unknown",
        among=ODD_CELL,
    ),
    *(
        Check("unit-unknown", "held", only("unit", sheet), _is_strange_unit(weights), needs=("sent_{}",))
        for sheet, weights in columns_of("weight").items()
    ),
    Check(
        "unit-two-places",
        "note",
        columns_of("weight"),
        _has_two_units,
        {
            "unit": Say(tried("unit_")),
            "other": Say(_given_unit),
            "read": Say(tried(), "weight"),
        },
        among=ODD_CELL,
    ),
    Check(
        "pounds-ounces-point",
        "question",
        only("marketable_weight", "harvest"),
        lambda name: (
            (pl.col(f"meant_{name}") == "lb")
            & (pl.col(f"unit_{name}").fill_null("lb") == "lb")
            & pl.col(f"sent_{name}").str.contains(_LOOKS_LIKE_OUNCES)
        ),
        {
            "date": Say(column("date"), "date"),
            "read": Say(column("marketable_weight"), "weight"),
            "suggest": Say(lambda _: _ounces_meant(), "weight in ounces"),
        },
        once_per=("site", "season"),
        among=WRITES_OUNCES,
    ),
)
