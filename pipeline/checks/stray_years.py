"""Rows that stray into another season among the rows of their file: a year written wrongly.

Where a network has run for years, a slip of the year does not fall outside every season: it falls into last
year's, over rows that were right.
"""

import numpy as np
import polars as pl

#: Share of a file's rows from which they say which season the file is about. Common practice, no source.
MAIN_SHARE = 0.9

#: Rows of another season in one run, at the top or the end of a file, that are meant so: a record that goes
#: on from one season into the next. Common practice, no source.
MEANT_ROWS = 3

_FILE = ("file", "tab")


def in_season_of_file(rows: pl.DataFrame, plot_at: pl.Series, layout: pl.DataFrame) -> pl.Series:
    """Return the place of each row's plot in the layout, in the season of its file where the row strays.

    `rows` has file, tab, date, first_at and seasons (where the plot's seasons stand in the layout), in the
    order of the files. A row strays where nearly all others of its file are of another season, it stands
    among them, and its day in that season's year lies in the season.
    """
    seasons = layout["season"][plot_at]
    if seasons.n_unique() - (seasons.null_count() > 0) < 2:
        return plot_at
    told = rows.select(*_FILE, "date", "first_at", "seasons").with_columns(
        plot_at.alias("at"), seasons.alias("season"), pl.int_range(pl.len()).alias("place")
    )
    counts = told.filter(pl.col("season").is_not_null()).group_by(*_FILE, "season").len()
    if counts.select(_FILE).unique().height == counts.height:
        return plot_at
    share = (pl.col("len") / pl.col("len").sum().over(_FILE)).alias("share")
    main = counts.with_columns(share).filter(pl.col("share") >= MAIN_SHARE)
    mixed = told.join(
        main.select(*_FILE, pl.col("season").alias("main")), on=_FILE, how="inner", nulls_equal=True
    ).sort("place")
    strays = _among_others(mixed).filter(pl.col("season") != pl.col("main"))
    moved = _moved(strays, layout)
    found = plot_at.to_numpy(allow_copy=True).astype(float).copy()
    found[moved["place"].to_numpy()] = moved["to"].to_numpy()
    return pl.Series("plot_at", found).fill_nan(None).cast(pl.UInt32)


def _among_others(rows: pl.DataFrame) -> pl.DataFrame:
    """Return the rows without runs of another season that begin or end a file."""
    changed = pl.col("season").ne_missing(pl.col("season").shift()).cum_sum().over(_FILE)
    runs = rows.with_columns(changed.alias("run"))
    sizes = runs.with_columns(pl.len().over(*_FILE, "run").alias("size"))
    ends = (pl.col("run") == pl.col("run").min().over(_FILE)) | (
        pl.col("run") == pl.col("run").max().over(_FILE)
    )
    return sizes.filter(~(ends & (pl.col("size") >= MEANT_ROWS)))


def _moved(strays: pl.DataFrame, layout: pl.DataFrame) -> pl.DataFrame:
    """Return where strays belong: place, and `to`, the place in the layout of the season of their file."""
    season, start, close = (layout[name].to_numpy() for name in ("season", "start", "close"))
    moved: list[tuple[int, int]] = []
    for place, day, first, count, main in strays.select(
        "place", "date", "first_at", "seasons", "main"
    ).iter_rows():
        for at in range(first, first + count):
            year = np.datetime64(start[at], "Y").astype(int) + 1970
            same_day = _in_year(day, int(year))
            if season[at] == main and np.datetime64(start[at]) <= same_day <= np.datetime64(close[at]):
                moved.append((place, at))
    return pl.DataFrame(moved, schema={"place": pl.Int64, "to": pl.Int64}, orient="row")


def _in_year(day: object, year: int) -> np.datetime64:
    """Return the same day in a year; 29 February is the 28th where there is none."""
    month, of_month = getattr(day, "month", 1), getattr(day, "day", 1)
    last = 28 if month == 2 else of_month
    return np.datetime64(f"{year:04}-{month:02}-{min(of_month, last):02}")
