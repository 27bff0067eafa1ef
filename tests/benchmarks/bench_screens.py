"""How soon Watch and Gradient stand on the screen, what is sent for them, and how 20 people at once fare.

Run as a script: `python -m tests.benchmarks.bench_screens [--gardens N ...] [--people P] [--rounds R]`.

Each network has a season that is over and one that runs; it is served as `longrow serve` does, in a process
of its own, to people who have signed in. For every page: kB of the answer as it travels (compressed),
seconds to make it for the first time, and the 95th percentile of what people wait who ask at once and
without a pause, after everybody has opened the page once: all for the page as it opens, each for another
garden on the page that stands ("choosing"), and each for the page by a link that names another garden
("linked"). Where Chromium is there, the time until the figure is drawn: in a fresh profile, and opened
again. Times are of this machine; the ratio to the smallest network carries over to others.
"""

import argparse
import gzip
import json
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from http.client import HTTPConnection
from itertools import count
from pathlib import Path
from queue import Queue
from shutil import copytree, which
from typing import Any
from urllib.parse import urlsplit

import brotli

sys.path.insert(0, str(Path(__file__).parents[2]))

from dashboard.access import people, sessions
from dashboard.access.browser import COOKIE, PROOF_COOKIE, PROOF_HEADER
from dashboard.access.door import moment
from dashboard.answered import OUTPUTS, STANDING
from dashboard.components.shell import CHANGED
from dashboard.router import PAGES
from dashboard.words import STATES
from pipeline.publish.snapshot import newest_snapshot
from pipeline.store.engine import open_store, writing
from pipeline.workspace import Workspace, open_workspace
from tests.benchmarks.grown_network import MOST_RUN, grow, night_of
from tests.benchmarks.serving import address_of

ROOT = Path(__file__).parents[2]
START = "import sys, pathlib; from dashboard.serve import serve; serve(pathlib.Path(sys.argv[1]), port=0)"
DRAWN = "() => document.querySelector('.frame .main-svg') !== null"
#: What is aimed at with 5,000 gardens: bytes of a page, seconds to its figure cold and again, and seconds of
#: the 95th percentile of an answer.
AIMS = {"bytes": 250_000, "cold": 3.0, "again": 1.5, "p95": 0.25}

#: How an answer is unpacked, by its coding.
UNPACK: dict[str, Callable[[bytes], bytes]] = {"": bytes, "gzip": gzip.decompress, "br": brotli.decompress}


@dataclass(frozen=True)
class Person:
    """Somebody signed in: an open connection, and what the browser sends with every request."""

    connection: HTTPConnection
    headers: dict[str, str]


@dataclass(frozen=True)
class Answer:
    """A page's answer: the seconds that it took, its bytes as sent, and how they are packed.

    It is unpacked only when it is looked into: the people's own machines do that, not the server's.
    """

    seconds: float
    content: bytes
    coding: str

    @property
    def size(self) -> int:
        """The bytes sent."""
        return len(self.content)

    @property
    def filled(self) -> dict[str, Any]:
        """What the page's parts are filled with."""
        parts: dict[str, Any] = json.loads(UNPACK[self.coding](self.content))["response"]
        return parts


