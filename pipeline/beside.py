"""What the sheets of a network are held against: its registry, its crops, its frosts, and the rows kept."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path

import pandas as pd
import polars as pl
import sqlalchemy as sa

from pipeline.checks.context import Context, KeptOf, make_context, no_late_freeze, nothing_kept
from pipeline.store.counting import CountingOfSites
from pipeline.store.engine import make_engine
from pipeline.store.tables import runs
from pipeline.surroundings import StationFreezes, Surroundings, network_freezes
from pipeline.workspace import Workspace
from sites.climate.freeze_risk import date_of_day, freeze_risk_at
from sites.crops import read_crops
from sites.registry import Registry, read_registry


def context_of(workspace: Workspace, surroundings: Surroundings, kept_of: KeptOf = nothing_kept) -> Context:
    """Return the context that sheets of the network are judged in today."""
    return _context(
        workspace, surroundings.registry, surroundings.crops, lambda: surroundings.station_freezes, kept_of
    )


def _context(
    workspace: Workspace,
    registry: Registry,
    crops: pd.DataFrame,
    freezes: Callable[[], StationFreezes],
    kept_of: KeptOf,
) -> Context:
    watch = workspace.settings.watch
    return make_context(
        registry,
        crops,
        workspace.today(),
        watch.out_of_season_days,
        late_days=watch.late_days,
        late_freeze=cache(lambda: _late_freezes(registry, freezes())),
        kept_of=kept_of,
    )


def kept_in(connection: sa.Connection) -> KeptOf:
    """Return what gives the rows of gardens that count in the store."""
    return lambda sites: CountingOfSites(connection, sites)


@contextmanager
def standing_context(workspace: Workspace) -> Iterator[Context]:
    """Give the context of today with the rows that the nights have kept so far; nothing is written.

    Only what checks of rows look at is read: no soil, no counties, past freezes where something was planted,
    and daily weather where they are not in a table of their own. Raises RegistryError where the registry
    needs mending.
    """
    surround = read_registry(workspace.registry), read_crops(), lambda: network_freezes(workspace)
    if not _has_store(workspace.database_url):
        yield _context(workspace, *surround, nothing_kept)
        return
    engine = make_engine(workspace.database_url)
    try:
        with engine.connect() as connection:
            yield _context(workspace, *surround, kept_in(connection))
    finally:
        engine.dispose()


def _has_store(url: str) -> bool:
    """Return whether a night has made the store yet: looking at a file that is not there would make it."""
    address = sa.make_url(url)
    if address.get_backend_name() == "sqlite" and not Path(address.database or "").exists():
        return False
    engine = make_engine(url)
    try:
        return sa.inspect(engine).has_table(runs.name)
    finally:
        engine.dispose()


def _late_freezes(registry: Registry, freezes: StationFreezes) -> pl.DataFrame:
    """Return the day of each garden and season after which one spring in ten still freezes, where known."""
    gardens, trials = registry.gardens, registry.trials
    if freezes.risk.empty or gardens.empty:
        return no_late_freeze()
    lon, lat = (gardens[name].to_numpy(float) for name in ("lon", "lat"))
    at = freeze_risk_at(freezes.stations, freezes.risk, lon, lat)
    days = at["last_spring_10"].to_numpy()
    parts = []
    for trial in trials.drop_duplicates("season").itertuples():
        dates = date_of_day(days, trial.start.year)
        parts.append(pd.DataFrame({"site": gardens["site"], "season": trial.season, "late_freeze": dates}))
    found = pd.concat(parts).dropna(subset=["late_freeze"]) if parts else pd.DataFrame()
    schema = {"site": pl.String, "season": pl.String, "late_freeze": pl.Date}
    return pl.DataFrame({name: found[name].tolist() for name in schema} if parts else None, schema=schema)
