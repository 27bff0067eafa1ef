"""Reading what is current of some gardens, as new rows are held against it."""

from collections.abc import Sequence

import polars as pl
import sqlalchemy as sa

from pipeline.intake.sheets import Sheet
from pipeline.store.bulk import select
from pipeline.store.kept import Kept
from pipeline.store.tables import rows_of, sent_sheets, sheet_parts, uploads

#: Above this many gardens all current rows are read at once instead of garden by garden.
_MANY_SITES = 500


def kept_of(connection: sa.Connection, sheet: Sheet, sites: Sequence[str], senders: Sequence[str]) -> Kept:
    """Return what is kept of the gardens, and the rows on hold of unknown gardens that the senders sent."""
    parts = _parts(connection, sheet, sites)
    newest = parts.filter(pl.col("keys").is_not_null())
    heads = newest.select("site", "chain", pl.col("keys").str.split("\n").alias("key")).explode(
        "key", empty_as_null=True
    )
    chain_of = parts.select("sheet_id", "site", "chain").unique(["sheet_id", "site"], keep="first")
    rows = _rows(connection, sheet, sites, senders, parts["sheet_id"].unique().to_list())
    rows = rows.with_columns(pl.col("origin").is_not_null().alias("is_decided"))
    return Kept(
        rows.join(chain_of, on=["sheet_id", "site"], how="left", maintain_order="left"),
        heads,
        parts.select("sheet_id", "chain").unique(),
    )


def _parts(connection: sa.Connection, sheet: Sheet, sites: Sequence[str]) -> pl.DataFrame:
    columns = [sheet_parts.c.sheet_id, sheet_parts.c.site, sheet_parts.c.chain, sheet_parts.c["keys"]]
    query = sa.select(*columns).where(sheet_parts.c.kind == sheet.name).order_by(sheet_parts.c.sheet_id)
    if len(sites) <= _MANY_SITES:
        query = query.where(sheet_parts.c.site.in_(sites))
    return select(connection, query, columns)


def _rows(
    connection: sa.Connection,
    sheet: Sheet,
    sites: Sequence[str],
    senders: Sequence[str],
    sheet_ids: Sequence[int],
) -> pl.DataFrame:
    """Return the current rows with values and sender as they were sent, whatever a decision made of them."""
    table = rows_of[sheet.name]
    sent = table.alias("sent_row")
    values = [sent.c[name] for name in sheet.column_names]
    columns = [
        table.c.row_id,
        table.c.state,
        table.c.key,
        table.c.sheet_id,
        table.c.line,
        uploads.c.sender,
        sent.c.sent,
        table.c.origin,
        *values,
    ]
    query = (
        sa.select(*columns)
        .join(sent, sent.c.row_id == sa.func.coalesce(table.c.origin, table.c.row_id))
        .join(sent_sheets, sent_sheets.c.sheet_id == table.c.sheet_id)
        .join(uploads, uploads.c.upload_id == sent_sheets.c.upload_id)
        .where(table.c.left.is_(None))
        .order_by(table.c.row_id)
    )
    if len(sites) <= _MANY_SITES:
        placeless = table.c.site.is_(None) & (
            uploads.c.sender.in_([sender for sender in senders if sender]) | table.c.sheet_id.in_(sheet_ids)
        )
        query = query.where(table.c.site.in_(sites) | sent.c.site.in_(sites) | placeless)
    return select(connection, query, columns)
