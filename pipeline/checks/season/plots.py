"""What a plot's season gives away: too much, nothing at all, the same again."""

import polars as pl

from pipeline.checks.check import Say, always, column
from pipeline.checks.lookup import looked_up, looked_up_at
from pipeline.checks.runs import CHANCE, LEAST_COUNT, LEAST_RUN
from pipeline.checks.season.check import SeasonCheck
from pipeline.checks.season.rows import SeasonRows, by_plot

#: Kilograms and fruits per plant are a lot from so many times the crop's soft top on; one picking from this
#: share of the season's top yield. Asked from the top itself on, good gardens with vigorous rootstocks were
#: asked about one plot in seventy. Common practice, no source.
HIGH_YIELD, MANY_FRUITS, BIG_PICKING = 1.25, 2.0, 0.5

#: Pickings of a twin plot, and days from its first to its last, that make a plot without any worth a
#: question. Common practice, no source.
TWIN_PICKINGS, TWIN_DAYS = 3, 14


def _with_plan(rows: SeasonRows, totals: pl.DataFrame) -> pl.DataFrame:
    bands = rows.plots.select(
        "plot_at", "plants", "fruits_low", "fruits_high", "yield_low_kg", "yield_high_kg"
    )
    return looked_up(totals, bands, ["plot_at"]).filter(pl.col("plants") > 0)


def _high_yields(rows: SeasonRows) -> pl.DataFrame:
    kg = pl.col("marketable_weight")
    totals = by_plot(rows.harvest, kg.sum().alias("kg"), kg.max().alias("most"))
    plots = _with_plan(rows, totals).with_columns((pl.col("kg") / pl.col("plants")).alias("read"))
    high = pl.col("read") > HIGH_YIELD * pl.col("yield_high_kg")
    big = pl.col("most") / pl.col("plants") > BIG_PICKING * pl.col("yield_high_kg")
    return plots.filter(high | big).sort("plot_at")


def _many_fruits(rows: SeasonRows) -> pl.DataFrame:
    fruits = pl.col("marketable_count").fill_null(0) + pl.col("cull_count").fill_null(0)
    totals = by_plot(rows.harvest, fruits.sum().alias("fruits"))
    plots = _with_plan(rows, totals).with_columns((pl.col("fruits") / pl.col("plants")).alias("read"))
    return plots.filter(pl.col("read") > MANY_FRUITS * pl.col("fruits_high")).sort("plot_at")


def _never_yielding(rows: SeasonRows) -> pl.DataFrame:
    bears = (pl.col("marketable_weight") > 0) | (pl.col("marketable_count") > 0)
    bearing = rows.harvest.filter(bears).select("plot_at", "arm_at", "date")
    plots = rows.plots.select("plot_at", "arm_at", "site", "died_on", "layout_plot")
    barren = plots.join(bearing, on="plot_at", how="anti").filter(pl.col("died_on").is_null())
    beside = bearing.join(barren, on="arm_at", how="semi")
    twins = looked_up_at(_picked_long(beside), plots.select("arm_at", "layout_plot"), "plot_at")
    twins = twins.sort("arm_at", "n", "plot_at", descending=[False, True, False]).unique(
        "arm_at", keep="first", maintain_order=True
    )
    twin = twins.select("arm_at", "n", pl.col("layout_plot").alias("plot_b"))
    cases = barren.join(twin, on="arm_at", how="inner").select("plot_at", "site", "n", "plot_b")
    today = pl.lit(rows.context.today)
    return cases.filter(~rows.context.is_away(today)).sort("plot_at")


def _picked_long(bearing: pl.DataFrame) -> pl.DataFrame:
    """Return the plots that were picked often and long enough for a plot beside them to be asked about."""
    picked = bearing.group_by("plot_at").agg(
        pl.col("date").n_unique().alias("n"),
        (pl.col("date").max() - pl.col("date").min()).dt.total_days().alias("days"),
    )
    return picked.filter((pl.col("n") >= TWIN_PICKINGS) & (pl.col("days") >= TWIN_DAYS))


def _copied(rows: SeasonRows) -> pl.DataFrame:
    """Return runs of pickings of one plot with the same count and weight, over however many files."""
    line = pl.col("line") if "line" in rows.harvest.columns else pl.lit(None, pl.Int64).alias("line")
    picked = ("plot_at", "marketable_count", "marketable_weight")
    weighed = rows.harvest.select(*picked, "garden_at", "row", line)
    counted = weighed.filter((pl.col("marketable_weight") > 0) & (pl.col("marketable_count") >= LEAST_COUNT))
    same = pl.all_horizontal(pl.col(name) == pl.col(name).shift(1) for name in picked).fill_null(value=False)
    ends_run = pl.all_horizontal(same.shift(row) for row in range(LEAST_RUN - 1))
    suspects = counted.filter(ends_run).select("garden_at").unique()
    counted = counted.join(suspects, on="garden_at", how="semi", maintain_order="left")
    placed = counted.with_columns((~same).cum_sum().alias("at"))
    runs = placed.group_by("at", maintain_order=True).agg(
        pl.col("plot_at", "garden_at", "row").first(),
        pl.len().alias("n"),
        pl.col("line").last().alias("other"),
        pl.col("line").first().alias("first_line"),
        pl.col("marketable_weight").first().alias("kg"),
    )
    often = counted.group_by("garden_at", "marketable_count", "marketable_weight").agg(pl.len().alias("k"))
    chance = often.group_by("garden_at").agg(
        pl.col("k").sum().alias("rows"), ((pl.col("k") / pl.col("k").sum()) ** 2).sum().alias("chance")
    )
    long = looked_up(runs.filter(pl.col("n") >= LEAST_RUN), chance, ["garden_at"])
    by_chance = pl.col("rows") * pl.col("chance") ** (pl.col("n") - 1)
    # Rows one below the other in one file are asked about as that file is read.
    is_block = (pl.col("other") - pl.col("first_line") == pl.col("n") - 1).fill_null(value=False)
    return long.filter((by_chance < CHANCE) & ~is_block).sort("plot_at", "row")


_CROP = {"crop": Say(always(pl.lit(None)), "crop")}

CHECKS = (
    SeasonCheck(
        "plant-yield-high",
        "question",
        "harvest",
        "marketable_weight",
        _high_yields,
        _CROP
        | {
            "read": Say(column("read"), "weight"),
            "low": Say(column("yield_low_kg"), "weight"),
            "high": Say(column("yield_high_kg"), "weight"),
            "sent": Say(column("plants"), "number"),
        },
    ),
    SeasonCheck(
        "plant-fruits-high",
        "question",
        "harvest",
        "marketable_count",
        _many_fruits,
        _CROP
        | {
            "read": Say(always(pl.col("read").round(0)), "number"),
            "low": Say(column("fruits_low"), "number"),
            "high": Say(column("fruits_high"), "number"),
        },
    ),
    SeasonCheck(
        "plot-never-yields",
        "question",
        "harvest",
        "plot",
        _never_yielding,
        {"n": Say(column("n"), "number"), "plot_b": Say(column("plot_b"))},
    ),
    SeasonCheck(
        "copied-down",
        "question",
        "harvest",
        "marketable_weight",
        _copied,
        {
            "n": Say(column("n"), "number"),
            "other": Say(column("other"), "number"),
            "sent": Say(column("kg"), "weight"),
        },
    ),
)
