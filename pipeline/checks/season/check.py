"""A check of a whole season: one finding for each cause and garden, plot or season."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import polars as pl

from pipeline.checks.check import Level, Say, column
from pipeline.checks.lookup import looked_up_at
from pipeline.checks.season.rows import SeasonRows

#: Finds the causes, one row each.
Cases = Callable[[SeasonRows], pl.DataFrame]


#: The plot that a finding about a whole garden names as its example.
NAMED_PLOT: dict[str, Say] = {"plot": Say(column("plot_named"))}


def with_plot_named(cases: pl.DataFrame, rows: SeasonRows) -> pl.DataFrame:
    """Return cases that are about a garden, each with a plot of it that their words name.

    The plot is an example: next night another may show the same cause, which is not asked about again.
    """
    named = looked_up_at(cases, rows.plots.select(pl.col("layout_plot").alias("plot_named")), "plot_at")
    return named.drop("plot_at")


@dataclass(frozen=True)
class SeasonCheck:
    """One check of a season.

    `name` is that of its words, `sheet` and `column` where the reader should look. `cases` returns a frame
    with one row for each cause: `plot_at` or `garden_at`, `row` (the place of a row in its frame) where one
    row shows it, and what `say` needs.
    """

    name: str
    level: Level
    sheet: str
    column: str | None
    cases: Cases
    say: Mapping[str, Say] = field(default_factory=dict)
