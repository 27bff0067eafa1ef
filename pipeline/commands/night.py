"""`longrow nightly`: one night's run."""

import sys
import traceback
from typing import Annotated

import typer

from pipeline.commands.options import JsonOption, WorkspaceOption
from pipeline.commands.printing import ProgressBars, print_json, say
from pipeline.workspace import open_workspace
from sites.errors import LongrowError

_FAULT = (
    "\nThe night did not finish: a fault of Longrow itself, told above. The snapshot of the night before is "
    "still shown, and the files that it did not get to wait in the inbox. Pass the lines above on to whoever "
    "keeps Longrow for you.\n"
)


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
    try:
        if as_json:
            report = run_night(place, rebuild=rebuild)
        else:
            with ProgressBars() as bars:
                report = run_night(place, rebuild=rebuild, progress=Progress(bars))
    except LongrowError:
        raise
    except Exception as fault:
        # Whoever watches the nightly timer must tell a fault of the program (4) from one of the input (1).
        traceback.print_exc()
        sys.stderr.write(_FAULT)
        raise typer.Exit(4) from fault
    if as_json:
        print_json(report.to_json())
    else:
        for line in report.summary():
            say(line)
    if report.status == "failed":
        raise typer.Exit(4)


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command()(nightly)
