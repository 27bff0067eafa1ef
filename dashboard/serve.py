"""`longrow serve` and `longrow demo`: the dashboard on a production server."""

import gc
import shutil
import socket
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from ipaddress import ip_address
from pathlib import Path
from typing import Annotated, Any

import pandas as pd
import sqlalchemy as sa
import typer

from dashboard.desk import Desk
from dashboard.several import beside, listen
from pipeline.commands.night import nightly
from pipeline.commands.options import WorkspaceOption
from pipeline.commands.printing import say
from pipeline.publish.frames import FRAMES
from pipeline.publish.releases import Releases
from pipeline.publish.snapshot import PublishedSnapshot, newest_snapshot
from pipeline.settings import Settings
from pipeline.store.engine import open_store
from pipeline.workspace import Workspace, open_workspace
from sites.errors import InputError, WorkspaceError

#: The invented network that ships with Longrow.
SAMPLE = Path(__file__).resolve().parents[1] / "sample_data"

#: Requests answered at once by each process. A thread waits idle while a sheet is judged in a process of its
#: own, so there are more of them than gardens that send at one time.
_THREADS = 16
#: Seconds after which a connection that says nothing is closed.
_IDLE_SECONDS = 60
#: Connections that can be open at once, and seconds between looks for silent ones. What comes slowly costs a
#: connection and no thread, so there are many; fewer than the 1,024 files that a service may open as a rule.
_CONNECTIONS, _LOOK_EVERY = 800, 10


@dataclass(frozen=True)
class BeforeFirstNight:
    """What is published before the first night: every frame without rows."""

    night: date
    published: datetime
    id: int = 0
    run: int = 0

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
    from dashboard.access.door import door_of

    place = open_workspace(workspace)
    engine = open_store(place.database_url)
    _refuse_beyond_this_machine(host, place, engine)
    is_open = door_of(place, engine).is_open()
    engine.dispose()
    own, *others = listen(host, port, place.settings.serving.processes)

    def tell() -> None:
        say(f"Longrow is at http://{host}:{own[0].getsockname()[1]}/ - stop it with Ctrl+C.")
        if is_open:
            say("There are no accounts yet: whoever uses this machine sees everything. Nobody else can.")
            say("Add the first with: longrow account add NAME --role lead")
        sys.stdout.flush()

    with beside(answer_browsers, place.root, others):
        answer_browsers(place.root, own, tell)


def answer_browsers(root: Path, sockets: Sequence[socket.socket], ready: Callable[[], None]) -> None:
    """Serve the dashboard of a workspace at the sockets until this process is told to end."""
    import waitress

    from dashboard.access.door import door_of
    from dashboard.app import create_app
    from dashboard.sending.gate import Gate
    from pipeline.apart import make_ready

    place = open_workspace(root)
    engine = open_store(place.database_url)
    app = create_app(
        newest_of(place, engine),
        door=door_of(place, engine),
        desk=Desk(place, engine),
        releases=Releases(engine, place.now),
        gate=Gate(place, engine),
    )
    server = waitress.create_server(
        app.server, sockets=list(sockets), threads=_THREADS, **_limits(place.settings)
    )
    ready()
    make_ready()
    # What is there before the first request stays until the last: the collector need not look through all of
    # it again and again, which stops a process for a sixth of a second each time.
    gc.collect()
    gc.freeze()
    server.run()


def _refuse_beyond_this_machine(host: str, place: Workspace, engine: sa.Engine) -> None:
    """Raise InputError where other machines could reach a network that nobody guards, or by no known name."""
    from dashboard.access.people import leads

    address = place.settings.serving.address
    if _is_loopback(host) and not address:
        return
    with engine.connect() as connection:
        if leads(connection) == 0:
            raise InputError(
                f"Longrow does not listen on {address or host}: there is no lead's account yet, so anybody "
                "could read everything. Add one first: longrow account add NAME --role lead"
            )
    if not address:
        raise InputError(
            f"Longrow does not listen on {host} before it knows its own name. "
            'Set address = "https://..." under [serving] in network.toml.'
        )


def _limits(settings: Settings) -> dict[str, Any]:
    """Return what the server takes at most, and whose word on the sender of a request it believes."""
    serving = settings.serving
    limits: dict[str, Any] = {
        # A little more than a file, so that one that is too large is told so by the page.
        "max_request_body_size": int(settings.intake.largest_file_mb * 1e6) + 2_000_000,
        "channel_timeout": _IDLE_SECONDS,
        "cleanup_interval": _LOOK_EVERY,
        "connection_limit": _CONNECTIONS,
        # select(2) cannot watch as many.
        "asyncore_use_poll": True,
        "ident": None,
    }
    if serving.address:
        limits |= {
            "trusted_proxy": serving.proxy,
            "trusted_proxy_headers": {"x-forwarded-for", "x-forwarded-proto"},
            "clear_untrusted_proxy_headers": True,
        }
    return limits


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
        _say_demo_accounts(folder)
        serve(folder, port=port)


def _say_demo_accounts(folder: Path) -> None:
    """Give the demo one account of each role, with passphrases made anew, and print them."""
    from dashboard.access.demo import demo_accounts

    place = open_workspace(folder)
    say("This demo has an account of each role; sign in with its name and passphrase:")
    for name, passphrase in demo_accounts(place, open_store(place.database_url)):
        say(f"  {name:15} {passphrase}")


def _copy_sample(folder: Path) -> None:
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise WorkspaceError(f"{folder} holds other files. Choose another folder with --dir.")
    if not (SAMPLE / "network.toml").exists():
        raise WorkspaceError(f"The sample network is missing from {SAMPLE}. Install Longrow again.")
    shutil.copytree(SAMPLE, folder, dirs_exist_ok=True)
