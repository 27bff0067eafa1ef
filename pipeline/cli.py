"""The command `longrow`.

A thin shell: it parses, calls, turns errors into sentences and exit codes. Exit codes: 0 done; 1 the input
was at fault; 2 wrong use; 3 another run holds the workspace; 4 the night failed and the old snapshot is
served.
"""

import gc
import sys
from importlib import import_module
from importlib.metadata import EntryPoint, entry_points
from typing import cast

import typer
from typer.core import TyperCommand, TyperGroup

from sites.errors import LongrowError, WorkspaceBusyError

#: The module of `pipeline.commands` in which each command stands, in the order of the help.
_MODULE_OF = {
    "init": "network",
    "simulate": "network",
    "check": "checking",
    "checks": "catalogue",
    "nightly": "night",
    "weather": "weather",
    "pool": "answers",
    "answer": "answers",
    "stability": "answers",
    "plan": "answers",
    "reach": "reach",
    "erase": "personal",
    "export": "personal",
}
Command = TyperCommand | TyperGroup


class _Commands(TyperGroup):
    """The commands by name; what one of them needs is loaded when it is asked for."""

    def list_commands(self, ctx: object) -> list[str]:
        """Return the names of all commands, those of the dashboard last."""
        return [*_MODULE_OF, *_offered_above()]

    def get_command(self, ctx: object, cmd_name: str) -> Command | None:
        """Return a command by its name, None where there is none."""
        if cmd_name not in _MODULE_OF and cmd_name not in _offered_above():
            return None
        one = typer.Typer(add_completion=False, rich_markup_mode=None, pretty_exceptions_enable=False)
        # What is loaded stays: collecting garbage would look through all of it time and again.
        gc.disable()
        try:
            _add(one, cmd_name)
        finally:
            gc.freeze()
            gc.enable()
        command = cast(Command, typer.main.get_command(one))
        commands = command.commands if isinstance(command, TyperGroup) else {cmd_name: command}
        return cast(Command, commands[cmd_name])


def _add(app: typer.Typer, name: str) -> None:
    """Add the commands of the module in which a command stands."""
    if name in _MODULE_OF:
        import_module(f"pipeline.commands.{_MODULE_OF[name]}").add_to(app)
        return
    loaded = _offered_above()[name].load()
    if isinstance(loaded, typer.Typer):
        app.add_typer(loaded, name=name)
    else:
        app.command(name)(loaded)


def _offered_above() -> dict[str, EntryPoint]:
    """Return the commands of the dashboard, which lies above this room and offers them by name."""
    offered = entry_points(group="longrow.commands")
    return {entry.name: entry for entry in sorted(offered, key=lambda entry: entry.name)}


app = typer.Typer(
    name="longrow",
    cls=_Commands,
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)


@app.callback()
def longrow() -> None:
    """One small trial in many community gardens: check, join, estimate, show."""


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
