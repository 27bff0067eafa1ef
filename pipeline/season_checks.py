"""The checks of whole seasons, over everything that counts once the night's sheets are in."""

from collections.abc import Mapping
from dataclasses import replace

import pandas as pd
import polars as pl
import sqlalchemy as sa

from pipeline.checks.context import Context
from pipeline.checks.season.find import find_season
from pipeline.corrections import Corrections
from pipeline.store.counting import counting_of_season, waiting_rows
from pipeline.store.season_findings import keep_season_findings, with_rows

#: What may explain that a garden yields more or less than others, from the attributes of its place.
EXPLAINS_YIELD = ("degree_days_c_per_day", "rain_mm_per_day")


def check_season(
    connection: sa.Connection,
    run: int,
    season: str,
    context: Context,
    corrections: Corrections,
    places: pd.DataFrame,
) -> int:
    """Ask what the rows of a season give reason to ask, close what they do not, and return how many rows.

    `places` are the attributes of the season's gardens (`sites.attributes`): site, season and weather.
    """
    kept = counting_of_season(connection, season)
    rows = {kind: _seen(kind, frame, context, corrections) for kind, frame in kept.items()}
    looked_at = replace(context, weather=_weather(places))
    held = _waiting(waiting_rows(connection), season, context)
    found = find_season(_without_sources(rows), looked_at, held=held)
    keep_season_findings(connection, run, season, with_rows(found.filter(pl.col("season") == season), rows))
    return sum(frame.height for frame in rows.values())


def _seen(kind: str, rows: pl.DataFrame, context: Context, corrections: Corrections) -> pl.DataFrame:
    """Return the rows dated until today, with known faults put right."""
    dated = rows.filter(pl.col("date") <= context.today)
    if not (corrections.table["sheet"] == kind).any():
        return dated
    return pl.from_pandas(corrections.corrected(kind, dated.to_pandas())).cast(dated.schema)


def _without_sources(rows: Mapping[str, pl.DataFrame]) -> dict[str, pl.DataFrame]:
    return {kind: frame.drop("row_id", "sheet_id") for kind, frame in rows.items()}


def _waiting(rows: pl.DataFrame, season: str, context: Context) -> pl.DataFrame:
    """Return the rows that may be of a season once they are mended: site, season, plot, date.

    A row without its garden is of the one that sent it. A row whose day is in no season is of the same day of
    this one's year, which is what a slip of the year looks like.
    """
    seasons = context.layout.group_by("season").agg(pl.col("start").min(), pl.col("close").max())
    named = rows.with_columns(pl.coalesce("season", _season_of(seasons)).alias("season"))
    is_slip = pl.col("season").is_null() | (pl.col("season") == season) & ~_lies_in(seasons, season)
    year = pl.lit(seasons.filter(pl.col("season") == season)["start"].dt.year().min(), pl.Int32)
    return named.filter(pl.col("season").is_null() | (pl.col("season") == season)).select(
        pl.coalesce("site", pl.col("sender").str.strip_prefix("garden ")).alias("site"),
        pl.lit(season).alias("season"),
        "plot",
        pl.when(is_slip).then(pl.col("date").dt.replace(year=year)).otherwise("date").alias("date"),
    )


def _season_of(seasons: pl.DataFrame) -> pl.Expr:
    """Return the season that a day lies in, null where it lies in none."""
    return pl.coalesce(
        pl.lit(None, pl.String),
        *(pl.when(_lies_in(seasons, name)).then(pl.lit(name)) for name in seasons["season"].sort()),
    )


def _lies_in(seasons: pl.DataFrame, season: str) -> pl.Expr:
    start, close = seasons.filter(pl.col("season") == season).select("start", "close").row(0)
    return pl.col("date").is_between(start, close)


def _weather(places: pd.DataFrame) -> pl.DataFrame:
    """Return what explains yields: one row for each garden and season, missing where it is not known."""
    known = places.drop_duplicates(["site", "season"])
    numbers = {name: known[name].astype("float64").to_numpy() for name in EXPLAINS_YIELD}
    texts = {name: known[name].astype("str").tolist() for name in ("site", "season")}
    return pl.DataFrame(texts | numbers, schema_overrides={"site": pl.String, "season": pl.String})
