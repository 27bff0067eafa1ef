"""`longrow serve` and `longrow demo`: the dashboard on a production server."""

import shutil
import sys
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from ipaddress import ip_address
from pathlib import Path
from typing import Annotated

import pandas as pd
import sqlalchemy as sa
import typer

from pipeline.commands.night import nightly
from pipeline.commands.options import WorkspaceOption
from pipeline.commands.printing import say
from pipeline.publish.frames import FRAMES
from pipeline.publish.snapshot import PublishedSnapshot, newest_snapshot
from pipeline.store.engine import open_store
from pipeline.workspace import Workspace, open_workspace
from sites.errors import InputError, WorkspaceError

#: The invented network that ships with Longrow.
SAMPLE = Path(__file__).resolve().parents[1] / "sample_data"

_THREADS = 8


@dataclass(frozen=True)
class BeforeFirstNight:
    """What is published before the first night: every frame without rows."""

    night: date
    published: datetime
    id: int = 0

    def frame(self, name: str, trial: str | None = None, season: str | None = None) -> pd.DataFrame:
        """Return the frame without rows."""
        return next(frame.empty() for frame in FRAMES if frame.name == name)


def newest_of(workspace: Workspace, engine: sa.Engine) -> Callable[[], PublishedSnapshot | BeforeFirstNight]:
    """Return a function that gives the published snapshot, the same object as long as it is published."""
    held: list[PublishedSnapshot] = []

    def newest() -> PublishedSnapshot | BeforeFirstNight:
        found = newest_snapshot(engine)
        if found is None:
            return BeforeFirstNight(workspace.today(), workspace.now())
        if not held or held[0].id != found.id:
            held[:] = [found]
        return held[0]

    return newest


def serve(
    workspace: WorkspaceOption = None,
    host: Annotated[str, typer.Option("--host", help="Address to listen on.")] = "127.0.0.1",
    port: Annotated[int, typer.Option("--port", min=0, max=65535, help="Port to listen on.")] = 8050,
) -> None:
    """Show the newest published snapshot in a browser."""
    import waitress

    from dashboard.app import create_app
    from dashboard.sending.gate import Gate

    _refuse_beyond_loopback(host)
    place = open_workspace(workspace)
    engine = open_store(place.database_url)
    app = create_app(newest_of(place, engine), gate=Gate(place, engine))
    try:
        server = waitress.create_server(app.server, host=host, port=port, threads=_THREADS)
    except OSError as error:
        raise InputError(
            f"Port {port} cannot be used: {error.strerror}. Choose another one with --port."
        ) from error
    say(f"Longrow is at http://{host}:{server.effective_port}/ - stop it with Ctrl+C.")
    say("There are no accounts yet: whoever uses this machine sees everything. Nobody else can reach it.")
    sys.stdout.flush()
    server.run()


def _refuse_beyond_loopback(host: str) -> None:
    if _is_loopback(host):
        return
    raise InputError(
        f"Longrow does not listen on {host}: there are no accounts yet, so anybody could read everything. "
        "Use 127.0.0.1."
    )


def _is_loopback(host: str) -> bool:
    if host == "localhost":
        return True
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return False


def demo(
    folder: Annotated[
        Path,
        typer.Option("--dir", help="Where to put the demo network; an earlier demo there is used again."),
    ] = Path("longrow-demo"),
    no_serve: Annotated[bool, typer.Option("--no-serve", help="Only run the night.")] = False,
    port: Annotated[int, typer.Option("--port", min=0, max=65535, help="Port to listen on.")] = 8050,
) -> None:
    """Run a night on an invented network that ships with Longrow, and show it."""
    if not (folder / "network.toml").exists():
        _copy_sample(folder)
    nightly(folder)
    if not no_serve:
        serve(folder, port=port)


def _copy_sample(folder: Path) -> None:
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise WorkspaceError(f"{folder} holds other files. Choose another folder with --dir.")
    if not (SAMPLE / "network.toml").exists():
        raise WorkspaceError(f"The sample network is missing from {SAMPLE}. Install Longrow again.")
    shutil.copytree(SAMPLE, folder, dirs_exist_ok=True)
