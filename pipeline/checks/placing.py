"""Rows in their place: the garden, the plot and the season that each row is about.

Added columns, besides `row`, the place of a row in its frame:

    site, site_how         the registry's name, null where nobody knows it; plain, read as or unknown
    site_nearest           the closest name, where the site is not known
    plot, plot_known       the registry's name of the plot, else as sent; whether it is one of the garden
    plot_meant, plot_home  for plots that are not known: the plot that a spreadsheet turned into a date; the
                           one other garden that has a plot of this name
    season, plot_at, ...   what the layout says of the plot, in the season whose start to close holds the date
                           or lies nearest, or in that of the file where the row strays (`stray_years`):
                           numbers only; words are looked up for the rows found
    days_outside           how far the date lies outside that season
    in_own_year            for a date outside, the same day and month in a year inside it
    is_lost                garden or plot is not known
    strange_share          the share of the file's rows that name another garden's plot, where there are some
    tag                    the treatment that the cell `treatment` names
    today, days_outside_allowed
"""

import numpy as np
import polars as pl

from pipeline.checks.context import Context
from pipeline.checks.lookup import looked_up, looked_up_at, looked_up_by_number, with_blanks
from pipeline.checks.spelling import nearest_site, plot_from_date, site_meant
from pipeline.checks.stray_years import in_season_of_file
from pipeline.intake.sheets import Sheet, plain

#: Columns of the layout that rows carry; others are looked up by `plot_at` where a check has found something.
LAYOUT_COLUMNS = (
    *("plot_at", "garden_at", "arm_at", "block_at", "season", "layout_plot", "start", "close"),
    *("is_grafted", "plants_per_plot", "tender", "turns_colour", "each_low_kg", "each_high_kg"),
    *("days_set_out_low", "days_set_out_high", "days_sown_low", "days_sown_high"),
)


#: Years that a copied template may be off.
_YEARS_AWAY = (1, -1, 2, -2)


def with_places(sheet: Sheet, rows: pl.DataFrame, context: Context) -> pl.DataFrame:
    """Return the rows with everything that checks hold them against; their order is kept."""
    rows = _with_sites(rows.with_row_index("row"), context).with_columns(
        pl.lit(context.today).alias("today"),
        pl.lit(context.days_outside_allowed).alias("days_outside_allowed"),
    )
    if not sheet.of_kind("plot"):
        return rows.with_columns(
            pl.lit(None, pl.String).alias("season"), (pl.col("site_how") == "unknown").alias("is_lost")
        )
    placed = _with_strangers(_with_own_year(_with_plots(rows, context)))
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
    nearest, outside = _season_of(placed, context.layout)
    plot_at = in_season_of_file(placed, nearest, context.layout)
    if plot_at is not nearest:
        outside = _outside(placed["date"], plot_at, context.layout)
    found = placed.drop("first_at", "seasons").with_columns(plot_at, outside)
    found = looked_up_at(found, context.layout.select(LAYOUT_COLUMNS), "plot_at")
    return found.with_columns(
        pl.col("plot_at").is_not_null().alias("plot_known"),
        (pl.col("plot_at").is_null() | (pl.col("site_how") == "unknown")).alias("is_lost"),
        pl.coalesce("layout_plot", "sent_plot").alias("plot"),
    ).drop("layout_plot")


def _leads(named: pl.DataFrame, context: Context) -> pl.DataFrame:
    """Return where each name of a plot leads, and for names that lead nowhere what was likely meant."""
    pairs = named.rows()
    runs = [None if site is None or name is None else context.places.find(site, name) for site, name in pairs]
    meant: list[tuple[str | None, str | None]] = [
        _likely_meant(site, name, context) if run is None and site and name else (None, None)
        for (site, name), run in zip(pairs, runs, strict=True)
    ]
    return named.with_columns(
        pl.Series("first_at", [None if run is None else run.first_at for run in runs], pl.Int64),
        pl.Series("seasons", [0 if run is None else run.seasons for run in runs], pl.Int64),
        pl.Series("plot_meant", [plot for plot, _ in meant], pl.String),
        pl.Series("plot_home", [home for _, home in meant], pl.String),
    )


