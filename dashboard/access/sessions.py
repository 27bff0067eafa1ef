"""Sessions: who is signed in on which device, until when. They live in the store and survive a restart."""

from datetime import datetime, timedelta

import sqlalchemy as sa

from dashboard.access import people
from dashboard.access.account import Account, Role
from dashboard.access.tokens import digest, new_token
from pipeline.store.account_tables import account_gardens, accounts, sessions

#: How long a session lives at most, and without being used, in days. Whoever sees the whole network signs in
#: again every week; a volunteer's own telephone is remembered through a season break of a month.
LIFETIME_DAYS: dict[Role, tuple[float, float]] = {
    "lead": (7, 0.5),
    "administrator": (7, 0.5),
    "volunteer": (180, 30),
}
#: A session's last use is written at most this often, in seconds: reading pages should not write.
_SEEN_EVERY = 300
#: Devices on which one account can be signed in at once; the oldest session makes room.
MOST_SESSIONS = 10


def begin(connection: sa.Connection, account: Account, now: datetime) -> str:
    """Begin a session and return its token, which only the browser keeps."""
    oldest = (
        sa.select(sessions.c.token_sha256)
        .where(sessions.c.account_id == account.id)
        .order_by(sessions.c.seen.desc(), sessions.c.began.desc())
    )
    surplus = connection.execute(oldest).scalars().all()[MOST_SESSIONS - 1 :]
    connection.execute(sa.delete(sessions).where(sessions.c.token_sha256.in_(surplus)))
    token = new_token()
    whole, _ = LIFETIME_DAYS[account.role]
    connection.execute(
        sa.insert(sessions).values(
            token_sha256=digest(token),
            account_id=account.id,
            began=now,
            seen=now,
            expires=now + timedelta(days=whole),
        )
    )
    return token


def account_of(connection: sa.Connection, token: str, now: datetime) -> tuple[Account | None, bool]:
    """Return the account that a token is signed in as, None where its session has ended.

    The flag says that the session's last use should be written down with `touch`.
    """
    # Every request asks this, so that session, account and its gardens are one question to the store.
    query = (
        sa.select(accounts, account_gardens.c.site, sessions.c.seen, sessions.c.expires)
        .join(sessions, sessions.c.account_id == accounts.c.account_id)
        .outerjoin(account_gardens, account_gardens.c.account_id == accounts.c.account_id)
        .where(sessions.c.token_sha256 == digest(token), accounts.c.removed.is_(None))
        .order_by(account_gardens.c.site)
    )
    rows = connection.execute(query).all()
    if not rows or now >= rows[0].expires:
        return None, False
    account = people.account_of(rows[0], [row.site for row in rows if row.site is not None])
    unused = now - rows[0].seen
    _, idle = LIFETIME_DAYS[account.role]
    if unused >= timedelta(days=idle):
        return None, False
    return account, unused.total_seconds() >= _SEEN_EVERY


def touch(connection: sa.Connection, token: str, now: datetime) -> None:
    """Write down that a session was used."""
    connection.execute(sa.update(sessions).where(sessions.c.token_sha256 == digest(token)).values(seen=now))


def end(connection: sa.Connection, token: str) -> None:
    """End a session."""
    connection.execute(sa.delete(sessions).where(sessions.c.token_sha256 == digest(token)))


def sweep(connection: sa.Connection, now: datetime) -> None:
    """Take out sessions that have ended by themselves."""
    connection.execute(sa.delete(sessions).where(sessions.c.expires <= now))
