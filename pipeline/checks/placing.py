"""Rows in their place: the garden, the plot and the season that each row is about.

Added columns, besides `row`, the place of a row in its frame:

    site, site_how         the registry's name, null where nobody knows it; plain, read as or unknown
    site_nearest           the closest name, where the site is not known
    plot, plot_known       the registry's name of the plot, else as sent; whether it is one of the garden
    plot_meant, plot_home  for plots that are not known: the plot that a spreadsheet turned into a date; the
                           one other garden that has a plot of this name
    season, plot_at, ...   what the layout says of the plot, in the season whose start to close holds the date
                           or lies nearest: numbers only; words are looked up for the rows found
    days_outside           how far the date lies outside that season
    tag                    the treatment that the cell `treatment` names
    today, days_outside_allowed
"""

import numpy as np
import polars as pl

from pipeline.checks.context import Context
from pipeline.checks.layout import as_written, loosely
from pipeline.checks.lookup import looked_up
from pipeline.checks.spelling import nearest_site, plot_from_date, site_meant
from pipeline.intake.sheets import Sheet, plain

#: Columns of the layout that rows carry; others are looked up by `plot_at` where a check has found something.
LAYOUT_COLUMNS = (
    *("plot_at", "garden_at", "arm_at", "block_at", "season", "layout_plot", "start", "close"),
    *("is_grafted", "plants_per_plot", "tender", "turns_colour", "each_low_kg", "each_high_kg"),
    *("days_set_out_low", "days_set_out_high", "days_sown_low", "days_sown_high"),
)


def with_places(sheet: Sheet, rows: pl.DataFrame, context: Context) -> pl.DataFrame:
    """Return the rows with everything that checks hold them against; their order is kept."""
    rows = _with_sites(rows.with_row_index("row"), context).with_columns(
        pl.lit(context.today).alias("today"),
        pl.lit(context.days_outside_allowed).alias("days_outside_allowed"),
    )
    if not sheet.of_kind("plot"):
        return rows.with_columns(pl.lit(None, pl.String).alias("season"))
    placed = _with_plots(rows, context)
    return _with_tags(placed, context) if "sent_treatment" in placed.columns else placed


def _with_sites(rows: pl.DataFrame, context: Context) -> pl.DataFrame:
    sent = rows["sent_site"].drop_nulls().unique().sort().to_list()
    found = [site_meant(name, context.sites) for name in sent]
    exact = [name == site for name, site in zip(sent, found, strict=True)]
    known = pl.DataFrame(
        {
            "sent_site": sent,
            "known_site": found,
            "site_how": [
                "unknown" if site is None else "plain" if same else "read as"
                for site, same in zip(found, exact, strict=True)
            ],
            "site_nearest": [
                None if site else nearest_site(name, context.sites)
                for name, site in zip(sent, found, strict=True)
            ],
        },
        schema=dict.fromkeys(["sent_site", "known_site", "site_how", "site_nearest"], pl.String),
    )
    told = looked_up(rows, known, ["sent_site"])
    return told.with_columns(pl.col("known_site").alias("site")).drop("known_site")


def _with_plots(rows: pl.DataFrame, context: Context) -> pl.DataFrame:
    """Return the rows with their plot, in the season whose start to close holds the date or lies nearest."""
    named = rows.select("site", "sent_plot").unique()
    placed = looked_up(rows, _leads(named, context), ["site", "sent_plot"])
    plot_at, outside = _season_of(placed, context.layout)
    found = placed.drop("first_at", "seasons").with_columns(plot_at, outside)
    found = looked_up(found, context.layout.select(LAYOUT_COLUMNS), ["plot_at"])
    return found.with_columns(
        pl.col("plot_at").is_not_null().alias("plot_known"),
        pl.coalesce("layout_plot", "sent_plot").alias("plot"),
    ).drop("layout_plot")


def _leads(named: pl.DataFrame, context: Context) -> pl.DataFrame:
    """Return where each name of a plot leads, and for names that lead nowhere what was likely meant."""
    written, loose = context.places, context.places
    found = named.with_columns(
        as_written(pl.col("sent_plot")).alias("written"), loosely(pl.col("sent_plot")).alias("loose")
    )
    found = found.join(written, left_on=["site", "written"], right_on=["site", "name"], how="left")
    found = found.join(
        loose, left_on=["site", "loose"], right_on=["site", "name"], how="left", suffix="_loose"
    )
    found = found.with_columns(
        pl.coalesce("first_at", "first_at_loose").alias("first_at"),
        pl.coalesce("seasons", "seasons_loose").alias("seasons"),
    )
    lost = found.filter(pl.col("first_at").is_null() & pl.col("site").is_not_null())
    meant = _likely_meant(lost.filter(pl.col("sent_plot").is_not_null()), context)
    return found.select("site", "sent_plot", "first_at", "seasons").join(
        meant, on=["site", "sent_plot"], how="left"
    )


