"""Gardens, plots and seasons that the registry does not know, and days that no trial holds."""

import polars as pl

from pipeline.checks.check import Check, Say, always, column
from pipeline.checks.themes.looks_at import LOST, PLOT_SHEETS, columns_of, only

#: Share of a file's rows below which a plot of another garden is a slip of single rows. Common practice, no
#: source.
FEW_ROWS = 0.5

#: A day is in the future from the second day ahead on: a garden's own day may have begun, and clocks differ.
#: Common practice, no source.
DAYS_AHEAD = 1

#: Days outside a season from which the same day of the season's own year is the likelier one. Common
#: practice, no source.
YEAR_SLIP_DAYS = 60


def _is_lost() -> pl.Expr:
    return (
        pl.col("site").is_not_null()
        & pl.col("sent_plot").is_not_null()
        & ~pl.col("plot_known")
        & ~pl.col("sent_plot").str.starts_with("#")
    )


def _is_of_other_garden() -> pl.Expr:
    """Return whether a plot is another garden's, in a file most of whose rows are right."""
    return _is_lost() & pl.col("plot_home").is_not_null() & (pl.col("strange_share") < FEW_ROWS)


def _turned_to_date() -> pl.Expr:
    return _is_lost() & pl.col("plot_meant").is_not_null()


def _is_ahead() -> pl.Expr:
    return pl.col("date") > pl.col("today") + pl.duration(days=DAYS_AHEAD)


def _is_year_slip() -> pl.Expr:
    return (pl.col("days_outside") > YEAR_SLIP_DAYS) & pl.col("in_own_year").is_not_null() & ~_is_ahead()


def _is_out_of_season() -> pl.Expr:
    return (
        (pl.col("days_outside") > pl.col("days_outside_allowed"))
        & ~_is_year_slip().fill_null(value=False)
        & ~_is_ahead()
    )


CHECKS = (
    Check(
        "site-unknown",
        "held",
        columns_of("site"),
        lambda _: (pl.col("site_how") == "unknown") & ~pl.col("sent_site").str.starts_with("#"),
        {"nearest": Say(column("site_nearest"))},
        among=LOST,
    ),
    Check(
        "site-read-as",
        "note",
        columns_of("site"),
        lambda _: pl.col("site_how") == "read as",
        once_per=("file", "tab", "sent"),
    ),
    Check(
        "rows-of-other-garden",
        "held",
        columns_of("site"),
        lambda _: ~pl.col("site").is_in(pl.col("sender_gardens")),
        {"other": Say(always(pl.col("sender_gardens").list.join(", ")))},
        needs=("sender_gardens",),
    ),
    Check(
        "plot-turned-date",
        "held",
        only("plot", *PLOT_SHEETS),
        lambda _: _turned_to_date(),
        {"suggest": Say(column("plot_meant"))},
        among=LOST,
    ),
    Check(
        "plot-of-other-garden",
        "held",
        only("plot", *PLOT_SHEETS),
        lambda _: _is_of_other_garden() & ~_turned_to_date(),
        {"other": Say(column("plot_home"))},
        among=LOST,
    ),
    Check(
        "plot-unknown",
        "held",
        only("plot", *PLOT_SHEETS),
        lambda _: _is_lost() & ~_is_of_other_garden().fill_null(value=False) & ~_turned_to_date(),
        {"plots": Say(column("garden_plots"))},
        among=LOST,
    ),
    Check(
        "date-in-future",
        "held",
        columns_of("date"),
        lambda _: _is_ahead(),
        {"date": Say(column("date"), "date")},
    ),
    Check(
        "date-year-slip",
        "held",
        only("date", *PLOT_SHEETS),
        lambda _: _is_year_slip(),
        {
            "date": Say(column("date"), "date"),
            "usual": Say(always(pl.col("start").dt.year().cast(pl.String))),
            "suggest": Say(column("in_own_year"), "date"),
        },
        needs=("in_own_year",),
    ),
    Check(
        "date-out-of-season",
        "held",
        only("date", *PLOT_SHEETS),
        lambda _: _is_out_of_season(),
        {
            "date": Say(column("date"), "date"),
            "start": Say(column("start"), "date"),
            "end": Say(column("close"), "date"),
        },
    ),
)
