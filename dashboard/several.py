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


def listen(host: str, port: int, processes: int) -> list[list[socket.socket]]:
    """Return for each process sockets that listen at every address that a host's name means.

    Each process has sockets of its own, among which the system deals connections out evenly; of one that all
    share, whoever wakes first takes nearly all. Raises InputError where the port cannot be used.
    """
    try:
        meant = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE)
        places = list(dict.fromkeys((family, str(place[0])) for family, _, _, _, place in meant))
        if not port:
            places, port = places[:1], _free_port(*places[0])
        for family, name in places:
            # Without this look, a second server of ours would share the port with the first.
            socket.create_server((name, port), family=family).close()
        return [[_listen(family, name, port) for family, name in places] for _ in range(processes)]
    except OSError as error:
        # create_server adds the address in brackets, which says it twice.
        reason = str(error.strerror).partition(" (")[0]
        raise InputError(f"Port {port} cannot be used: {reason}. Choose another one with --port.") from error


def _listen(family: socket.AddressFamily, name: str, port: int) -> socket.socket:
    return socket.create_server((name, port), family=family, backlog=_BACKLOG, reuse_port=True)


def _free_port(family: socket.AddressFamily, name: str) -> int:
    with socket.create_server((name, 0), family=family) as probe:
        return int(probe.getsockname()[1])


@contextmanager
def beside(serve: Serve, root: Path, of_processes: Sequence[Sequence[socket.socket]]) -> Iterator[None]:
    """Let a further process serve the workspace at each set of sockets until the work inside is done."""
    started = [_start(serve, root, sockets) for sockets in of_processes]
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
    for one in sockets:
        # It has them now; where this process held them too, its death would leave readers waiting.
        one.close()
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
