"""What all tests share: tools that may be missing, and what that means; time that no example is held to."""

import os
import shutil
import socket
import subprocess
import tempfile
import time
from itertools import takewhile
from pathlib import Path

import pytest
from hypothesis import settings

# A slow machine is no fault of the code: no example fails for the time it took.
settings.register_profile("longrow", deadline=None)
settings.load_profile("longrow")

#: The system's folder for what is temporary, which everybody may enter.
TEMPORARY = Path(tempfile.gettempdir())

#: Where CI promises a tool, a test that cannot run is a failure.
IN_CI = os.environ.get("CI") == "true"


def lacking(reason: str) -> None:
    """Skip with the reason; fail where CI promised that the tool is there."""
    if IN_CI:
        pytest.fail(f"CI promised it: {reason}")
    pytest.skip(reason)


@pytest.fixture(scope="session")
def free_port() -> int:
    """Give a port that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


@pytest.fixture(scope="session")
def postgresql_url(tmp_path_factory):
    """Give the address of an empty PostgreSQL database that lives as long as the test run."""
    programs = sorted(Path("/usr/lib/postgresql").glob("*/bin"))
    if not programs:
        lacking("PostgreSQL is not installed")
    folder = tmp_path_factory.mktemp("postgresql")
    as_server: list[str] = []
    if os.getuid() == 0:
        # The server refuses to run as root.
        as_server = ["runuser", "-u", "postgres", "--"]
        # All folders up to the system's: a worker of a parallel run has one more than a run by itself.
        for place in (folder, *takewhile(lambda each: each != TEMPORARY, folder.parents)):
            place.chmod(0o755)
        shutil.chown(folder, "postgres")
    run = [*as_server, f"{programs[-1]}/pg_ctl", "-D", f"{folder}/data", "-s", "-w"]
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    subprocess.run(
        [*as_server, f"{programs[-1]}/initdb", "-D", f"{folder}/data", "-U", "longrow", "-A", "trust"],
        check=True,
        capture_output=True,
    )
    options = f"-p {port} -k {folder} -c listen_addresses=127.0.0.1"
    subprocess.run([*run, "-o", options, "-l", f"{folder}/log", "start"], check=True, capture_output=True)
    time.sleep(0.1)
    yield f"postgresql+psycopg://longrow@127.0.0.1:{port}/postgres"
    subprocess.run([*run, "-m", "immediate", "stop"], check=False, capture_output=True)
