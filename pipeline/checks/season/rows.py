"""All rows of a season that count, as its checks look at them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import polars as pl

from pipeline.checks.context import Context
from pipeline.checks.lookup import looked_up_at, looked_up_by_number, with_blanks
from pipeline.checks.placing import placed_again, plot_numbers
from pipeline.checks.plot_history import plot_histories
from pipeline.checks.pool import Pools, is_of_plots, value_kinds
from pipeline.checks.season.peers import against_peers
from pipeline.checks.stages import with_stages
from pipeline.checks.usual import DAYS_APART
from pipeline.intake.sheets import NUMBER_KINDS, sheets

#: What stands beside a sheet's own columns, where it is known.
_BESIDE = ("season", "line", "meant_marketable_weight")

#: What rows say that checks of a season do not ask; a million rows are sorted without it.
_UNASKED = ("site", "season", "plot", "cull_cause", "unit", "scale", "recorded_by")


@dataclass(frozen=True)
class SeasonRows:
    """The rows that count and the plots they are about.

    `harvest` and `condition` have what a sheet counts and measures, with `row` (their place in the frame that
    was handed over) and the numbers of the layout; `harvest` has `is_control`, `plants` and `stage_read` too.
    They lie garden by garden, in it treatment by treatment, plot by plot and day by day: what a check asks of
    the row before is asked of the picking before, and groups by `garden_at` and `arm_at` are slices.
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
    pools = Pools({name: _numbered(name, frame, context) for name, frame in rows.items() if name in sheets()})
    # No check of a season asks when a plot was first picked.
    told = Pools({name: frame for name, frame in pools.by_sheet.items() if name != "harvest"})
    plots = looked_up_by_number(context.layout, plot_histories(told), "plot_at").with_columns(
        pl.coalesce("planted_plants", "plants_per_plot").alias("plants")
    )
    dated = pools.of("harvest").filter(pl.col("date").is_not_null())
    harvest = looked_up_at(dated, plots.select("is_control", "turns_colour", "plants"), "plot_at")
    return SeasonRows(
        harvest=with_stages(harvest),
        condition=pools.of("condition").filter(pl.col("date").is_not_null()),
        plots=plots,
        held=_held(held, context),
        context=context,
    )


def _numbered(name: str, frame: pl.DataFrame, context: Context) -> pl.DataFrame:
    sheet = sheets()[name]
    known = [*sheet.column_names, *_BESIDE]
    placed = frame.select(column for column in known if column in frame.columns).with_row_index("row")
    lacking = {column: kind for column, kind in value_kinds(sheet).items() if column not in placed.columns}
    placed = with_blanks(placed, lacking)
    if not is_of_plots(sheet):
        return placed
    values = [column.name for column in sheet.columns if column.kind in NUMBER_KINDS]
    return _in_order(placed_again(placed, plot_numbers(context.layout)).drop(_UNASKED, strict=False), values)


def _in_order(rows: pl.DataFrame, values: Sequence[str]) -> pl.DataFrame:
    """Return rows garden by garden, treatment by treatment, plot by plot, day by day.

    Rows of one plot and day are put in the order of their values: sums of the same numbers in another order
    differ in their last digits. One number for the plot and the day is quicker to sort by than three.
    """
    by_arm = rows.select("arm_at", "plot_at").unique().sort("arm_at", "plot_at").with_row_index("in_arms")
    keyed = looked_up_by_number(rows, by_arm.drop("arm_at"), "plot_at")
    plot_day = pl.col("in_arms").cast(pl.Int64) * DAYS_APART + pl.col("date").to_physical()
    ordered = keyed.with_columns(plot_day.alias("plot_day")).drop("in_arms").sort("plot_day", nulls_last=True)
    is_again = pl.col("plot_day").eq_missing(pl.col("plot_day").shift())
    several = ordered.select(is_again | is_again.shift(-1)).to_series().fill_null(value=False)
    if several.any():
        places = pl.int_range(ordered.height, dtype=pl.UInt32, eager=True)
        again = ordered.with_columns(places.alias("place")).filter(several)
        again = again.sort("plot_day", *values, "row", nulls_last=True)
        ordered = ordered[places.scatter(several.arg_true(), again["place"])]
    return ordered.drop("plot_day").with_columns(pl.col("garden_at", "arm_at").set_sorted())


def by_plot(rows: pl.DataFrame, *told: pl.Expr) -> pl.DataFrame:
    """Return what the rows of each plot tell, with plot_at; they lie plot by plot, so none are looked for."""
    run = rows["plot_at"].rle_id().set_sorted().alias("run")
    return rows.group_by(run, maintain_order=True).agg(pl.col("plot_at").first(), *told).drop("run")


def _held(held: pl.DataFrame | None, context: Context) -> pl.DataFrame:
    if held is None:
        return pl.DataFrame(schema={"plot_at": pl.UInt32, "date": pl.Date})
    plots = context.layout.select("site", "season", "plot_at")
    known = placed_again(held, plot_numbers(context.layout)).select("plot_at", "date")
    named = context.layout.select("site", "season", pl.col("layout_plot").alias("plot"))
    anywhere = held.join(named, on=["site", "season", "plot"], how="anti").join(plots, on=["site", "season"])
    return pl.concat([known, anywhere.select("plot_at", "date")]).drop_nulls()
