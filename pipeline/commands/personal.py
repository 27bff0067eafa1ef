"""`longrow erase` and `longrow export`: what is kept of one person, blanked or handed over."""

from dataclasses import asdict
from datetime import UTC, datetime
from typing import Annotated

import typer

from pipeline.commands.options import JsonOption, WorkspaceOption
from pipeline.commands.printing import print_json, say
from pipeline.erasing import Erased, erase_person, erase_picture, erase_row
from pipeline.personal import record_of
from pipeline.store.engine import open_store
from pipeline.workspace import open_workspace
from sites.errors import InputError


def erase(
    why: Annotated[str, typer.Option("--why", help="The reason; it is kept in place of what is erased.")],
    person: Annotated[
        str | None, typer.Option("--person", help="Name of the person, as it stands in sheets and accounts.")
    ] = None,
    row: Annotated[
        int | None, typer.Option("--row", help="Number of one row whose words are erased.")
    ] = None,
    kind: Annotated[str, typer.Option("--kind", help="Kind of sheet that the row is of.")] = "harvest",
    picture: Annotated[
        int | None, typer.Option("--picture", help="Number of one picture of paper, as in its address.")
    ] = None,
    workspace: WorkspaceOption = None,
    as_json: JsonOption = False,
) -> None:
    """Blank names, contact details, notes and pictures of a person, or the words of one row. Numbers stay.

    This cannot be undone. It names the backups that still hold what was erased.
    """
    if sum(one is not None for one in (person, row, picture)) != 1:
        raise InputError("Name a person (--person), a row (--row) or a picture (--picture).")
    place = open_workspace(workspace)
    now = datetime.now(UTC).replace(tzinfo=None)
    with place.held():
        engine = open_store(place.database_url)
        if person is not None:
            done = erase_person(engine, place, person, why, now)
        elif picture is not None:
            done = erase_picture(engine, place, picture, why, now)
        else:
            done = erase_row(engine, place, kind, int(row or 0), why, now)
        engine.dispose()
    if as_json:
        print_json(asdict(done))
    else:
        _say(done)


def _say(done: Erased) -> None:
    for table, count in done.rows.items():
        if count:
            say(f"{table}: {count} blanked")
    for file, became in done.files.items():
        say(f"{file}: {became}")
    if not any(done.rows.values()) and not done.files:
        say("Nothing was found under that name.")
    for backup in done.backups:
        say(f"{backup} still holds it: delete it, or make a new backup and delete it then.")
    for number in done.pictures:
        say(f"Picture {number} may show it too: look at it, then longrow erase --picture {number} --why ...")
    say("A server that is running shows it until the next night; start it again to show it no more at once.")


def export(
    person: Annotated[str, typer.Option("--person", help="Name of the person.")],
    workspace: WorkspaceOption = None,
) -> None:
    """Print everything that is kept of one person, as one JSON document for them to have."""
    place = open_workspace(workspace)
    engine = open_store(place.database_url)
    print_json(record_of(engine, place, person))
    engine.dispose()


def add_to(app: typer.Typer) -> None:
    """Add the commands."""
    app.command()(erase)
    app.command()(export)
