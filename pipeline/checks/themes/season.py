"""Harvest maturity, days of zeros, values copied down."""

import polars as pl

from pipeline.checks.check import Check, Say, column, tried
from pipeline.checks.themes.looks_at import only

CHECKS = (
    Check(
        "stage-unread",
        "question",
        only("stage", "harvest"),
        lambda name: pl.col(f"sent_{name}").is_not_null() & pl.col("stage_read").is_null(),
        once_per=("file", "tab", "sent"),
        needs=("sent_{}",),
    ),
    Check(
        "zeros-for-blanks",
        "question",
        only("marketable_weight", "harvest"),
        lambda _: pl.col("is_zero_day"),
        {"date": Say(column("date"), "date")},
        once_per=("file", "tab"),
        needs=("is_zero_day",),
    ),
    Check(
        "copied-down",
        "question",
        {"harvest": ("marketable_weight",), "condition": ("severity_pct", "height_cm")},
        lambda name: pl.col(f"run_{name}").is_not_null(),
        {"n": Say(tried("run_"), "number"), "other": Say(tried("run_end_"), "number")},
        needs=("run_{}",),
    ),
)
