"""`longrow weather`: station records from files, or fetched from the address in the settings."""

from pathlib import Path
from typing import Annotated, Any

import typer

from pipeline.commands.options import JsonOption, WorkspaceOption
from pipeline.commands.printing import print_json, say
from pipeline.workspace import Workspace, open_workspace


def weather(
    files: Annotated[
        list[Path] | None,
        typer.Argument(
            metavar="FILE...",
            help="Station records (GHCN-Daily by station or .dly, or a plain daily table), a station list or "
            "an inventory, or folders of them.",
            show_default=False,
        ),
    ] = None,
    fetch: Annotated[
        bool, typer.Option("--fetch", help="Fetch from the address in network.toml, [weather] address.")
    ] = False,
    workspace: WorkspaceOption = None,
    as_json: JsonOption = False,
) -> None:
    """Take station records into the workspace; the last 60 days of what comes in are read again whole."""
    if bool(files) == fetch:
        raise typer.BadParameter("Give files, or --fetch, and not both.")
    place = open_workspace(workspace)
    with place.held():
        report = _fetched(place, as_json=as_json) if fetch else _taken(place, files or [])
    if as_json:
        print_json(_document(report))
    else:
        _say(report, told=fetch)
    if report.troubles:
        raise typer.Exit(1)


def _taken(place: Workspace, files: list[Path]) -> Any:
    from pipeline.weather import take_files

    return take_files(place, files)


def _fetched(place: Workspace, *, as_json: bool) -> Any:
    from functools import partial

    from pipeline.fetching import FetchLimits, fetch
    from pipeline.weather import fetch_all

    weather = place.settings.weather
    limits = FetchLimits(int(weather.largest_mb * 1e6), weather.silent_seconds, weather.tries)
    return fetch_all(
        place, partial(fetch, limits=limits), told=None if as_json else lambda each: say(_line(each))
    )


def _line(taken: Any) -> str:
    until = f"until {taken.last_day}" if taken.last_day else "nothing yet"
    if taken.trouble:
        kept = f"The copy {until} is kept." if taken.last_day else "There is no earlier copy."
        return f"{taken.station}  not taken. {taken.trouble} {kept}"
    return (
        f"{taken.station}  {until}: {taken.new:,} new, {taken.changed:,} changed, "
        f"{taken.withdrawn:,} withdrawn"
    )


def _say(report: Any, *, told: bool) -> None:
    if not told:
        for each in report.stations:
            say(_line(each))
    if report.listed:
        say(f"{report.listed:,} stations are listed that a garden can reach.")
    if report.without_place:
        say(
            f"{', '.join(report.without_place)}: not in the station list yet, so not used. "
            "Take the list: longrow weather ghcnd-stations.txt"
        )
    if report.stations and not report.troubles:
        say("The next night uses it.")


def _document(report: Any) -> dict[str, Any]:
    return {
        "stations": [
            {
                "station": each.station,
                "new": each.new,
                "changed": each.changed,
                "withdrawn": each.withdrawn,
                "last_day": each.last_day,
                "trouble": each.trouble or None,
            }
            for each in report.stations
        ],
        "listed": report.listed,
        "without_place": report.without_place,
    }


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command()(weather)
