"""Links that let somebody in: each works once, until it expires, and only its hash is kept."""

from datetime import datetime, timedelta

import sqlalchemy as sa

from dashboard.access import people
from dashboard.access.account import Account
from dashboard.access.tokens import digest, new_token
from pipeline.store.account_tables import invitations

#: Days for which an invitation works: time enough for a letter.
INVITATION_DAYS = 7
#: Minutes for which a link works that somebody asked for at the sign-in page.
MAILED_MINUTES = 30


def make(
    connection: sa.Connection,
    account: Account,
    made_by: str,
    now: datetime,
    lifetime: timedelta = timedelta(days=INVITATION_DAYS),
) -> str:
    """Return the token of a new link for an account. Older unused links of the account stop working."""
    unused = (invitations.c.account_id == account.id) & invitations.c.used.is_(None)
    connection.execute(sa.delete(invitations).where(unused))
    token = new_token()
    connection.execute(
        sa.insert(invitations).values(
            token_sha256=digest(token),
            account_id=account.id,
            made=now,
            made_by=made_by,
            expires=now + lifetime,
        )
    )
    return token


def account_behind(connection: sa.Connection, token: str, now: datetime) -> Account | None:
    """Return the account that a link is for, None where it was used, has expired or never was."""
    row = connection.execute(sa.select(invitations).where(_works(token, now))).first()
    return None if row is None else people.by_id(connection, row.account_id)


def use(connection: sa.Connection, token: str, now: datetime) -> Account | None:
    """Use a link up and return its account; None where it works no more. Of two at once, one is let in."""
    account = account_behind(connection, token, now)
    used = connection.execute(sa.update(invitations).where(_works(token, now)).values(used=now))
    return account if used.rowcount == 1 else None


def _works(token: str, now: datetime) -> sa.ColumnElement[bool]:
    return (
        (invitations.c.token_sha256 == digest(token))
        & invitations.c.used.is_(None)
        & (invitations.c.expires > now)
    )
