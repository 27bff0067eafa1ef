"""Plots of one block that are picked at different stages: green fruit and ripe fruit do not compare."""

import polars as pl

from pipeline.checks.check import Say, always, column, word
from pipeline.checks.lookup import looked_up
from pipeline.checks.season.check import NAMED_PLOT, SeasonCheck, with_plot_named
from pipeline.checks.season.rows import SeasonRows

#: Days within which the plots of a block count as picked together. Common practice, no source.
DAYS_TOGETHER = 3


def _mixed_stages(rows: SeasonRows) -> pl.DataFrame:
    """Return the first day on which the plots of a block were picked at different stages, one a garden."""
    staged = rows.harvest.filter(pl.col("stage_read").is_not_null() & (pl.col("marketable_weight") > 0))
    one = staged.select("garden_at", "block_at", "plot_at", "date", "stage_read", "arm_at", "stage")
    # Only gardens that write several stages are looked at pair by pair.
    several = (
        one.group_by("garden_at").agg(pl.col("stage_read").n_unique().alias("n")).filter(pl.col("n") > 1)
    )
    one = one.join(several, on="garden_at", how="semi")
    pairs = one.join(one, on="block_at", how="inner", suffix="_b").filter(
        (pl.col("plot_at") < pl.col("plot_at_b"))
        & (pl.col("arm_at") != pl.col("arm_at_b"))
        & ((pl.col("date") - pl.col("date_b")).dt.total_days().abs() <= DAYS_TOGETHER)
        & (pl.col("stage_read") != pl.col("stage_read_b"))
    )
    # A plot picked at both stages on that day was sorted, not picked otherwise.
    both = one.group_by("plot_at", "date").agg(pl.col("stage_read").unique().alias("all"))
    pairs = looked_up(pairs, both.rename({"all": "stages"}), ["plot_at", "date"])
    theirs = both.rename({"plot_at": "plot_at_b", "date": "date_b", "all": "stages_b"})
    pairs = looked_up(pairs, theirs, ["plot_at_b", "date_b"])
    apart = pairs.filter(~pl.col("stage_read").is_in("stages_b") & ~pl.col("stage_read_b").is_in("stages"))
    first = apart.sort("garden_at", "date", "plot_at", "plot_at_b").unique(
        "garden_at", keep="first", maintain_order=True
    )
    names = rows.plots.select(pl.col("plot_at").alias("plot_at_b"), pl.col("layout_plot").alias("plot_b"))
    return with_plot_named(looked_up(first, names, ["plot_at_b"]), rows)


_STAGES = {"immature": ("immature", "tierno"), "mature": ("mature", "sazón"), "ripe": ("ripe", "maduro")}


def _stage(name: str) -> pl.Expr:
    return pl.coalesce(pl.when(pl.col(name) == stage).then(word(*words)) for stage, words in _STAGES.items())


CHECKS = (
    SeasonCheck(
        "stages-mixed",
        "question",
        "harvest",
        "stage",
        _mixed_stages,
        NAMED_PLOT
        | {
            "date": Say(column("date"), "date"),
            "plot_b": Say(column("plot_b")),
            "sent": Say(always(_stage("stage_read")), "word"),
            "other": Say(always(_stage("stage_read_b")), "word"),
        },
    ),
)
