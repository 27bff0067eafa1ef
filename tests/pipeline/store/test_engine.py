"""The store opens with its newest schema, and a transaction is kept whole or not at all."""

import pytest
import sqlalchemy as sa
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext

from pipeline.store.engine import make_engine, open_store, writing
from pipeline.store.tables import metadata, runs
from sites.errors import WorkspaceError


@pytest.fixture
def url(tmp_path):
    return f"sqlite:///{tmp_path / 'store.db'}"


def test_the_migrations_make_the_schema_of_the_tables(url):
    with open_store(url).connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection), metadata) == []


def test_opening_twice_changes_nothing(url):
    open_store(url).dispose()
    open_store(url).dispose()


def test_a_database_of_a_newer_program_is_refused_and_left_alone(url):
    engine = open_store(url)
    with writing(engine) as connection:
        connection.execute(sa.text("update alembic_version set version_num = '9999'"))
    engine.dispose()
    with pytest.raises(WorkspaceError, match="newer Longrow"):
        open_store(url)


def test_a_database_that_cannot_be_reached_is_said_without_its_password():
    with pytest.raises(WorkspaceError, match="cannot be opened") as caught:
        open_store("sqlite:////no/such/folder/store.db")
    assert "Check the setting" in str(caught.value)


def fail_after(engine, statement):
    with writing(engine) as connection:
        connection.execute(statement)
        raise ZeroDivisionError


def test_a_transaction_that_fails_leaves_nothing(url):
    engine = open_store(url)
    row = sa.insert(runs).values(run_id=1, started=sa.func.now(), status="x", night=sa.func.current_date())
    with pytest.raises(ZeroDivisionError):
        fail_after(engine, row)
    with engine.connect() as connection:
        assert connection.execute(sa.select(sa.func.count()).select_from(runs)).scalar_one() == 0
    engine.dispose()


def test_a_schema_change_that_fails_is_rolled_back(url):
    engine = make_engine(url)
    with pytest.raises(ZeroDivisionError):
        fail_after(engine, sa.text("create table half (x int)"))
    assert sa.inspect(engine).get_table_names() == []
    engine.dispose()
