"""The night: what came in is taken, checked, joined, estimated and published, all of it or nothing.

A run works beside the published snapshot. Killed at any moment, the old snapshot is still served and the
next run picks up where this one stopped: a file leaves the inbox only when the store knows it.
"""

from collections.abc import Sequence
from dataclasses import replace

import pandas as pd
import sqlalchemy as sa

from pipeline.beside import context_of, kept_in
from pipeline.checks.catalogue import CATALOGUE
from pipeline.checks.check import Check
from pipeline.checks.judge import judge
from pipeline.fingerprint import fingerprint
from pipeline.inbox import archive_files, clear, in_batches, waiting_files
from pipeline.intake.units import BARE_WEIGHT
from pipeline.messages.lead_week import LEAD
from pipeline.messages.night import messages_of_night
from pipeline.messages.occasion import Night
from pipeline.messages.outbox import lying, write_messages
from pipeline.night_report import NightReport
from pipeline.progress import Progress
from pipeline.publish.network import network_frames
from pipeline.publish.place import known_places
from pipeline.publish.seasons import season_frames, season_place
from pipeline.publish.snapshot import FrameKey, newest_snapshot, publish
from pipeline.said_right import record_said
from pipeline.season_checks import check_season
from pipeline.store.applying import apply_decisions
from pipeline.store.engine import open_store, writing
from pipeline.store.keep import Upload, keep
from pipeline.store.runs import end_run, known_digests, start_run
from pipeline.store.told import remember
from pipeline.surroundings import Surroundings, read_surroundings
from pipeline.workspace import Workspace
from sites.errors import LongrowError, RegistryError
from sites.seasons import Seasons

#: Files, and their bytes, judged and kept together: memory is bounded by these, not by how many files wait.
#: Every batch costs some fifty milliseconds besides its rows, so that small ones are slow.
BATCH, BATCH_BYTES = 1_000, 20_000_000


def run_night(
    workspace: Workspace,
    *,
    checks: Sequence[Check] = CATALOGUE,
    rebuild: bool = False,
    progress: Progress | None = None,
) -> NightReport:
    """Run one night and return what it did.

    Raises WorkspaceBusyError where another run holds the workspace, and RegistryError or SettingsError
    before anything is touched where these need mending. Anything that goes wrong later is in the report.
    """
    progress = progress or Progress()
    with workspace.held():
        with progress.step("Registry, climate and soil") as done:
            surroundings = read_surroundings(workspace)
            done(rows=len(surroundings.daily))
        engine = open_store(workspace.database_url)
        with writing(engine) as connection:
            run = start_run(connection, workspace.today(), workspace.now())
        report = NightReport(run, steps=progress.steps)
        try:
            _apply_decisions(workspace, engine, surroundings, run, progress)
            _take_inbox(workspace, engine, surroundings, checks, report, progress)
            _publish(workspace, engine, surroundings, report, progress, rebuild=rebuild)
        except RegistryError:
            # Somebody must mend the registry; the exit code says so.
            raise
        except (LongrowError, OSError, sa.exc.SQLAlchemyError) as error:
            report.trouble = str(error)
        finally:
            with writing(engine) as connection:
                end_run(connection, run, report.status, workspace.now())
            engine.dispose()
    return report


def _apply_decisions(
    workspace: Workspace, engine: sa.Engine, surroundings: Surroundings, run: int, progress: Progress
) -> None:
    """Make what was decided since the last night part of the rows."""
    with progress.step("Decisions") as done, writing(engine) as connection:
        seasons = Seasons(surroundings.registry)
        done(rows=apply_decisions(connection, run, seasons.of_plot, BARE_WEIGHT[workspace.settings.units]))


