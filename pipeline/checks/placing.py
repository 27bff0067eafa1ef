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
from pipeline.checks.lookup import (
    looked_up,
    looked_up_at,
    looked_up_by_number,
    where_known,
    with_blanks,
    with_same,
)
from pipeline.checks.spelling import nearest_site, plot_from_date, site_meant
from pipeline.checks.stray_years import in_season_of_file
from pipeline.intake.sheets import Sheet, plain

#: Columns of the layout that rows carry; others are looked up by `plot_at` where a check has found something.
LAYOUT_COLUMNS = [
    *("plot_at", "garden_at", "arm_at", "block_at", "season", "layout_plot", "start", "close"),
    *("is_grafted", "plants_per_plot", "tender", "turns_colour", "each_low_kg", "each_high_kg"),
    *("days_set_out_low", "days_set_out_high", "days_sown_low", "days_sown_high"),
]


#: What the name of a garden tells, and that of a plot in it: where its seasons stand in the layout.
_OF_SITE = dict.fromkeys(["site", "site_how", "site_nearest"], pl.String)
_OF_PLOT = {"first_at": pl.Int64, "seasons": pl.Int64, "plot_meant": pl.String, "plot_home": pl.String}

#: Years that a copied template may be off.
_YEARS_AWAY = (1, -1, 2, -2)


def with_places(sheet: Sheet, rows: pl.DataFrame, context: Context) -> pl.DataFrame:
    """Return the rows with everything that checks hold them against; their order is kept."""
    of_all = {"today": context.today, "days_outside_allowed": context.days_outside_allowed}
    place = pl.Series("row", np.arange(rows.height, dtype=np.uint32))
    numbered = pl.DataFrame([place, *(column for column in rows.get_columns() if column.name != "site")])
    named = with_same(_with_named(sheet, numbered, context), of_all)
    if not sheet.of_kind("plot"):
        is_lost = (named["site_how"] == "unknown").alias("is_lost")
        return with_blanks(named, {"season": pl.String}).hstack([is_lost])
    placed = _with_strangers(_with_own_year(_with_plots(named, context)))
    return _with_tags(placed, context) if "sent_treatment" in placed.columns else placed


def _with_named(sheet: Sheet, rows: pl.DataFrame, context: Context) -> pl.DataFrame:
    """Return the rows with the garden that each names, and where the plot that it names leads."""
    keys = ["sent_site", "sent_plot"] if sheet.of_kind("plot") else ["sent_site"]
    names = rows[keys].unique(maintain_order=True)
    sites = {sent: _site(sent, context) for sent in names["sent_site"].unique()}
    told = pl.DataFrame([sites[sent] for sent in names["sent_site"]], schema=_OF_SITE, orient="row")
    if len(keys) > 1:
        leads = [
            _lead(site, name, context) for site, name in zip(told["site"], names["sent_plot"], strict=True)
        ]
        told = told.hstack(pl.DataFrame(leads, schema=_OF_PLOT, orient="row"))
    return looked_up(rows, names.hstack(told), keys)


def _site(sent: str | None, context: Context) -> tuple[str | None, str | None, str | None]:
    """Return the garden that a name means, how it was found, and the closest name where it was not."""
    if sent is None:
        return None, None, None
    site = site_meant(sent, context.sites)
    if site is None:
        return None, "unknown", nearest_site(sent, context.sites)
    return site, "plain" if site == sent else "read as", None


def _lead(site: str | None, name: str | None, context: Context) -> tuple[int, int, str | None, str | None]:
    """Return where the name of a plot leads, and what was likely meant by one that leads nowhere.

    The first place of the plot in the layout, -1 where it has none, and how many of its seasons follow.
    """
    if site is None or name is None:
        return -1, 0, None, None
    if (run := context.places.find(site, name)) is not None:
        return run.first_at, run.seasons, None, None
    return -1, 0, *_likely_meant(site, name, context)


def _with_plots(rows: pl.DataFrame, context: Context) -> pl.DataFrame:
    """Return the rows with their plot, in the season whose start to close holds the date or lies nearest."""
    nearest, outside = _season_of(rows, context.layout)
    plot_at = in_season_of_file(rows, nearest, context.layout)
    if plot_at is not nearest:
        outside = _outside(rows["date"], plot_at, context.layout)
    placed = rows.drop("first_at", "seasons").hstack([plot_at, outside])
    found = looked_up_at(placed, context.layout[LAYOUT_COLUMNS], "plot_at")
    return found.with_columns(
        pl.col("plot_at").is_not_null().alias("plot_known"),
        (pl.col("plot_at").is_null() | (pl.col("site_how") == "unknown")).alias("is_lost"),
        pl.coalesce("layout_plot", "sent_plot").alias("plot"),
    ).drop("layout_plot")


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
    first, seasons = rows["first_at"].to_numpy(), rows["seasons"].to_numpy()
    day, start, close = (
        dates.to_numpy().astype("datetime64[D]") for dates in (rows["date"], layout["start"], layout["close"])
    )

    def days_outside(at: np.ndarray) -> np.ndarray:
        away = np.maximum((start[at] - day).astype(float), (day - close[at]).astype(float))
        return np.where(np.isnat(day), np.inf, np.maximum(away, 0.0))

    known = first >= 0
    best = np.maximum(first, 0)
    outside = days_outside(best) if len(layout) else np.full(rows.height, np.inf)
    for later in range(1, int(seasons.max(initial=0))):
        at = np.where(later < seasons, first + later, best)
        away = days_outside(at)
        nearer = away < outside
        best, outside = np.where(nearer, at, best), np.where(nearer, away, outside)
    plot_at = np.where(known, best, np.nan)
    days = np.where(known & np.isfinite(outside), outside, np.nan)
    return (
        pl.Series("plot_at", plot_at, nan_to_null=True).cast(pl.UInt32),
        pl.Series("days_outside", days, nan_to_null=True).cast(pl.Int64),
    )


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
    is_far = rows["days_outside"] > 0
    if not is_far.any():
        return with_blanks(rows, {"in_own_year": pl.Date})
    far = rows[["row", "date", "start", "close"]].filter(is_far)
    moved = [pl.col("date").dt.offset_by(f"{years}y") for years in _YEARS_AWAY]
    in_season = pl.coalesce(
        pl.when(day.is_between(pl.col("start"), pl.col("close"))).then(day) for day in moved
    )
    return looked_up_by_number(rows, far.select("row", in_season.alias("in_own_year")), "row")


def _with_strangers(rows: pl.DataFrame) -> pl.DataFrame:
    """Return the rows with the share of their file's rows that name another garden's plot."""
    file = ["file", "tab"]
    strange = where_known(rows[[*file, "plot_home"]], "plot_home")
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
    keyed = looked_up_at(keyed, context.layout[["trial", "in_ground"]], "plot_at")
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
