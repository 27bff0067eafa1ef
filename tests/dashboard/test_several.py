"""Several processes answer at one address, and none outlives the first."""

import os
import socket
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

from dashboard.several import beside, listen
from sites.errors import InputError
from tests.dashboard.access.network import make_network

HERE = "127.0.0.1"
#: Seconds in which a process starts or ends on a busy machine.
PATIENCE = 60


def tell_who(_root: Path, sockets: Sequence[socket.socket], ready: Callable[[], None]) -> None:
    """Tell everybody who connects which process this is."""
    ready()
    while True:
        connection, _ = sockets[0].accept()
        with connection:
            connection.sendall(str(os.getpid()).encode())


def fail(_root: Path, _sockets: Sequence[socket.socket], _ready: Callable[[], None]) -> None:
    sys.exit(1)


def asked(port: int) -> int:
    with socket.create_connection((HERE, port), timeout=PATIENCE) as connection:
        return int(connection.recv(20))


def free() -> int:
    """Return a port that nobody uses."""
    with socket.create_server((HERE, 0)) as probe:
        return int(probe.getsockname()[1])


def is_alive(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    return True


def test_every_process_answers_at_the_one_address_until_the_work_is_done(tmp_path):
    others = listen(HERE, 0, 2)
    port = others[0][0].getsockname()[1]
    with beside(tell_who, tmp_path, others):
        answered = Counter(asked(port) for _ in range(200))
        assert len(answered) == 2
        assert os.getpid() not in answered
        # Of 200 dealt out evenly fewer than 60 fall to one of two once in ten million times.
        assert min(answered.values()) > 60
    assert not any(is_alive(process) for process in answered)


def test_a_process_that_cannot_start_keeps_nobody_waiting(tmp_path):
    start = time.monotonic()
    with beside(fail, tmp_path, listen(HERE, 0, 1)):
        assert time.monotonic() - start < PATIENCE


FIRST = """
import sys, time
from pathlib import Path
from dashboard.several import beside, listen
from tests.dashboard.test_several import tell_who

others = listen("127.0.0.1", 0, 1)
port = others[0][0].getsockname()[1]
with beside(tell_who, Path(), others):
    print(port, flush=True)
    time.sleep(600)
"""


def test_a_process_ends_when_the_first_one_was_killed():
    with subprocess.Popen([sys.executable, "-c", FIRST], stdout=subprocess.PIPE, text=True) as first:
        process = asked(int(first.stdout.readline()))
        first.kill()
    until = time.monotonic() + PATIENCE
    while is_alive(process) and time.monotonic() < until:
        time.sleep(0.05)
    assert not is_alive(process)


SERVED = "import sys, pathlib; from dashboard.serve import serve; serve(pathlib.Path(sys.argv[1]), port=0)"


@pytest.mark.parametrize("processes", [1, 2])
def test_a_network_is_served_by_as_many_processes_as_its_settings_say(published, tmp_path, processes):
    network = make_network(tmp_path / "row", published, f"[serving]\nprocesses = {processes}\n")
    network.engine.dispose()
    command = [sys.executable, "-c", SERVED, str(network.workspace.root)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as first:
        assert first.stdout.readline().startswith("Longrow is at")
        started = Path(f"/proc/{first.pid}/task/{first.pid}/children").read_text().split()
        commands = [Path(f"/proc/{process}/cmdline").read_text() for process in started]
        first.terminate()
    assert sum("spawn_main" in command for command in commands) == processes - 1


def test_a_port_that_is_taken_is_told_with_the_way_out():
    [[taken]] = listen(HERE, 0, 1)
    with taken, pytest.raises(InputError, match=r"Address already in use\. Choose another one with --port"):
        listen(HERE, taken.getsockname()[1], 1)


def test_a_name_that_means_several_addresses_is_listened_at_on_each(monkeypatch):
    meant = [(socket.AF_INET, socket.SOCK_STREAM, 6, "", (place, 0)) for place in ("127.0.0.1", "127.0.0.2")]
    port = free()
    found = [(*one[:4], (one[4][0], port)) for one in meant]
    monkeypatch.setattr(socket, "getaddrinfo", lambda *_asked, **_how: found)
    [sockets] = listen("localhost", port, 1)
    assert [one.getsockname()[0] for one in sockets] == ["127.0.0.1", "127.0.0.2"]
    for one in sockets:
        one.close()