def main() -> None:
    """Print the table for every size of network."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--gardens", type=int, nargs="+", default=[24, 500, 5000])
    parser.add_argument("--people", type=int, default=20)
    parser.add_argument("--rounds", type=int, default=5)
    options = parser.parse_args()
    say(f"aims with 5,000 gardens: {AIMS}")
    smallest: dict[str, float] = {}
    with tempfile.TemporaryDirectory() as folder:
        made: dict[int, Workspace] = {}
        for gardens in options.gardens:
            start = time.perf_counter()
            run = min(gardens, MOST_RUN)
            workspace = made[run] if run in made else night_of(Path(folder) / f"network-{run}", run)
            made[run] = workspace
            if gardens > run:
                # The night itself stays as it was: a network that has grown cannot be grown from again.
                workspace = open_workspace(copytree(workspace.root, Path(folder) / f"network-{gardens}"))
                grow(workspace, gardens)
            say(f"\n{gardens:,} gardens: made and published in {time.perf_counter() - start:.0f} s")
            with served(workspace) as base:
                report(base, workspace, options.people, options.rounds, smallest)


@contextmanager
def served(workspace: Workspace) -> Iterator[str]:
    """Serve the network on a free port and give its address."""
    run = [sys.executable, "-c", START, str(workspace.root)]
    with subprocess.Popen(
        run, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True, cwd=ROOT
    ) as server:
        try:
            yield address_of(server)
        finally:
            server.terminate()


def sessions_of(workspace: Workspace, people_at_once: int) -> list[str]:
    """Return the tokens of so many leads who have signed in, each with an account of their own."""
    engine = open_store(workspace.database_url)
    with writing(engine) as connection:
        leads = [
            people.by_name(connection, f"Lead {at}")
            or people.add(
                connection, f"Lead {at}", "lead", [], known_gardens=[], made_by="bench", now=moment()
            )
            for at in range(people_at_once)
        ]
        tokens = [sessions.begin(connection, lead, moment()) for lead in leads]
    engine.dispose()
    return tokens


def opened(base: str, token: str) -> Person:
    """Return somebody in whose browser this session is open, with the proof that the server gave for it."""
    connection = HTTPConnection(urlsplit(base).netloc, timeout=120)
    connection.request("GET", "/privacy", headers={"Cookie": f"{COOKIE}={token}"})
    proof = cookies(connection)[PROOF_COOKIE]
    headers = {
        "Content-Type": "application/json",
        "Accept-Encoding": "gzip, deflate, br",
        "Cookie": f"{COOKIE}={token}; {PROOF_COOKIE}={proof}",
        PROOF_HEADER: proof,
    }
    return Person(connection, headers)


def cookies(connection: HTTPConnection) -> dict[str, str]:
    """Read an answer and return the cookies that it gives."""
    answer = connection.getresponse()
    answer.read()
    given = (value.split(";")[0].partition("=") for value in answer.headers.get_all("Set-Cookie", []))
    return {name: value for name, _, value in given}


def report(
    base: str,
    workspace: Workspace,
    people_at_once: int,
    rounds: int,
    smallest: dict[str, float],
) -> None:
    """Print what one network's pages send and take."""
    everybody: Queue[Person] = Queue()
    for token in sessions_of(workspace, people_at_once):
        everybody.put(opened(base, token))

    def asked(path: str, garden: str = "", standing: str = "") -> Answer:
        person = everybody.get()
        try:
            return ask(person, path, garden, standing)
        finally:
            everybody.put(person)

    def p95(path: str, standing: str | None = None) -> float:
        """Return what people wait who ask at once; each names another garden where `standing` is given."""

        def one() -> float:
            # Every time another garden, so that no page is there ready made.
            garden = "" if standing is None else gardens[next(step) * 7 % len(gardens)]
            return asked(path, garden, standing or "").seconds

        return at_once(people_at_once, rounds, one)

    def everybody_opens(path: str) -> None:
        """Let everybody open a page and one garden on it, so that each process has read what it needs."""
        for garden in ("", gardens[-1]):
            at_once(people_at_once, 1, lambda garden=garden: asked(path, garden).seconds)

    gardens, step = sites(workspace), count()
    say(
        f"{'page':<14}{'kB sent':>9}{'made':>9}{'p95':>9}{'ratio':>7}{'choosing':>10}{'linked':>9}"
        f"{'cold':>8}{'again':>8}"
    )
    for page in PAGES:
        path = page.path
        first = asked(path)
        if STATES["nothing_lost"] in json.dumps(first.filled["main"]):
            raise SystemExit(f"{path} tells of trouble; see what the server writes.")
        everybody_opens(path)
        same, choosing, linked = p95(path), p95(path, first.filled["standing"]["data"]), p95(path, "")
        ratio = same / smallest.setdefault(path, same)
        painted = (
            first_paint(base, path, sessions_of(workspace, 1)[0]) if path in ("/watch", "/gradient") else None
        )
        cold, again = painted or (None, None)
        say(
            f"{path:<14}{first.size / 1000:>9.1f}{first.seconds:>8.3f}s{same:>8.3f}s{ratio:>7.1f}"
            f"{choosing:>9.3f}s{linked:>8.3f}s{seconds(cold):>8}{seconds(again):>8}"
        )
    while not everybody.empty():
        everybody.get().connection.close()


