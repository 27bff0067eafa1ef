"""The door of one network: where its accounts are kept, its key, its address, and its clock."""

import secrets
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from urllib.parse import urlsplit

import sqlalchemy as sa
from flask import g, has_request_context

from dashboard.access import audit, people, sessions
from dashboard.access.account import NOBODY, OPEN_ACCOUNT, Account, reader
from dashboard.access.tokens import network_key
from pipeline.store.engine import writing
from pipeline.workspace import Workspace

#: Names under which a server that listens on this machine alone may be asked. A page elsewhere that points
#: its own name at this machine (DNS rebinding) is turned away.
LOOPBACK = ("127.0.0.1", "localhost", "::1")


def moment() -> datetime:
    """Return this moment in UTC; sessions and links live by the real clock, also while a day is replayed."""
    return datetime.now(UTC).replace(tzinfo=None)


@dataclass(frozen=True)
class Door:
    """What the guard needs to know of a network; without a store everybody is the open account."""

    engine: sa.Engine | None = None
    workspace: Workspace | None = None
    key: bytes = field(default_factory=lambda: secrets.token_bytes(32), repr=False)
    clock: Callable[[], datetime] = moment
    hosts: tuple[str, ...] = LOOPBACK

    @property
    def address(self) -> str:
        """The public address without a slash at its end; blank for this machine alone."""
        return self.workspace.settings.serving.address.rstrip("/") if self.workspace else ""

    @property
    def by_tls(self) -> bool:
        """Whether browsers reach it by TLS."""
        return self.address.startswith("https://")

    def account_of(self, token: str) -> Account:
        """Return who a browser's token is signed in as; without any account, the open one."""
        if self.engine is None:
            return OPEN_ACCOUNT
        now = self.clock()
        with self.engine.connect() as connection:
            account, should_touch = sessions.account_of(connection, token, now)
        if account is not None and should_touch:
            with writing(self.engine) as connection:
                sessions.touch(connection, token, now)
        return account or (OPEN_ACCOUNT if self.is_open() else NOBODY)

    def is_open(self) -> bool:
        """Whether the network keeps no accounts, so that whoever reaches it sees everything.

        Only on this machine: a network with a public address is shut until its first lead is there.
        """
        if self.engine is None:
            return True
        with self.engine.connect() as connection:
            return not self.address and not people.any_account(connection)

    def is_open_to(self, account: Account) -> bool:
        """Return whether the network keeps no accounts; whoever is signed in shows that it keeps some."""
        return account in (OPEN_ACCOUNT, NOBODY) and self.is_open()

    def note(self, account: Account, act: str, *, site: str | None = None, what: str | None = None) -> None:
        """Write a line into the audit; a network without a store keeps none."""
        if self.engine is not None:
            with writing(self.engine) as connection:
                audit.write(connection, account, act, self.clock(), site=site, what=what)


def write_down(act: str, *, site: str | None = None, what: str | None = None) -> None:
    """Write into the audit what the reader of this request just did; outside of one nothing is written."""
    door: Door | None = g.get("door") if has_request_context() else None
    if door is not None:
        door.note(reader(), act, site=site, what=what)


def door_of(workspace: Workspace, engine: sa.Engine) -> Door:
    """Return the door of a workspace; its key is made at the first call."""
    named = urlsplit(workspace.settings.serving.address).hostname
    hosts = (named.lower(), *LOOPBACK) if named else LOOPBACK
    return Door(engine, workspace, network_key(workspace.root), hosts=hosts)
