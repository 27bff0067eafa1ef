"""Several processes that answer browsers at one address, since one interpreter does one thing at a time."""

import os
import signal
import socket
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from multiprocessing import get_context, parent_process
from multiprocessing.connection import Connection, wait
from multiprocessing.context import SpawnProcess
from pathlib import Path
from threading import Thread

from sites.errors import InputError

#: Serves one workspace at the sockets, and calls back once it can answer; returns when it is told to end.
Serve = Callable[[Path, Sequence[socket.socket], Callable[[], None]], None]

#: Seconds within which a process has to be ready. Without it the others answer, only slower.
_PATIENCE = 60
#: Connections that wait to be taken up.
_BACKLOG = 1024


def listen(host: str, port: int) -> list[socket.socket]:
    """Return sockets that listen at every address that a host's name means.

    Raises InputError where the port cannot be used.
    """
    try:
        meant = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE)
        places = list(dict.fromkeys((family, place[:2]) for family, _, _, _, place in meant))
        # A port that the system chooses is chosen once.
        return [
            socket.create_server((str(name), int(number)), family=family, backlog=_BACKLOG)
            for family, (name, number) in (places if port else places[:1])
        ]
    except OSError as error:
        raise InputError(
            f"Port {port} cannot be used: {error.strerror}. Choose another one with --port."
        ) from error


@contextmanager
def beside(serve: Serve, root: Path, sockets: Sequence[socket.socket], processes: int) -> Iterator[None]:
    """Let that many further processes serve the workspace until the work inside is done."""
    started = [_start(serve, root, sockets) for _ in range(processes)]
    try:
        for process, ready in started:
            wait([ready, process.sentinel], _PATIENCE)
        yield
    finally:
        for process, _ in started:
            process.terminate()
        for process, _ in started:
            process.join()


def _start(serve: Serve, root: Path, sockets: Sequence[socket.socket]) -> tuple[SpawnProcess, Connection]:
    # Spawned and not forked: this process has threads and an open store.
    context = get_context("spawn")
    ours, theirs = context.Pipe(duplex=False)
    process = context.Process(target=_serve, args=(serve, root, tuple(sockets), theirs))
    process.start()
    theirs.close()
    return process, ours


def _serve(serve: Serve, root: Path, sockets: Sequence[socket.socket], ready: Connection) -> None:
    # Ctrl+C reaches every process of a terminal; the first one ends the others when it is done.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    Thread(target=_end_with_the_first, daemon=True).start()

    def tell() -> None:
        with suppress(BrokenPipeError):
            ready.send(True)

    serve(root, sockets, tell)


def _end_with_the_first() -> None:
    """End this process when the one that started it is gone, however that came."""
    first = parent_process()
    if first is not None:
        first.join()
        os._exit(0)
