"""Load: signed-in people who click through pages while others send sheets, against the server as it is run.

    python tests/benchmarks/bench_load.py [SECONDS]     # 120 by default

Prints answers, errors, the median and the 95th percentile of each kind of request, and the most memory that
the server and its judging processes took together. Clients and server share the machine.
"""

import http.client
import random
import re
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path
from typing import ClassVar

import numpy as np

from dashboard.access import people, sessions
from dashboard.access.door import moment
from dashboard.answered import OUTPUTS, STANDING
from dashboard.serve import SAMPLE, demo
from pipeline.store.engine import open_store, writing
from pipeline.workspace import open_workspace
from sites.registry import read_registry
from tests.benchmarks.serving import address_of

CLICKING, SENDING = 50, 5
#: Seconds that somebody looks at a page before the next click.
PAUSE = (2.0, 6.0)
PATHS = ("/gradient", "/compare", "/watch")
SERVE = "import sys, pathlib; from dashboard.serve import serve; serve(pathlib.Path(sys.argv[1]), port=0)"


class Person(threading.Thread):
    """One person with a session, who asks until the time is over."""

    def __init__(self, port: int, token: str, until: float, seed: int) -> None:
        super().__init__()
        self.port, self.token, self.until = port, token, until
        self.chance = random.Random(seed)
        self.took: list[tuple[str, float, int]] = []
        self.headers = {"Host": "127.0.0.1", "Cookie": f"longrow={token}"}

    def ask(self, kind: str, method: str, path: str, body=None, **headers: str) -> str:
        began = time.perf_counter()
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=120)
        try:
            connection.request(method, path, body, self.headers | headers)
            answer = connection.getresponse()
            text, status = answer.read().decode(errors="replace"), answer.status
            for cookie in answer.headers.get_all("Set-Cookie") or []:
                if proof := re.match(r"_csrf_token=(\w+)", cookie):
                    self.headers["X-CSRFToken"] = proof[1]
        except OSError:
            text, status = "", 0
        finally:
            connection.close()
        self.took.append((kind, time.perf_counter() - began, status))
        return text

    def learn_proof(self) -> None:
        page = self.ask("account", "GET", "/account")
        if proof := re.search(r'name="proof" value="(\w+)"', page):
            self.headers["X-CSRFToken"] = proof[1]


class Clicking(Person):
    def run(self) -> None:
        self.learn_proof()
        parts = json_of_router(self.inputs)
        while time.monotonic() < self.until:
            path = self.chance.choice(PATHS)
            self.ask(
                "page", "POST", "/_dash-update-component", parts(path), **{"Content-Type": "application/json"}
            )
            time.sleep(self.chance.uniform(*PAUSE))

    inputs: ClassVar[list[dict]] = []


class Sending(Person):
    site, sheet = "", b""

    def run(self) -> None:
        self.learn_proof()
        number = 0
        while time.monotonic() < self.until:
            number += 1
            content = self.sheet + f"{self.site},P{number},2025-07-14,1,lb\n".encode()
            head = b'--x\r\nContent-Disposition: form-data; name="file"; filename="harvest.csv"\r\n\r\n'
            body = head + content + b"\r\n--x--\r\n"
            kind = "multipart/form-data; boundary=x"
            self.ask("upload", "POST", f"/upload?garden={self.site}", body, **{"Content-Type": kind})
            time.sleep(self.chance.uniform(*PAUSE))


def json_of_router(inputs):
    """Return a function from a path to what a browser sends to have that page drawn."""
    import json

    def body(path: str) -> bytes:
        values = {"url.pathname": path, "url.search": "", "screen.data": {"paper": "light", "width": "wide"}}
        sent = [spec | {"value": values.get(f"{spec['id']}.{spec['property']}")} for spec in inputs]
        outputs = [{"id": part, "property": what} for part, what in OUTPUTS]
        output = "..".join(["", "...".join(f"{part}.{what}" for part, what in OUTPUTS), ""])
        state = [{"id": STANDING[0], "property": STANDING[1], "value": ""}]
        changed = ["url.pathname"]
        return json.dumps(
            {"output": output, "outputs": outputs, "inputs": sent, "state": state, "changedPropIds": changed}
        ).encode()

    return body


