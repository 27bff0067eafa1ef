"""What a garden's season gives away: running totals, and a planting sheet that never came."""

import polars as pl

from pipeline.checks.check import Say, column
from pipeline.checks.lookup import looked_up, looked_up_at
from pipeline.checks.season.check import NAMED_PLOT, SeasonCheck, with_plot_named
from pipeline.checks.season.rows import SeasonRows, by_plot

#: Pickings of a plot that must never fall, plots of a garden in which they do not, and how far the last is
#: above the others' middle picking of that time. Common practice, no source.
LEAST_PICKINGS, LEAST_PLOTS, FAR_ABOVE = 5, 3, 3.0

#: Days around a picking that are the same time in other gardens; and gardens that make a middle.
DAYS_AROUND, LEAST_GARDENS = 7, 3

#: Days that a garden has to send its planting sheet after its first row. Common practice, no source.
PLANTING_DAYS = 14


def _growing(rows: SeasonRows) -> pl.DataFrame:
    """Return gardens whose weights only go up, plot by plot: running totals."""
    weighed = rows.harvest.select("garden_at", "plot_at", "date", "marketable_weight")
    picked = weighed.filter(pl.col("marketable_weight").is_not_null())
    plots = _plots_weighed(picked)
    grows = _grow(picked.join(plots.filter(~pl.col("falls")), on="plot_at", how="semi"))
    if grows.is_empty():
        return grows
    usual = _usual_picking(picked, grows)
    growing = looked_up(grows, usual, ["plot_at"]).filter(
        pl.col("high") > FAR_ABOVE * pl.coalesce("usual", "step")
    )
    counts = plots.group_by("garden_at").agg(pl.len().alias("plots"))
    gardens = looked_up(growing, counts, ["garden_at"]).with_columns(
        pl.len().over("garden_at").alias("growing")
    )
    enough = pl.col("growing") >= pl.min_horizontal(pl.lit(LEAST_PLOTS), pl.col("plots"))
    first = gardens.filter(enough).sort("garden_at", "high", "plot_at", descending=[False, True, False])
    return with_plot_named(first.unique("garden_at", keep="first", maintain_order=True), rows)


def _plots_weighed(picked: pl.DataFrame) -> pl.DataFrame:
    """Return the plots with their garden and whether a weight ever falls below the one before."""
    is_same_plot = pl.col("plot_at") == pl.col("plot_at").shift()
    falls = is_same_plot & (pl.col("marketable_weight") < pl.col("marketable_weight").shift())
    told = picked.select("plot_at", "garden_at", falls.alias("falls"))
    return by_plot(told, pl.col("garden_at").first(), pl.col("falls").any())


def _grow(picked: pl.DataFrame) -> pl.DataFrame:
    """Return those of the plots whose weights never fall that were picked and differ often enough."""
    kg = pl.col("marketable_weight")
    plots = by_plot(
        picked,
        pl.col("garden_at").first(),
        pl.len().alias("n"),
        kg.n_unique().alias("different"),
        kg.first().alias("low"),
        kg.last().alias("high"),
        pl.col("date").last().alias("last"),
        kg.diff().drop_nulls().median().alias("step"),
    )
    return plots.filter((pl.col("n") >= LEAST_PICKINGS) & (pl.col("different") >= LEAST_PICKINGS - 1))


def _usual_picking(picked: pl.DataFrame, growing: pl.DataFrame) -> pl.DataFrame:
    """Return the middle picking of the other gardens around the last day of each plot, if any."""
    of_days = picked.group_by("garden_at", "date").agg(pl.col("marketable_weight").median().alias("kg"))
    asked = growing.select("plot_at", "garden_at", "last").join(of_days, how="cross", suffix="_other")
    near = (pl.col("last") - pl.col("date")).dt.total_days().abs() <= DAYS_AROUND
    others = asked.filter(near & (pl.col("garden_at") != pl.col("garden_at_other")))
    usual = others.group_by("plot_at").agg(
        pl.col("kg").median().alias("usual"), pl.col("garden_at_other").n_unique().alias("gardens")
    )
    return usual.filter(pl.col("gardens") >= LEAST_GARDENS).select("plot_at", "usual")


def _without_planting(rows: SeasonRows) -> pl.DataFrame:
    sent = [by_plot(frame, pl.col("date").min()) for frame in (rows.harvest, rows.condition)]
    planted = rows.plots.select("garden_at", "site", "planted_on")
    lacking = looked_up_at(pl.concat(sent), planted, "plot_at").filter(pl.col("planted_on").is_null())
    first = lacking.sort("garden_at", "date", "plot_at").unique(
        "garden_at", keep="first", maintain_order=True
    )
    today = pl.lit(rows.context.today)
    waited = pl.col("date") <= today.dt.offset_by(f"-{PLANTING_DAYS}d")
    return with_plot_named(first.filter(waited & ~rows.context.is_away(today)), rows)


CHECKS = (
    SeasonCheck(
        "weights-keep-growing",
        "question",
        "harvest",
        "marketable_weight",
        _growing,
        NAMED_PLOT | {"low": Say(column("low"), "weight"), "high": Say(column("high"), "weight")},
    ),
    SeasonCheck("planting-sheet-missing", "question", "planting", "date", _without_planting, NAMED_PLOT),
)
