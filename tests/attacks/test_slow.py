"""Uploads that never end: they hold a connection each, no thread, and those that fall silent are closed."""

import http.client
import re
import socket
import subprocess
import sys

import pytest

from tests.dashboard.access.network import make_network

#: More than the server has threads, and more than it would have connections by its library's default of 100.
SLOW = 150
SERVE = (
    "import sys, pathlib; from dashboard import serve; serve._IDLE_SECONDS = 1; serve._LOOK_EVERY = 1; "
    "serve.serve(pathlib.Path(sys.argv[1]), port=0)"
)
BEGINNING = (
    b"POST /upload?garden=G05 HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 1000000\r\n"
    b"Content-Type: multipart/form-data; boundary=x\r\n\r\n--x\r\nContent-Disposition: form-data; "
)


@pytest.fixture
def port(published, tmp_path):
    """Start the server as it is served, with a second's patience; give its port."""
    # One process: the patience that is set below is its own.
    network = make_network(tmp_path / "row", published, "[serving]\nprocesses = 1\n")
    network.engine.dispose()
    folder = str(network.workspace.root)
    with subprocess.Popen([sys.executable, "-c", SERVE, folder], stdout=subprocess.PIPE, text=True) as server:
        yield int(re.search(r"127\.0\.0\.1:(\d+)", server.stdout.readline())[1])
        server.terminate()


def test_slow_uploads_keep_nobody_out_and_are_closed_once_they_fall_silent(port):
    slow = [socket.create_connection(("127.0.0.1", port), timeout=60) for _ in range(SLOW)]
    for one in slow:
        one.sendall(BEGINNING)
    somebody = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    somebody.request("GET", "/sign-in")
    assert somebody.getresponse().read().startswith(b"<!doctype html>")
    somebody.close()
    ended = [one.recv(1000) for one in slow]
    assert set(ended) == {b""}
    for one in slow:
        one.close()
