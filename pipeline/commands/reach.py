"""`longrow reach`: the year's figures of program reach, as text, JSON, a table or the document."""

from pathlib import Path
from typing import Annotated, Any

import pandas as pd
import typer

from pipeline.commands.options import JsonOption, WorkspaceOption
from pipeline.commands.printing import print_json, say, table
from pipeline.publish.reach_measures import BY_NAME
from pipeline.publish.reach_year import (
    ReachYear,
    complete,
    counties_table,
    figures_table,
    how_sure,
    reach_year,
    sent_measures,
    sentence,
    told,
)
from pipeline.publish.snapshot import PublishedSnapshot, newest_snapshot
from pipeline.store.engine import open_store
from pipeline.workspace import Workspace, open_workspace
from sites.errors import InputError


def reach(
    workspace: WorkspaceOption = None,
    year: Annotated[
        int | None, typer.Option("--year", help="Calendar year; else the newest.", show_default=False)
    ] = None,
    out: Annotated[
        Path | None,
        typer.Option("--out", help="Write the document (.pdf) or the table (.csv).", show_default=False),
    ] = None,
    as_json: JsonOption = False,
) -> None:
    """Tell what gardens and volunteers gave in a year, as last published; write the year's document."""
    place = open_workspace(workspace)
    snapshot = _newest(place)
    found = reach_year(snapshot.frame("reach"), snapshot.frame("reach_counties"), year)
    if out is not None:
        _write(out, found, snapshot, place)
    if as_json:
        print_json(_document(found, place))
    elif out is not None:
        say(f"Wrote {out}.")
    else:
        _print(found)


def _newest(place: Workspace) -> PublishedSnapshot:
    snapshot = newest_snapshot(open_store(place.database_url))
    if snapshot is None:
        raise InputError("Nothing is published yet. Run: longrow nightly")
    return snapshot


def _write(out: Path, found: ReachYear, snapshot: PublishedSnapshot, place: Workspace) -> None:
    if out.suffix.lower() not in (".pdf", ".csv"):
        raise InputError(
            f"{out} is neither a document nor a table. Give --out a name that ends in .pdf or .csv."
        )
    try:
        if out.suffix.lower() == ".csv":
            figures_table(found).to_csv(out, index=False, lineterminator="\n", date_format="%Y-%m-%d")
            return
        from pipeline.publish.reach_document import reach_document

        out.write_bytes(
            reach_document(found, snapshot.frame("outlines"), place.settings.name, snapshot.published)
        )
    except OSError as error:
        raise InputError(f"{out} cannot be written: {error.strerror}. Choose another place.") from error


def _document(found: ReachYear, place: Workspace) -> dict[str, Any]:
    return {
        "network": place.settings.name,
        "year": found.year,
        "until": found.until,
        "sentence": sentence(found),
        "figures": _records(figures_table(found)),
        "counties": _records(counties_table(found)),
    }


def _records(rows: pd.DataFrame) -> list[dict[str, Any]]:
    return [
        {str(name): None if pd.isna(value) else _plain(value) for name, value in row.items()}
        for row in rows.to_dict("records")
    ]


def _plain(value: Any) -> Any:
    return value.date() if isinstance(value, pd.Timestamp) else value


def _print(found: ReachYear) -> None:
    say(sentence(found))
    if words := how_sure(found):
        say(words)
    say()
    if found.is_running:
        say(f"Until {found.until:%B} {found.until.day} of each year.")
    rows = [
        [
            BY_NAME[name].label,
            *(told(found.figure(name, year)).replace("\u00a0", " ") for year in found.years),
            complete(found.figure(name)),
        ]
        for name in sent_measures(found)
    ]
    years = len(found.years)
    heads = ["", *map(str, found.years), ""]
    say(table(rows, heads, lambda at: ">" if 1 <= at <= years else "<"))


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command()(reach)
