"""How soon Watch and Gradient stand on the screen, what is sent for them, and how 20 people at once fare.

Run as a script: `python tests/benchmarks/bench_screens.py [--gardens N ...] [--people P] [--rounds R]`.

Each network is simulated with a season that is over and one that runs, its night is run, and it is served
as `longrow serve` does, in a process of its own. For every page: kB of the answer as it travels (Brotli),
seconds to make it anew, the 95th percentile of what people wait who ask at once, each for a page that was not
made yet ("p95 own") and all for the same ("p95"), and, where Chromium is there, the time until the figure is
drawn: in a fresh profile, and opened again. Times are of this machine; the ratio to the smallest network
carries over to others.
"""

import argparse
import json
import re
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from datetime import date
from http.client import HTTPConnection
from pathlib import Path
from shutil import which
from urllib.parse import urlsplit

sys.path.insert(0, str(Path(__file__).parents[2]))

from dashboard.router import PAGES
from pipeline.nightly import run_night
from pipeline.simulate.network import Network, simulate
from pipeline.simulate.truth import Truth

ROOT = Path(__file__).parents[2]
START = "import sys, pathlib; from dashboard.serve import serve; serve(pathlib.Path(sys.argv[1]), port=0)"
PARTS = (
    ("title", "data"),
    *((part, "children") for part in ("masthead", "ruler", "main", "foot")),
    ("language", "data"),
)
DRAWN = "() => document.querySelector('.frame .main-svg') !== null"
#: What is aimed at with 5,000 gardens: bytes of a page, seconds to its figure cold and again, and seconds of
#: the 95th percentile of an answer.
AIMS = {"bytes": 250_000, "cold": 3.0, "again": 1.5, "p95": 0.25}


def main() -> None:
    """Print the table for every size of network."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--gardens", type=int, nargs="+", default=[24, 500, 5000])
    parser.add_argument("--people", type=int, default=20)
    parser.add_argument("--rounds", type=int, default=5)
    options = parser.parse_args()
    say(f"aims with 5,000 gardens: {AIMS}")
    smallest: dict[str, float] = {}
    for gardens in options.gardens:
        with tempfile.TemporaryDirectory() as folder:
            network = made(Path(folder) / "network", gardens)
            with served(network) as base:
                report(base, gardens, options.people, options.rounds, smallest)


def made(folder: Path, gardens: int) -> Path:
    """Return a network of so many gardens after its night."""
    start = time.perf_counter()
    truth = Truth(effects=(0.22, 0.08), slope_per_100_km=-0.03, tau=0.08, cv=0.2)
    asked = Network(gardens=gardens, seasons=("2024", "2025"), truth=truth, today=date(2025, 8, 20))
    workspace = simulate(folder, asked)
    status = run_night(workspace).status
    say(f"\n{gardens:,} gardens: simulated and {status} in {time.perf_counter() - start:.0f} s")
    return workspace.root


@contextmanager
def served(network: Path) -> Iterator[str]:
    """Serve the network on a free port and give its address."""
    run = [sys.executable, "-c", START, str(network)]
    with subprocess.Popen(
        run, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True, cwd=ROOT
    ) as server:
        for line in server.stdout or ():
            if address := re.search(r"http://127\.0\.0\.1:\d+", line):
                yield address.group()
                break
        server.terminate()


def report(base: str, gardens: int, people: int, rounds: int, smallest: dict[str, float]) -> None:
    """Print what one network's pages send and take."""
    say(f"{'page':<10}{'kB sent':>9}{'made':>9}{'p95 own':>10}{'p95':>9}{'ratio':>7}{'cold':>8}{'again':>8}")
    painted = [page.path for page in PAGES if page.path in ("/watch", "/gradient")]
    drawn = {path: first_paint(base, path) for path in painted}
    for page in PAGES:
        path = page.path
        size = ask(base, path)[1]
        # A page made anew: nobody has asked for it on this screen.
        made = percentile([ask(base, path, f"alone {at}")[0] for at in range(rounds)])
        own = at_once(people, rounds, lambda at, path=path: ask(base, path, f"own {at}")[0])
        same = at_once(people, rounds, lambda _, path=path: ask(base, path)[0])
        ratio = same / smallest.setdefault(path, same)
        cold, again = drawn.get(path) or (None, None)
        say(
            f"{path:<10}{size / 1000:>9.1f}{made:>8.3f}s{own:>9.3f}s{same:>8.3f}s{ratio:>7.1f}"
            f"{seconds(cold):>8}{seconds(again):>8}"
        )


def at_once(people: int, rounds: int, asked: Callable[[int], float]) -> float:
    """Return the 95th percentile of what so many people wait who ask at once, again and again."""
    with ThreadPoolExecutor(people) as pool:
        return percentile(list(pool.map(asked, range(people * rounds))))


def ask(base: str, path: str, zone: str = "UTC") -> tuple[float, int]:
    """Return the seconds that a page's answer took and its bytes as sent."""
    screen = {"paper": "light", "zone": zone}
    values = {("url", "pathname"): path, ("url", "search"): "", ("screen", "data"): screen}
    body = {
        "output": "..".join(["", "...".join(f"{part}.{prop}" for part, prop in PARTS), ""]),
        "outputs": [{"id": part, "property": prop} for part, prop in PARTS],
        "inputs": [{"id": part, "property": prop, "value": value} for (part, prop), value in values.items()],
        "changedPropIds": ["url.pathname"],
    }
    connection = HTTPConnection(urlsplit(base).netloc, timeout=120)
    start = time.perf_counter()
    connection.request(
        "POST",
        "/_dash-update-component",
        json.dumps(body),
        {"Content-Type": "application/json", "Accept-Encoding": "br, gzip"},
    )
    answer = connection.getresponse()
    content = answer.read()
    took = time.perf_counter() - start
    connection.close()
    if answer.status != 200:
        raise SystemExit(f"{path} was not answered: {answer.status}")
    return took, len(content)


def percentile(times: list[float]) -> float:
    """Return the 95th percentile."""
    return statistics.quantiles(times, n=20, method="inclusive")[-1] if len(times) > 1 else times[0]


def first_paint(base: str, path: str) -> tuple[float, float] | None:
    """Return seconds until the figure is drawn in a fresh profile and opened again; None without Chromium."""
    chromium = which("chromium") or which("chromium-browser")
    if chromium is None:
        return None
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox", "--disable-gpu"])
        page = browser.new_page(viewport={"width": 1440, "height": 900})
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