def _take_inbox(
    workspace: Workspace,
    engine: sa.Engine,
    surroundings: Surroundings,
    checks: Sequence[Check],
    report: NightReport,
    progress: Progress,
) -> None:
    """Archive, judge and keep what waits in the inbox, batch by batch."""
    waiting = waiting_files(workspace)
    context = context_of(workspace, surroundings)
    with progress.step("Reading and checking", len(waiting)) as done:
        for paths in in_batches(waiting, BATCH, BATCH_BYTES):
            files = list(archive_files(workspace, paths))
            with writing(engine) as connection:
                known = known_digests(connection, [file.sha256 for file in files])
                fresh = list({file.sha256: file for file in files if file.sha256 not in known}.values())
                gardens = [context.garden_of(file.sender) for file in fresh]
                sent = [
                    file.sent(None if garden is None else (garden,))
                    for file, garden in zip(fresh, gardens, strict=True)
                ]
                beside = replace(context, kept_of=kept_in(connection))
                judged = judge(sent, beside, workspace.settings, checks)
                uploads = [
                    Upload(
                        file.sha256,
                        file.name,
                        f"garden {garden}" if garden else "",
                        len(file.content),
                        workspace.now(),
                    )
                    for file, garden in zip(fresh, gardens, strict=True)
                ]
                kept = keep(connection, report.run, uploads, judged)
            clear(files)
            report.counts.add(kept)
            report.again += len(files) - len(fresh)
            done(len(files), rows=kept.rows_read)
    record_said(workspace.root, engine, report.run, workspace.now())


def _publish(
    workspace: Workspace,
    engine: sa.Engine,
    surroundings: Surroundings,
    report: NightReport,
    progress: Progress,
    *,
    rebuild: bool,
) -> None:
    """Work out every frame and publish them as one snapshot, unless nothing that they rest on is new."""
    mark = fingerprint(workspace, engine)
    newest = newest_snapshot(engine)
    if newest is not None and newest.fingerprint == mark and not rebuild:
        report.status = "nothing new"
        return
    trials = surroundings.registry.trials
    frames: dict[FrameKey, pd.DataFrame] = {}
    with progress.step("Stations") as done, engine.connect() as connection:
        known = known_places(connection, workspace, surroundings)
        done(rows=len(known.record.stations))
    with progress.step("Places", len(trials)) as done, engine.connect() as connection:
        places = {}
        for trial in trials.itertuples():
            places[trial.Index] = season_place(connection, workspace, surroundings, known, trial)
            done(rows=len(places[trial.Index]))
    _check_seasons(workspace, engine, surroundings, list(places.values()), report, progress)
    with progress.step("Plots and response", len(trials)) as done, engine.connect() as connection:
        for trial in trials.itertuples():
            place, kept = places[trial.Index], None if rebuild else newest
            made = season_frames(connection, workspace, surroundings, known, trial, place, kept)
            frames |= made.frames
            done(rows=made.rows)
        surroundings.corrections.check_all_met()
        frames |= network_frames(connection, workspace, surroundings, known, frames, newest)
    with progress.step("Publishing", len(frames)) as done:
        publish(engine, report.run, workspace.today(), workspace.now(), mark, frames)
        done(len(frames))
    with progress.step("Messages") as done:
        done(rows=_write_messages(workspace, engine, surroundings, report.run, frames))
    report.status = "published"


def _write_messages(
    workspace: Workspace,
    engine: sa.Engine,
    surroundings: Surroundings,
    run: int,
    frames: dict[FrameKey, pd.DataFrame],
) -> int:
    """Lay messages into the outbox, then keep what they told: a night that breaks off tells it again."""
    outbox, registry = workspace.root / "outbox", surroundings.registry
    night = Night(
        run,
        workspace.today(),
        registry.gardens,
        registry.trials,
        workspace.settings,
        frames,
        lying(outbox, workspace.today(), [*registry.gardens["site"], LEAD]),
    )
    with engine.connect() as connection:
        messages = messages_of_night(connection, night)
    write_messages(outbox, night.day, messages)
    with writing(engine) as connection:
        told = [(message.site, name) for message in messages for name in message.occasions]
        remember(connection, run, night.day, told)
    return len(messages)


def _check_seasons(
    workspace: Workspace,
    engine: sa.Engine,
    surroundings: Surroundings,
    places: list[pd.DataFrame],
    report: NightReport,
    progress: Progress,
) -> None:
    """Ask what a whole season gives reason to ask, now that all its sheets are in."""
    context = context_of(workspace, surroundings)
    where = pd.concat(places, ignore_index=True)
    seasons = sorted(surroundings.registry.trials["season"].unique())
    with progress.step("Checks of seasons", len(seasons)) as done:
        for season in seasons:
            with writing(engine) as connection:
                looked_at = check_season(
                    connection, report.run, season, context, surroundings.corrections, where
                )
            done(rows=looked_at)
