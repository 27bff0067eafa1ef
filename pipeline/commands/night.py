"""`longrow nightly`: one night's run."""

from typing import Annotated

import typer

from pipeline.commands.options import JsonOption, WorkspaceOption
from pipeline.commands.printing import ProgressBars, print_json, say
from pipeline.workspace import open_workspace


def nightly(
    workspace: WorkspaceOption = None,
    rebuild: Annotated[
        bool, typer.Option("--rebuild", help="Work everything out again, also where nothing is new.")
    ] = False,
    as_json: JsonOption = False,
) -> None:
    """Take what is in the inbox, check it, join it, estimate the response, publish one snapshot."""
    from pipeline.nightly import run_night
    from pipeline.progress import Progress

    place = open_workspace(workspace)
    if as_json:
        report = run_night(place, rebuild=rebuild)
        print_json(report.to_json())
    else:
        with ProgressBars() as bars:
            report = run_night(place, rebuild=rebuild, progress=Progress(bars))
        for line in report.summary():
            say(line)
    if report.status == "failed":
        raise typer.Exit(4)


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command()(nightly)