def memory_mb(root: int) -> float:
    """Return the resident memory of a process and all below it (proc(5), VmRSS less what is shared)."""
    total, waiting = 0, [root]
    while waiting:
        one = waiting.pop()
        try:
            rollup = Path(f"/proc/{one}/smaps_rollup").read_text()
            children = Path(f"/proc/{one}/task/{one}/children").read_text().split()
        except OSError:
            continue
        total += int(re.search(r"^Pss: +(\d+)", rollup, re.MULTILINE)[1])
        waiting += [int(child) for child in children]
    return total / 1024


def main(seconds: float) -> None:
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "network"
        demo(place, no_serve=True)
        settings = place / "network.toml"
        settings.write_text(
            re.sub(r"uploads_per_day = \d+", "uploads_per_day = 100000", settings.read_text())
        )
        workspace = open_workspace(place)
        engine = open_store(workspace.database_url)
        known = read_registry(workspace.registry).gardens["site"]
        # Gardens that were only asked have no sheet to send.
        sites = sorted(site for site in known if any((SAMPLE / "inbox" / site).glob("*harvest*.csv")))
        tokens = make_people(engine, sites)
        engine.dispose()
        server = subprocess.Popen(
            [sys.executable, "-c", SERVE, str(place)], stdout=subprocess.PIPE, text=True
        )
        port = int(address_of(server).rpartition(":")[2])
        try:
            run(server.pid, port, tokens, sites, seconds)
        finally:
            server.terminate()
            server.wait(timeout=30)


def make_people(engine, sites: list[str]) -> list[str]:
    """Return the tokens of sessions: of leads who click, and of volunteers who send."""
    tokens = []
    with writing(engine) as connection:
        for number in range(CLICKING + SENDING):
            sends = number >= CLICKING
            person = people.add(
                connection,
                f"Person {number}",
                "volunteer" if sends else "lead",
                [sites[number % len(sites)]] if sends else [],
                known_gardens=sites,
                made_by="bench",
                now=moment(),
            )
            tokens.append(sessions.begin(connection, person, moment()))
    return tokens


def run(server: int, port: int, tokens: list[str], sites: list[str], seconds: float) -> None:
    until = time.monotonic() + seconds
    first = Person(port, tokens[0], until, 0)
    import json

    listed = json.loads(first.ask("list", "GET", "/_dash-dependencies"))
    Clicking.inputs = next(one["inputs"] for one in listed if "main.children" in one["output"])
    crowd: list[Person] = [Clicking(port, token, until, at) for at, token in enumerate(tokens[:CLICKING])]
    for at, token in enumerate(tokens[CLICKING:], CLICKING):
        one = Sending(port, token, until, at)
        one.site = sites[at % len(sites)]
        one.sheet = next((SAMPLE / "inbox" / one.site).glob("*harvest*.csv")).read_bytes()
        crowd.append(one)
    for one in crowd:
        one.start()
    most = 0.0
    while any(one.is_alive() for one in crowd):
        most = max(most, memory_mb(server))
        time.sleep(1)
    took = [answer for one in crowd for answer in one.took]
    print(f"{len(crowd)} people, {seconds:g} s, {len(took)} answers")
    for kind in sorted({kind for kind, _, _ in took}):
        times = np.array([spent for which, spent, _ in took if which == kind]) * 1000
        wrong = sorted({status for which, _, status in took if which == kind and status != 200})
        count = sum(which == kind and status != 200 for which, _, status in took)
        low, high = np.percentile(times, [50, 95])
        print(
            f"{kind:8} {len(times):6} answers  median {low:7.0f} ms  p95 {high:7.0f} ms  "
            f"not 200: {count} {wrong or ''}"
        )
    print(f"memory at most {most:.0f} MB, server and judging together")


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 120)
