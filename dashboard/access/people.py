"""Accounts: made, changed, listed and removed."""

import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import sqlalchemy as sa

from dashboard.access.account import ACCOUNT_ROLES, Account, Role
from pipeline.store.account_tables import account_gardens, accounts, invitations, sessions
from sites.errors import InputError

LANGUAGES = ("en", "es")
#: Longest name of a person, in characters.
_LONGEST_NAME = 80
_MAIL = re.compile(r"[^@\s<>\"(),;:\\]+@[^@\s<>\"(),;:\\]+\.[^@\s<>\"(),;:\\]+")


@dataclass(frozen=True)
class Person:
    """One account as the lead sees it."""

    account: Account
    mail: str | None
    has_passphrase: bool
    made: datetime
    seen: datetime | None


def sign_in_name(name: str) -> str:
    """Return a name as it is compared: capitals, accents and spaces make no difference."""
    bare = unicodedata.normalize("NFKD", name.casefold())
    return " ".join("".join(letter for letter in bare if not unicodedata.combining(letter)).split())


def any_account(connection: sa.Connection) -> bool:
    """Return whether there has ever been an account."""
    return connection.execute(sa.select(accounts.c.account_id).limit(1)).first() is not None


def leads(connection: sa.Connection) -> int:
    """Return how many leads there are."""
    standing = (accounts.c.role == "lead") & accounts.c.removed.is_(None)
    return connection.execute(sa.select(sa.func.count()).where(standing)).scalar_one()


def add(
    connection: sa.Connection,
    name: str,
    role: str,
    gardens: Sequence[str],
    *,
    known_gardens: Iterable[str],
    made_by: str,
    now: datetime,
    mail: str | None = None,
    language: str = "en",
) -> Account:
    """Make an account and return it.

    Raises InputError where the name is taken, the role or a garden unknown, or a volunteer has no garden.
    """
    shown = " ".join(name.split())
    _refuse_unfit(shown, role, gardens, known_gardens, mail, language)
    if not any_account(connection) and role != "lead":
        raise InputError("The first account must be a lead's: add one with --role lead.")
    if by_name(connection, shown) is not None:
        raise InputError(f"There is an account {shown!r} already. Add a surname or an initial.")
    made = connection.execute(
        sa.insert(accounts).values(
            name=shown,
            sign_in_name=sign_in_name(shown),
            role=role,
            mail=mail or None,
            language=language,
            made=now,
            made_by=made_by,
        )
    )
    number = int(made.inserted_primary_key[0]) if made.inserted_primary_key else 0
    for site in dict.fromkeys(gardens):
        connection.execute(sa.insert(account_gardens).values(account_id=number, site=site))
    found = by_id(connection, number)
    if found is None:
        raise InputError("The account could not be made. Try again.")
    return found


def _refuse_unfit(
    name: str,
    role: str,
    gardens: Sequence[str],
    known_gardens: Iterable[str],
    mail: str | None,
    language: str,
) -> None:
    if not sign_in_name(name) or len(name) > _LONGEST_NAME or not name.isprintable():
        raise InputError(f"A name has 1 to {_LONGEST_NAME} letters: {name!r} does not do.")
    if role not in ACCOUNT_ROLES:
        raise InputError(f"There is no role {role!r}. Choose one of {', '.join(ACCOUNT_ROLES)}.")
    if unknown := sorted(set(gardens) - set(known_gardens)):
        raise InputError(f"The registry has no garden {', '.join(unknown)}. Use the names in gardens.csv.")
    if (role == "volunteer") != bool(gardens):
        raise InputError("A volunteer has one garden or more (--garden), and nobody else has any.")
    if mail and not _MAIL.fullmatch(mail):
        raise InputError(f"{mail!r} is not a mail address.")
    if language not in LANGUAGES:
        raise InputError(f"Pages speak {' and '.join(LANGUAGES)}, not {language!r}.")


def by_id(connection: sa.Connection, number: int) -> Account | None:
    """Return the account with a number, None where it was removed or never there."""
    return _one(connection, accounts.c.account_id == number)


def by_name(connection: sa.Connection, name: str) -> Account | None:
    """Return the account with a name, however it is spelled in capitals and accents."""
    return _one(connection, accounts.c.sign_in_name == sign_in_name(name))


def _one(connection: sa.Connection, condition: sa.ColumnElement[bool]) -> Account | None:
    row = connection.execute(sa.select(accounts).where(condition & accounts.c.removed.is_(None))).first()
    return None if row is None else _account(connection, row)


def _account(connection: sa.Connection, row: sa.Row[tuple[object, ...]]) -> Account:
    owned = sa.select(account_gardens.c.site).where(account_gardens.c.account_id == row.account_id)
    return account_of(row, connection.execute(owned.order_by(account_gardens.c.site)).scalars().all())


def account_of(row: sa.Row[Any], gardens: Sequence[str]) -> Account:
    """Return the account that a row of the store tells of, with its gardens."""
    role: Role = row.role
    return Account(row.name, role, tuple(gardens), row.account_id, row.language)


def everybody(connection: sa.Connection) -> list[Person]:
    """Return all accounts that stand, by name, with when each was last seen."""
    newest = (
        sa.select(sa.func.max(sessions.c.seen))
        .where(sessions.c.account_id == accounts.c.account_id)
        .scalar_subquery()
    )
    standing = sa.select(accounts, newest.label("last_seen")).where(accounts.c.removed.is_(None))
    return [
        Person(_account(connection, row), row.mail, row.passphrase is not None, row.made, row.last_seen)
        for row in connection.execute(standing.order_by(accounts.c.sign_in_name))
    ]


def remove(connection: sa.Connection, account: Account, now: datetime) -> None:
    """Remove an account: its sessions and links end now. Its name stays beside what it did, until erased.

    Raises InputError for the last lead.
    """
    if account.role == "lead" and leads(connection) == 1:
        raise InputError("This is the only lead. Add the next lead first, then remove this one.")
    connection.execute(
        sa.update(accounts)
        .where(accounts.c.account_id == account.id)
        .values(removed=now, sign_in_name=None, passphrase=None, mail=None)
    )
    for table in (sessions, invitations, account_gardens):
        connection.execute(sa.delete(table).where(table.c.account_id == account.id))


def passphrase_of(connection: sa.Connection, account: Account | None) -> str | None:
    """Return the stored hash of an account's passphrase, None where it has none."""
    if account is None:
        return None
    chosen = sa.select(accounts.c.passphrase).where(accounts.c.account_id == account.id)
    return connection.execute(chosen).scalar_one()


def set_passphrase(connection: sa.Connection, account: Account, stored: str) -> None:
    """Keep the hash of a new passphrase. Sessions and links that stood before it end."""
    connection.execute(
        sa.update(accounts).where(accounts.c.account_id == account.id).values(passphrase=stored)
    )
    for table in (sessions, invitations):
        connection.execute(sa.delete(table).where(table.c.account_id == account.id))


def mail_of(connection: sa.Connection, account: Account) -> str | None:
    """Return an account's mail address."""
    return connection.execute(
        sa.select(accounts.c.mail).where(accounts.c.account_id == account.id)
    ).scalar_one()
