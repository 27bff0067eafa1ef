"""Opening the store: one engine for SQLite or PostgreSQL, brought to the newest schema."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Any

import sqlalchemy as sa

from sites.errors import WorkspaceError

if TYPE_CHECKING:
    from alembic.config import Config


def open_store(url: str) -> sa.Engine:
    """Return an engine for the database at `url`, its schema brought to the newest version.

    Raises WorkspaceError where the database cannot be reached.
    """
    engine = make_engine(url)
    try:
        migrate(engine)
    except sa.exc.OperationalError as error:
        raise WorkspaceError(
            f"The database {sa.make_url(url).render_as_string(hide_password=True)} cannot be opened: "
            f"{error.orig}. Check the setting `database`."
        ) from error
    return engine


def make_engine(url: str) -> sa.Engine:
    """Return an engine for the database at `url`, which need not have a schema yet."""
    engine = sa.create_engine(url)
    if engine.dialect.name == "sqlite":
        sa.event.listen(engine, "connect", _prepare_sqlite)
        sa.event.listen(engine, "begin", _begin_sqlite)
    return engine


def _prepare_sqlite(connection: Any, _record: Any) -> None:
    # The standard driver begins transactions by itself and then cannot roll a schema change back; Longrow
    # begins them (`_begin_sqlite`).
    connection.isolation_level = None
    # Names, notes and contact details lie in it; the files beside it take its permissions.
    for _, _, file in connection.execute("PRAGMA database_list"):
        if file and Path(file).stat().st_uid == os.getuid():
            Path(file).chmod(0o600)
    for pragma in ("journal_mode = WAL", "synchronous = FULL", "foreign_keys = ON", "busy_timeout = 10000"):
        connection.execute(f"PRAGMA {pragma}")


def _begin_sqlite(connection: sa.Connection) -> None:
    # A transaction that reads first and writes later would be refused when another writer came between.
    writes = connection.get_execution_options().get("writes", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


@contextmanager
def writing(engine: sa.Engine) -> Iterator[sa.Connection]:
    """Give a connection in a transaction that writes: all of it is kept, or nothing."""
    with engine.connect().execution_options(writes=True) as connection, connection.begin():
        yield connection


def _config(connection: sa.Connection) -> "Config":
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(files("pipeline.store") / "migrations"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    return config


def migrate(engine: sa.Engine) -> None:
    """Bring the schema to the newest version; a database that is newer than this program is refused."""
    from alembic import command
    from alembic.runtime.migration import MigrationContext
    from alembic.script import ScriptDirectory

    with engine.connect() as connection:
        config = _config(connection)
        scripts = ScriptDirectory.from_config(config)
        present = MigrationContext.configure(connection).get_current_revision()
        connection.rollback()
        if present == scripts.get_current_head():
            return
        if present is not None and present not in {script.revision for script in scripts.walk_revisions()}:
            raise WorkspaceError(
                "The database was made by a newer Longrow than this one. Install the newer Longrow; "
                "nothing was changed."
            )
        command.upgrade(config, "head")