def sites(workspace: Workspace) -> list[str]:
    """Return the short names of the gardens that are published."""
    engine = open_store(workspace.database_url)
    newest = newest_snapshot(engine)
    names = [] if newest is None else newest.frame("gardens")["site"].tolist()
    engine.dispose()
    return names


def at_once(people_at_once: int, rounds: int, asked: Callable[[], float]) -> float:
    """Return the 95th percentile of what so many people wait who ask at once, again and again."""
    with ThreadPoolExecutor(people_at_once) as pool:
        waited = [pool.submit(asked) for _ in range(people_at_once * rounds)]
        return percentile([one.result() for one in waited])


def ask(person: Person, path: str, garden: str, standing: str) -> Answer:
    """Return the answer to somebody before whom the page that `standing` names stands; blank for none."""
    screen = {"paper": "light", "width": "wide", "zone": "UTC"}
    values = {
        ("url", "pathname"): path,
        ("url", "search"): f"?garden={garden}" if garden else "",
        ("screen", "data"): screen,
        **{(name, "data"): None for name in CHANGED},
    }
    body = {
        "output": "..".join(["", "...".join(f"{part}.{prop}" for part, prop in OUTPUTS), ""]),
        "outputs": [{"id": part, "property": prop} for part, prop in OUTPUTS],
        "inputs": [{"id": part, "property": prop, "value": value} for (part, prop), value in values.items()],
        "state": [{"id": STANDING[0], "property": STANDING[1], "value": standing}],
        "changedPropIds": ["url.search" if standing else "url.pathname"],
    }
    start = time.perf_counter()
    person.connection.request("POST", "/_dash-update-component", json.dumps(body), person.headers)
    answer = person.connection.getresponse()
    content = answer.read()
    took = time.perf_counter() - start
    if answer.status != 200:
        raise SystemExit(f"{path} was not answered: {answer.status} {content[:200]!r}")
    return Answer(took, content, answer.headers.get("Content-Encoding", ""))


def percentile(times: list[float]) -> float:
    """Return the 95th percentile."""
    return statistics.quantiles(times, n=20, method="inclusive")[-1] if len(times) > 1 else times[0]


def first_paint(base: str, path: str, token: str) -> tuple[float, float] | None:
    """Return seconds until the figure is drawn in a fresh profile and opened again; None without Chromium.

    The person has signed in before the clock starts, on a page that brings none of the scripts.
    """
    chromium = which("chromium") or which("chromium-browser")
    if chromium is None:
        return None
    from playwright.sync_api import sync_playwright

    person = opened(base, token)
    person.connection.close()
    known = dict(part.split("=", 1) for part in person.headers["Cookie"].split("; "))
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox", "--disable-gpu"])
        context = browser.new_context(viewport={"width": 1440, "height": 900})
        context.add_cookies([{"name": name, "value": value, "url": base} for name, value in known.items()])
        page = context.new_page()
        page.set_default_timeout(120_000)
        took = []
        for _ in range(2):
            start = time.perf_counter()
            page.goto(base + path, wait_until="commit")
            page.wait_for_function(DRAWN)
            took.append(time.perf_counter() - start)
        browser.close()
    return took[0], took[1]


def seconds(value: float | None) -> str:
    """Return a time as it stands in the table."""
    return "-" if value is None else f"{value:.2f}s"


def say(words: str) -> None:
    """Print one line."""
    sys.stdout.write(words + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main()
