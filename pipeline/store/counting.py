"""The rows that count, as checks look at them: by kind of sheet, as polars frames."""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

import polars as pl
import sqlalchemy as sa

from pipeline.intake.sheets import sheets
from pipeline.store.bulk import select
from pipeline.store.tables import rows_of, sent_sheets, uploads

#: Gardens named in one question to the database; SQLite takes some thousands of values at most.
_SITES_AT_ONCE = 500


@dataclass(frozen=True)
class CountingOfSites(Mapping[str, pl.DataFrame]):
    """The rows of some gardens that count, of all seasons, by kind of sheet; each is read when asked for.

    Columns are those of `counting_of_season`.
    """

    connection: sa.Connection
    sites: Collection[str]

    def __getitem__(self, kind: str) -> pl.DataFrame:
        """Return the rows of one kind of sheet."""
        names, site = sorted(self.sites), rows_of[kind].c.site
        chunks = [names[at : at + _SITES_AT_ONCE] for at in range(0, len(names), _SITES_AT_ONCE)]
        return pl.concat(_counting(self.connection, kind, site.in_(chunk)) for chunk in chunks or [[]])

    def __iter__(self) -> Iterator[str]:
        """Yield the kinds of sheets."""
        return iter(rows_of)

    def __len__(self) -> int:
        """Return how many kinds of sheets there are."""
        return len(rows_of)

    def __contains__(self, kind: object) -> bool:
        """Return whether there is such a kind of sheet."""
        return kind in rows_of


def counting_of_season(connection: sa.Connection, season: str) -> Mapping[str, pl.DataFrame]:
    """Return the rows of one season that count, by kind of sheet.

    Columns: row_id, sheet_id, line, season and the sheet's own, weights in kg, lengths in cm.
    """
    return {
        kind: _counting(connection, kind, table.c.season == season)
        for kind, table in rows_of.items()
        if kind in _OF_SEASONS
    }


def waiting_rows(connection: sa.Connection) -> pl.DataFrame:
    """Return the harvest rows that wait until they are mended: site, season, plot, date, sender.

    Site, season, plot and date are missing, or not what they should be, where that is what they wait for.
    """
    table = rows_of["harvest"]
    columns = [table.c.site, table.c.season, table.c.plot, table.c.date, uploads.c.sender]
    query = (
        sa.select(*columns)
        .join(sent_sheets, sent_sheets.c.sheet_id == table.c.sheet_id)
        .join(uploads, uploads.c.upload_id == sent_sheets.c.upload_id)
        .where(table.c.left.is_(None), table.c.state.in_(["held", "waits"]))
    )
    return select(connection, query, columns)


#: Kinds of sheets whose rows are about a season.
_OF_SEASONS = frozenset(name for name, sheet in sheets().items() if "plot" in sheet.required)


def _counting(connection: sa.Connection, kind: str, where: sa.ColumnElement[bool]) -> pl.DataFrame:
    table = rows_of[kind]
    values = [table.c[name] for name in sheets()[kind].column_names]
    columns = [table.c.row_id, table.c.sheet_id, table.c.line, table.c.season, *values]
    query = sa.select(*columns).where(table.c.left.is_(None), table.c.state == "counts", where)
    return select(connection, query.order_by(table.c.row_id), columns)
