"""Numbers that cannot be true, whatever they are about."""

import polars as pl

from pipeline.checks.check import Check, Say, tried
from pipeline.checks.themes.looks_at import columns_of
from pipeline.intake.sheets import NUMBER_KINDS

#: How far from a whole number a count may be, for what a spreadsheet makes of thirds.
ROUNDING = 0.001

CHECKS = (
    Check(
        "number-negative",
        "held",
        columns_of(*NUMBER_KINDS),
        lambda name: pl.col(name) < 0,
        {"read": Say(tried(), "cell")},
        needs=("{}",),
    ),
    Check(
        "count-not-whole",
        "held",
        columns_of("count"),
        lambda name: (pl.col(name) - pl.col(name).round()).abs() > ROUNDING,
        needs=("{}",),
    ),
    Check(
        "percent-over-hundred",
        "held",
        columns_of("percent"),
        lambda name: pl.col(name) > 100,
        {"read": Say(tried(), "number")},
        needs=("{}",),
    ),
)