def _likely_meant(lost: pl.DataFrame, context: Context) -> pl.DataFrame:
    """Return for each plot that is not known the one behind a date, and the one garden that has it."""
    homes = context.places.group_by(pl.col("name").alias("written")).agg(
        pl.col("site").first().alias("plot_home"), pl.len().alias("gardens")
    )
    one_home = homes.filter(pl.col("gardens") == 1).drop("gardens")
    plots = {
        site: frame["layout_plot"].unique().sort().to_list()
        for (site,), frame in context.layout.filter(pl.col("site").is_in(lost["site"].unique().implode()))
        .select("site", "layout_plot")
        .group_by("site")
    }
    meant = [plot_from_date(name, plots.get(site, [])) for site, name in lost["site", "sent_plot"].rows()]
    return (
        lost.with_columns(pl.Series("plot_meant", meant, pl.String))
        .join(one_home, on="written", how="left")
        .select("site", "sent_plot", "plot_meant", "plot_home")
    )


def _season_of(rows: pl.DataFrame, layout: pl.DataFrame) -> tuple[pl.Series, pl.Series]:
    """Return for each row its plot's place in the layout, in the nearest season, and the days outside it.

    The seasons of a plot stand in a run, oldest first; of two that are equally near the older is meant. A row
    without a date belongs to the oldest.
    """
    first = rows["first_at"].cast(pl.Int64).fill_null(-1).to_numpy()
    seasons = rows["seasons"].cast(pl.Int64).fill_null(0).to_numpy()
    day = rows["date"].to_numpy().astype("datetime64[D]")
    start = layout["start"].to_numpy().astype("datetime64[D]")
    close = layout["close"].to_numpy().astype("datetime64[D]")

    def days_outside(at: np.ndarray) -> np.ndarray:
        away = np.maximum((start[at] - day).astype(float), (day - close[at]).astype(float))
        return np.where(np.isnat(day), np.inf, np.maximum(away, 0.0))

    if not len(layout):
        nothing = pl.Series([None] * rows.height, dtype=pl.Int64)
        return nothing.cast(pl.UInt32).alias("plot_at"), nothing.alias("days_outside")
    best, outside = np.maximum(first, 0), days_outside(np.maximum(first, 0))
    for later in range(1, int(seasons.max(initial=0))):
        at = np.where(later < seasons, first + later, best)
        away = days_outside(at)
        nearer = away < outside
        best, outside = np.where(nearer, at, best), np.where(nearer, away, outside)
    known = pl.Series(first >= 0)
    plot_at = pl.Series(best, dtype=pl.UInt32)
    is_dated = pl.Series(np.isfinite(outside))
    days = pl.Series(np.where(np.isfinite(outside), outside, 0), dtype=pl.Float64).cast(pl.Int64)
    frame = pl.DataFrame({"known": known, "plot_at": plot_at, "dated": is_dated, "days_outside": days})
    blanked = frame.select(
        pl.when("known").then("plot_at").alias("plot_at"),
        pl.when(pl.col("known") & pl.col("dated")).then("days_outside").alias("days_outside"),
    )
    return blanked["plot_at"], blanked["days_outside"]


def _with_tags(rows: pl.DataFrame, context: Context) -> pl.DataFrame:
    sent = rows["sent_treatment"].drop_nulls().unique(maintain_order=True)
    keys = pl.DataFrame(
        {"sent_treatment": sent, "tag_key": [plain(tag) for tag in sent]},
        schema_overrides={"tag_key": pl.String},
    )
    trials = context.layout.select("plot_at", "trial", "in_ground")
    keyed = rows.join(keys, on="sent_treatment", how="left", maintain_order="left")
    keyed = keyed.join(trials, on="plot_at", how="left", maintain_order="left")
    return keyed.join(context.tags, on=["trial", "tag_key"], how="left", maintain_order="left").drop(
        "tag_key"
    )


def placed_again(rows: pl.DataFrame, context: Context) -> pl.DataFrame:
    """Return kept rows, which name their garden, plot and season, with what the layout says of the plot.

    Rows of plots that the layout no longer has are left out.
    """
    layout = context.layout.select("site", "layout_plot", *LAYOUT_COLUMNS[:5]).unique(
        ["site", "season", "layout_plot"], maintain_order=True
    )
    carried = [name for name in rows.columns if name not in LAYOUT_COLUMNS[:4]]
    return rows.select(carried).join(
        layout,
        left_on=["site", "season", "plot"],
        right_on=["site", "season", "layout_plot"],
        how="inner",
        maintain_order="left",
    )
