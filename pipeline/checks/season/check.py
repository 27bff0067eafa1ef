"""A check of a whole season: one finding for each cause and garden, plot or season."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import polars as pl

from pipeline.checks.check import Level, Say
from pipeline.checks.season.rows import SeasonRows

#: Finds the causes, one row each.
Cases = Callable[[SeasonRows], pl.DataFrame]


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
