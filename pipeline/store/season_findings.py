"""Findings about whole seasons: asked once, kept as long as their cause lasts, closed when it is gone."""

from collections.abc import Mapping

import polars as pl
import sqlalchemy as sa

from pipeline.store import bulk
from pipeline.store.tables import decisions, findings

#: The answer that settles a question about a season: what was asked about is right as it is.
SETTLES = "use it"

#: Where a finding stands and what its message needs: what changes while its cause lasts.
_SAYS = ("sheet_id", "row_id", "line", "level", "sent", "details")


def with_rows(found: pl.DataFrame, rows: Mapping[str, pl.DataFrame]) -> pl.DataFrame:
    """Return findings of `find_season` with the row and the sheet of the frames that they were found in."""
    places = [
        frame.select(
            pl.lit(kind).alias("sheet"),
            pl.int_range(pl.len(), dtype=pl.UInt32).alias("row"),
            pl.col("row_id").alias("of_row"),
            "sheet_id",
        )
        for kind, frame in rows.items()
    ]
    schema = {"sheet": pl.String, "row": pl.UInt32, "of_row": pl.Int64, "sheet_id": pl.Int64}
    placed = found.join(pl.concat([pl.DataFrame(schema=schema), *places]), on=["sheet", "row"], how="left")
    return placed.rename({"of_row": "row_id", "sheet": "kind"})


def keep_season_findings(connection: sa.Connection, run: int, season: str, found: pl.DataFrame) -> int:
    """Make `found` the questions about a season that stand open, and return how many are new.

    `found` is a frame of `with_rows`. Garden, check and plot name a finding. One that stands open already is
    not asked twice, only said anew; one whose cause is gone is closed; one that a person settled is not asked
    again, unless that answer was taken back. What a row's own check asks of the same plot is asked there.
    """
    named = _named(found)
    asked = _asked(connection, season)
    is_open = pl.col("left").is_null()
    still = named.join(asked.filter(is_open), on="identity", how="inner")
    gone = asked.filter(is_open).join(named, on="identity", how="anti")
    settled = asked.filter(is_open.not_() & pl.col("is_settled")).select("identity").unique()
    fresh = named.join(asked.filter(is_open), on="identity", how="anti").join(
        settled, on="identity", how="anti"
    )
    fresh = fresh.join(
        _asked_of_rows(connection, season), on=["site", "check", "plot"], how="anti", nulls_equal=True
    )
    _say_anew(connection, still)
    closing = findings.c.finding_id.in_(gone["finding_id"].to_list())
    connection.execute(sa.update(findings).where(closing).values(left=run))
    _insert(connection, run, season, fresh)
    return fresh.height


def _named(found: pl.DataFrame) -> pl.DataFrame:
    """Return the findings with the name that each has from night to night."""
    parts = [pl.col(name).fill_null("") for name in ("site", "check", "plot")]
    nth = pl.int_range(pl.len()).over("site", "check", "plot").cast(pl.String)
    return found.with_columns(pl.concat_str([*parts, nth], separator="\n").alias("identity"))


def _asked(connection: sa.Connection, season: str) -> pl.DataFrame:
    """Return what was ever asked about a season: finding_id, identity, left, is_settled."""
    columns = [findings.c.finding_id, findings.c.identity, findings.c.left]
    about = findings.c.identity.is_not(None) & (findings.c.season == season)
    asked = bulk.select(connection, sa.select(*columns).where(about), columns)
    answered = [decisions.c.finding_id]
    settling = (
        decisions.c.finding_id.is_not(None)
        & (decisions.c.answer == SETTLES)
        & decisions.c.withdrawn.is_(None)
    )
    settled = bulk.select(connection, sa.select(*answered).where(settling), answered)
    return asked.with_columns(pl.col("finding_id").is_in(settled["finding_id"].implode()).alias("is_settled"))


def _asked_of_rows(connection: sa.Connection, season: str) -> pl.DataFrame:
    columns = [findings.c.site, findings.c.check, findings.c.plot]
    about = (
        findings.c.identity.is_(None)
        & findings.c.left.is_(None)
        & (findings.c.season == season)
        & (findings.c.level == "question")
    )
    return bulk.select(connection, sa.select(*columns).where(about).distinct(), columns)


def _say_anew(connection: sa.Connection, still: pl.DataFrame) -> None:
    if still.is_empty():
        return
    statement = (
        sa.update(findings)
        .where(findings.c.finding_id == sa.bindparam("b_finding"))
        .values({name: sa.bindparam(f"b_{name}") for name in _SAYS})
    )
    rows = still.select(
        pl.col("finding_id").alias("b_finding"), *(pl.col(name).alias(f"b_{name}") for name in _SAYS)
    )
    connection.execute(statement, rows.to_dicts())


def _insert(connection: sa.Connection, run: int, season: str, fresh: pl.DataFrame) -> None:
    first = bulk.next_id(connection, findings.c.finding_id)
    ready = fresh.with_columns(
        pl.int_range(first, first + fresh.height, dtype=pl.Int64).alias("finding_id"),
        pl.lit(run).alias("entered"),
        pl.lit(season).alias("season"),
    )
    known = [column.name for column in findings.columns if column.name in ready.columns]
    bulk.insert(connection, findings, ready.select(known))
