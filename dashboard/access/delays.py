"""Failed sign-ins make the next one wait, by account and by address; nobody is shut out for good."""

from dataclasses import dataclass
from datetime import datetime, timedelta

import sqlalchemy as sa

from dashboard.access.tokens import keyed
from pipeline.store.account_tables import sign_in_failures

#: Failures before the first wait. A household or a library shares one address, so it has more.
FREE = {"account": 5, "address": 20}
#: The longest wait, in seconds. After it one more try is free: OWASP ASVS 5.0, 6.3.1, wants guessing slowed
#: and no lock that strangers can put on an account.
LONGEST_WAIT = 900.0
#: Failures are forgotten after this many hours without a new one.
_FORGET_HOURS = 24


@dataclass(frozen=True)
class Try:
    """One attempt to sign in: the account's name as typed and the address it comes from."""

    name: str
    address: str

    def keys(self, key: bytes) -> dict[str, str]:
        """Return under what the attempt is counted: neither name nor address is kept in plain."""
        return {
            "account": keyed(key, "failed account", self.name),
            "address": keyed(key, "failed address", self.address),
        }


def wait_seconds(connection: sa.Connection, attempt: Try, key: bytes, now: datetime) -> float:
    """Return how long this attempt has to wait, 0 where it may go on."""
    waits = [0.0]
    for kind, who in attempt.keys(key).items():
        row = connection.execute(sa.select(sign_in_failures).where(sign_in_failures.c.who == who)).first()
        if row is not None and not _is_forgotten(row.newest, now):
            until = row.newest + timedelta(seconds=_wait(row.failures - FREE[kind]))
            waits.append((until - now).total_seconds())
    return max(waits)


def _wait(surplus: int) -> float:
    return 0.0 if surplus < 0 else min(2.0 ** min(surplus, 20), LONGEST_WAIT)


def _is_forgotten(newest: datetime, now: datetime) -> bool:
    return now - newest > timedelta(hours=_FORGET_HOURS)


def failed(connection: sa.Connection, attempt: Try, key: bytes, now: datetime) -> None:
    """Count a failure."""
    for who in attempt.keys(key).values():
        row = connection.execute(sa.select(sign_in_failures).where(sign_in_failures.c.who == who)).first()
        if row is None:
            connection.execute(sa.insert(sign_in_failures).values(who=who, failures=1, newest=now))
            continue
        before = 0 if _is_forgotten(row.newest, now) else row.failures
        connection.execute(
            sa.update(sign_in_failures)
            .where(sign_in_failures.c.who == who)
            .values(failures=before + 1, newest=now)
        )


def succeeded(connection: sa.Connection, attempt: Try, key: bytes) -> None:
    """Forget the failures of the account. Those of the address stay: one account does not vouch for it."""
    who = attempt.keys(key)["account"]
    connection.execute(sa.delete(sign_in_failures).where(sign_in_failures.c.who == who))


def sweep(connection: sa.Connection, now: datetime) -> None:
    """Take out failures that are forgotten."""
    newest = sign_in_failures.c.newest < now - timedelta(hours=_FORGET_HOURS)
    connection.execute(sa.delete(sign_in_failures).where(newest))
