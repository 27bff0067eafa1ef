"""The command `longrow`.

A thin shell: it parses, calls, turns errors into sentences and exit codes. Exit codes: 0 done; 1 the input
was at fault; 2 wrong use; 3 another run holds the workspace; 4 the night failed and the old snapshot is
served.
"""

import sys
from importlib.metadata import entry_points

import typer

from pipeline.commands import answers, catalogue, checking, network, night, personal, reach, weather
from sites.errors import LongrowError, WorkspaceBusyError

app = typer.Typer(
    name="longrow",
    help="One small trial in many community gardens: check, join, estimate, show.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)
network.add_to(app)
checking.add_to(app)
catalogue.add_to(app)
night.add_to(app)
weather.add_to(app)
answers.add_to(app)
reach.add_to(app)
personal.add_to(app)
# The dashboard lies above this room and offers its commands by name.
for _command in sorted(entry_points(group="longrow.commands"), key=lambda entry: entry.name):
    _loaded = _command.load()
    if isinstance(_loaded, typer.Typer):
        app.add_typer(_loaded, name=_command.name)
    else:
        app.command(_command.name)(_loaded)


def main() -> None:
    """Run the command line."""
    try:
        app()
    except WorkspaceBusyError as error:
        _leave(error, 3)
    except LongrowError as error:
        _leave(error, 1)


def _leave(error: LongrowError, code: int) -> None:
    sys.stderr.write(f"{error}\n")
    sys.exit(code)
