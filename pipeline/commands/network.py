"""`longrow init` and `longrow simulate`: making a workspace."""

from datetime import datetime
from importlib.resources import files
from pathlib import Path
from typing import Annotated

import typer

from pipeline.commands.printing import say
from pipeline.settings import Settings
from pipeline.workspace import make_workspace


def example_registry() -> dict[str, str]:
    """Return the example registry files by name, to be replaced by a network's own."""
    folder = files("pipeline.commands") / "example_registry"
    return {file.name: file.read_text(encoding="utf-8") for file in folder.iterdir()}


def init(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="A folder that does not exist yet.")],
) -> None:
    """Make an empty network workspace with commented settings and example registry files."""
    workspace = make_workspace(folder, Settings(), example_registry())
    say(f"Made {workspace.root}.")
    say("1. Open network.toml and set the name, the units and the axis of your network.")
    say("2. Replace the example rows in registry/ with your gardens, trials, treatments and plots.")
    say("3. Put station records into climate/ and soil map units into soil/, if you have them.")
    say(f"4. Put sheets into inbox/ and run: longrow nightly --workspace {workspace.root}")


def simulate(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="A folder that does not exist yet.")],
    gardens: Annotated[int, typer.Option("--gardens", min=1, help="How many gardens.")] = 24,
    seasons: Annotated[int, typer.Option("--seasons", min=1, max=30, help="How many seasons.")] = 1,
    seed: Annotated[int, typer.Option("--seed", min=0, help="The same seed makes the same files.")] = 1,
    faults: Annotated[
        float, typer.Option("--faults", min=0, max=1, help="Share of rows with a fault.")
    ] = 0.04,
    effect: Annotated[float, typer.Option("--effect", help="True log response ratio.")] = 0.2,
    second_effect: Annotated[
        float | None,
        typer.Option(
            "--second-effect", help="That of the second treatment, where it differs.", show_default=False
        ),
    ] = None,
    slope: Annotated[
        float, typer.Option("--slope", help="Change of the log ratio per 100 km eastward.")
    ] = 0.0,
    tau: Annotated[
        float, typer.Option("--tau", min=0, help="Standard deviation of the effect between gardens.")
    ] = 0.1,
    cv: Annotated[float, typer.Option("--cv", min=0, help="Coefficient of variation between plots.")] = 0.2,
    blocks: Annotated[int, typer.Option("--blocks", min=1, help="Blocks in every garden.")] = 3,
    plants: Annotated[int, typer.Option("--plants", min=1, help="Plants in a plot.")] = 2,
    first_season: Annotated[int, typer.Option("--first-season", help="Year of the first season.")] = 2024,
    today: Annotated[
        datetime | None,
        typer.Option(
            "--today", formats=["%Y-%m-%d"], help="Day that the network lives in.", show_default=False
        ),
    ] = None,
    like: Annotated[
        Path | None,
        typer.Option(
            "--like", help="Take gardens, weather and soil from this workspace.", show_default=False
        ),
    ] = None,
    workbooks: Annotated[
        int, typer.Option("--workbooks", min=0, help="How many gardens send spreadsheets.")
    ] = 0,
) -> None:
    """Make an invented network with a known truth, and the files that its volunteers send."""
    from pipeline.simulate.network import Network
    from pipeline.simulate.network import simulate as make
    from pipeline.simulate.truth import Truth

    truth = Truth((effect, effect if second_effect is None else second_effect), slope, tau, cv)
    years = tuple(str(first_season + number) for number in range(seasons))
    workspace = make(
        folder,
        Network(
            gardens=gardens,
            seasons=years,
            seed=seed,
            faults=faults,
            truth=truth,
            blocks=blocks,
            plants_per_plot=plants,
            today=None if today is None else today.date(),
            like=like,
            workbooks=workbooks,
        ),
    )
    say(f"Made {workspace.root}: an invented network, seasons {', '.join(years)}, seed {seed}.")
    say(f"Its files wait in inbox/. Run: longrow nightly --workspace {workspace.root}")


def add_to(app: typer.Typer) -> None:
    """Add the commands."""
    app.command()(init)
    app.command()(simulate)
