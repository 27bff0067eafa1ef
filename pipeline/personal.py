"""Everything that is kept of one person, gathered for that person to read."""

from typing import Any

import sqlalchemy as sa

from pipeline.store.account_tables import account_gardens, accounts, audit, sessions, web_uploads
from pipeline.store.tables import decisions, rows_of
from pipeline.workspace import Workspace
from sites.registry import read_registry


def record_of(engine: sa.Engine, workspace: Workspace, person: str) -> dict[str, Any]:
    """Return what is kept under a person's name, by where it is kept; moments are UTC.

    Names are compared without regard to capitals and outer spaces. Secrets are not told: a passphrase is
    kept as a hash, and that there is one is all that is said of it.
    """
    with engine.connect() as connection:
        record: dict[str, Any] = {
            "person": person,
            "accounts": _accounts(connection, person),
            "rows": _rows(connection, person),
            "decisions": _plain(
                connection,
                sa.select(decisions.c.made, decisions.c.answer, decisions.c.why, decisions.c.site).where(
                    _is(decisions.c.made_by, person)
                ),
            ),
        }
    gardens = read_registry(workspace.registry).gardens
    contact = gardens["contact"].fillna("").str.casefold()
    is_named = contact.str.contains(person.casefold().strip(), regex=False)
    record["gardens"] = gardens.loc[is_named, ["site", "contact"]].to_dict("records")
    return record


def _is(column: sa.Column[str], person: str) -> sa.ColumnElement[bool]:
    return sa.func.lower(sa.func.trim(column)) == person.strip().lower()


def _plain(connection: sa.Connection, chosen: sa.Select[Any]) -> list[dict[str, Any]]:
    return [
        {name: value.isoformat() if hasattr(value, "isoformat") else value for name, value in row.items()}
        for row in connection.execute(chosen).mappings()
    ]


def _accounts(connection: sa.Connection, person: str) -> list[dict[str, Any]]:
    found = connection.execute(sa.select(accounts).where(_is(accounts.c.name, person))).all()
    return [
        {
            "name": row.name,
            "role": row.role,
            "mail": row.mail,
            "language": row.language,
            "has_passphrase": row.passphrase is not None,
            "made": row.made.isoformat(),
            "made_by": row.made_by,
            "removed": row.removed.isoformat() if row.removed else None,
        }
        | {
            name: _plain(connection, chosen.where(table.c.account_id == row.account_id))
            for name, table, chosen in (
                ("gardens", account_gardens, sa.select(account_gardens.c.site)),
                ("sessions", sessions, sa.select(sessions.c.began, sessions.c.seen, sessions.c.expires)),
                ("sent", web_uploads, sa.select(web_uploads.c.at, web_uploads.c.site, web_uploads.c.name)),
                ("audit", audit, sa.select(audit.c.at, audit.c.act, audit.c.site, audit.c.what)),
            )
        }
        for row in found
    ]


def _rows(connection: sa.Connection, person: str) -> list[dict[str, Any]]:
    """Return the rows that name the person as the one who recorded them, all versions."""
    return [
        {"sheet": sheet} | row
        for sheet, table in rows_of.items()
        if "recorded_by" in table.c
        for row in _plain(
            connection,
            sa.select(table.c.row_id, table.c.site, table.c.date, table.c.recorded_by, table.c.note).where(
                _is(table.c.recorded_by, person)
            ),
        )
    ]