def _likely_meant(site: str, name: str, context: Context) -> tuple[str | None, str | None]:
    """Return the plot of a garden behind a day, and the one other garden that has a plot of this name."""
    plots = context.layout["layout_plot"]
    own = sorted({plots[at] for at in context.places.of_site(site)})
    home = context.places.home_of(name)
    return plot_from_date(name, own), None if home == site else home


def _season_of(rows: pl.DataFrame, layout: pl.DataFrame) -> tuple[pl.Series, pl.Series]:
    """Return for each row its plot's place in the layout, in the nearest season, and the days outside it.

    The seasons of a plot stand in a run, oldest first; of two that are equally near the older is meant. A row
    without a date belongs to the oldest.
    """
    first = rows["first_at"].fill_null(-1).to_numpy()
    seasons = rows["seasons"].fill_null(0).to_numpy()
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


def _outside(day: pl.Series, plot_at: pl.Series, layout: pl.DataFrame) -> pl.Series:
    """Return how many days each row lies outside the season of its plot."""
    start, close = (layout[name].gather(plot_at) for name in ("start", "close"))
    away = pl.DataFrame({"before": (start - day).dt.total_days(), "after": (day - close).dt.total_days()})
    return (
        away.select(pl.max_horizontal("before", "after", 0).alias("days_outside"))
        .to_series()
        .zip_with(day.is_not_null() & plot_at.is_not_null(), pl.Series([None], dtype=pl.Int64))
    )


def _with_own_year(rows: pl.DataFrame) -> pl.DataFrame:
    """Return the rows with the same day and month in a year inside the season, for days far outside it."""
    far = rows.lazy().filter(pl.col("days_outside") > 0).select("row", "date", "start", "close").collect()
    if far.is_empty():
        return with_blanks(rows, {"in_own_year": pl.Date})
    moved = [pl.col("date").dt.offset_by(f"{years}y") for years in _YEARS_AWAY]
    in_season = pl.coalesce(
        pl.when(day.is_between(pl.col("start"), pl.col("close"))).then(day) for day in moved
    )
    return looked_up_by_number(rows, far.select("row", in_season.alias("in_own_year")), "row")


def _with_strangers(rows: pl.DataFrame) -> pl.DataFrame:
    """Return the rows with the share of their file's rows that name another garden's plot."""
    file = ["file", "tab"]
    strange = rows.lazy().filter(pl.col("plot_home").is_not_null()).select(file).collect()
    if strange.is_empty():
        return with_blanks(rows, {"strange_share": pl.Float64})
    of_file = strange.group_by(file).agg(pl.len().alias("strange"))
    sizes = rows.select(file).group_by(file).agg(pl.len().alias("rows"))
    share = (pl.col("strange") / pl.col("rows")).alias("strange_share")
    return looked_up(rows, looked_up(of_file, sizes, file).select(*file, share), file)


def _with_tags(rows: pl.DataFrame, context: Context) -> pl.DataFrame:
    sent = rows["sent_treatment"].drop_nulls().unique(maintain_order=True)
    keys = pl.DataFrame(
        {"sent_treatment": sent, "tag_key": [plain(tag) for tag in sent]},
        schema_overrides={"tag_key": pl.String},
    )
    keyed = looked_up(rows, keys, ["sent_treatment"])
    keyed = looked_up_at(keyed, context.layout.select("trial", "in_ground"), "plot_at")
    return looked_up(keyed, context.tags, ["trial", "tag_key"]).drop("tag_key")


def placed_again(rows: pl.DataFrame, context: Context) -> pl.DataFrame:
    """Return kept rows, which name their garden, plot and season, with the numbers of the layout.

    Rows of plots that the layout no longer has are left out.
    """
    numbers = context.layout.select(
        "site", "season", pl.col("layout_plot").alias("plot"), *LAYOUT_COLUMNS[:4]
    ).unique(["site", "season", "plot"], maintain_order=True)
    carried = rows.drop(LAYOUT_COLUMNS[:4], strict=False)
    found = looked_up(carried, numbers, ["site", "season", "plot"])
    return found.filter(pl.col("plot_at").is_not_null()) if found["plot_at"].null_count() else found
