"""All rows of a season that count, as its checks look at them."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import polars as pl

from pipeline.checks.context import Context
from pipeline.checks.lookup import looked_up, with_blanks
from pipeline.checks.placing import placed_again
from pipeline.checks.plot_history import plot_histories
from pipeline.checks.pool import Pools, is_of_plots, value_kinds
from pipeline.checks.season.peers import against_peers
from pipeline.checks.stages import with_stages
from pipeline.intake.sheets import NUMBER_KINDS, sheets

#: What checks of a season take from the layout.
_OF_PLOT = (
    *("plot_at", "garden_at", "arm_at", "block_at", "is_control", "turns_colour", "plants_per_plot"),
    *("start", "close", "each_low_kg", "each_high_kg"),
)


@dataclass(frozen=True)
class SeasonRows:
    """The rows that count and the plots they are about.

    `harvest` and `condition` have the sheet's columns with `row` (their place in the frame that was handed
    over), `site`, `season` and what the layout says of the plot; `harvest` has `plants` and `stage_read` too.
    `plots` has one row for each plot of the layout with its history. `held` has plot_at and date of rows that
    wait: they say that somebody picked. Days on which a garden is away are left out of all that asks why
    something is missing.
    """

    harvest: pl.DataFrame
    condition: pl.DataFrame
    plots: pl.DataFrame
    held: pl.DataFrame
    context: Context

    @cached_property
    def fruits(self) -> pl.DataFrame:
        """Counted pickings against the other gardens' (`season.peers`)."""
        return against_peers(self.harvest, self.context.layout)


def season_rows(
    rows: Mapping[str, pl.DataFrame], context: Context, held: pl.DataFrame | None = None
) -> SeasonRows:
    """Return the rows of all sheets, ready for the checks of a season.

    A row of `held` whose plot is not known may be of any plot of its garden.

    `rows` holds frames by kind of sheet: the sheet's columns, season, and where they are known file, tab and
    line. `held` has site, season, plot and date.
    """
    numbered = {name: _numbered(name, frame, context) for name, frame in rows.items() if name in sheets()}
    histories = plot_histories(Pools(numbered))
    plots = looked_up(context.layout, histories, ["plot_at"]).with_columns(
        pl.coalesce("planted_plants", "plants_per_plot").alias("plants")
    )
    pools = Pools(numbered)
    of_plot = plots.select(*_OF_PLOT, "plants", "died_on")
    harvest = _with_plots(pools.of("harvest"), of_plot)
    return SeasonRows(
        harvest=with_stages(harvest),
        condition=_with_plots(pools.of("condition"), of_plot),
        plots=plots,
        held=_held(held, context),
        context=context,
    )


def _numbered(name: str, frame: pl.DataFrame, context: Context) -> pl.DataFrame:
    sheet = sheets()[name]
    known = [*sheet.column_names, "season", "line", "meant_marketable_weight"]
    placed = frame.select(column for column in known if column in frame.columns).with_row_index("row")
    lacking = {column: kind for column, kind in value_kinds(sheet).items() if column not in placed.columns}
    placed = with_blanks(placed, lacking)
    if not is_of_plots(sheet):
        return placed
    # Sums of the same numbers in another order differ in their last digits.
    values = [column.name for column in sheet.columns if column.kind in NUMBER_KINDS]
    return placed_again(placed, context).sort("plot_at", "date", *values, nulls_last=True)


def _with_plots(rows: pl.DataFrame, of_plot: pl.DataFrame) -> pl.DataFrame:
    taken = [name for name in of_plot.columns if name == "plot_at" or name not in rows.columns]
    dated = rows.filter(pl.col("date").is_not_null())
    return looked_up(dated, of_plot.select(taken), ["plot_at"])


def _held(held: pl.DataFrame | None, context: Context) -> pl.DataFrame:
    if held is None:
        return pl.DataFrame(schema={"plot_at": pl.UInt32, "date": pl.Date})
    plots = context.layout.select("site", "season", "plot_at")
    known = placed_again(held, context).select("plot_at", "date")
    named = context.layout.select("site", "season", pl.col("layout_plot").alias("plot"))
    anywhere = held.join(named, on=["site", "season", "plot"], how="anti").join(plots, on=["site", "season"])
    return pl.concat([known, anywhere.select("plot_at", "date")]).drop_nulls()
