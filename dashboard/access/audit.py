"""The record of what people did: written and read, never changed."""

from dataclasses import dataclass
from datetime import datetime, timedelta

import sqlalchemy as sa

from dashboard.access.account import Account
from pipeline.store.account_tables import accounts, audit

#: Days for which a line is kept: a season and the months until the next begins. Deleting an earlier one is
#: refused by the database itself.
KEPT_DAYS = 400
#: Longest text of a line; what strangers send must not fill the disk.
_LONGEST = 300


@dataclass(frozen=True)
class Line:
    """One thing that was done."""

    at: datetime
    name: str
    act: str
    site: str | None
    what: str | None


def write(
    connection: sa.Connection,
    account: Account,
    act: str,
    now: datetime,
    *,
    site: str | None = None,
    what: str | None = None,
) -> None:
    """Add a line."""
    connection.execute(
        sa.insert(audit).values(
            at=now,
            account_id=account.id,
            act=act,
            site=site[:_LONGEST] if site else None,
            what=what[:_LONGEST] if what else None,
        )
    )


def newest(connection: sa.Connection, most: int = 200, account: int | None = None) -> list[Line]:
    """Return the newest lines first; of one account where it is named."""
    chosen = (
        sa.select(audit, accounts.c.name)
        .join(accounts, accounts.c.account_id == audit.c.account_id, isouter=True)
        .order_by(audit.c.audit_id.desc())
        .limit(most)
    )
    if account is not None:
        chosen = chosen.where(audit.c.account_id == account)
    return [
        Line(row.at, row.name or "nobody", row.act, row.site, row.what) for row in connection.execute(chosen)
    ]


def sweep(connection: sa.Connection, now: datetime) -> None:
    """Take out lines that were kept for their time."""
    # A day more than the database insists on, as its clock need not be ours.
    connection.execute(sa.delete(audit).where(audit.c.at < now - timedelta(days=KEPT_DAYS + 1)))
