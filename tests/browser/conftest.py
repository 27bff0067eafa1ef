"""A real server and a real browser.

`app_factory` says which dashboard is opened; a module that wants another network overrides that fixture.
"""

import os
import shutil
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from importlib.resources import files
from importlib.util import find_spec
from pathlib import Path

import pytest
from werkzeug.serving import make_server

from dashboard.access.demo import demo_accounts
from dashboard.access.door import door_of
from dashboard.app import create_app
from dashboard.desk import Desk
from dashboard.sending.gate import Gate
from dashboard.serve import demo, newest_of
from pipeline.publish.releases import Releases
from pipeline.store.engine import open_store
from pipeline.workspace import Workspace, open_workspace
from tests.dashboard import synthetic
from tests.dashboard.invented import CLOSED, TRIAL
from tests.dashboard.public_frames import store_with_answer
from tests.dashboard.synthetic import SyntheticPublished

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
#: Milliseconds to wait for a page; long, for slow machines. Nothing is timed.
PATIENCE_MS = 60_000
#: Kinds of console messages that nobody wants.
BAD = {"error", "warning"}
#: Trial and season of the demo whose answer everybody reads.
RELEASED = ("eggplant-graft", "2024")


#: Every figure is drawn and nothing more is on its way.
STANDS = """() => [...document.querySelectorAll('.frame .drawing')].every(
    one => one.querySelector('.main-svg'))
  && !document.querySelector('[data-dash-is-loading]')"""


@pytest.fixture(scope="session")
def published() -> SyntheticPublished:
    return synthetic.snapshot()


@pytest.fixture(scope="session")
def releases(tmp_path_factory) -> Iterator[Releases]:
    """Give a store in which the closed season's answer is released."""
    made = store_with_answer(tmp_path_factory.mktemp("releases"))
    made.release(TRIAL, CLOSED, "lead")
    yield made
    made.engine.dispose()


@pytest.fixture(scope="session")
def app_factory(published, releases) -> Callable[[], object]:
    return lambda: create_app(lambda: published, releases=releases)


@contextmanager
def served(app) -> Iterator[str]:
    """Serve an app on a free port of this machine, and give its address."""
    server = make_server("127.0.0.1", 0, app.server, threaded=True)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    yield f"http://127.0.0.1:{server.server_port}"
    server.shutdown()
    thread.join()
    server.server_close()


@pytest.fixture(scope="session")
def base_url(app_factory) -> Iterator[str]:
    """Serve the dashboard for as long as the tests run."""
    with served(app_factory()) as address:
        yield address


@pytest.fixture(scope="session")
def night_of_demo(tmp_path_factory) -> Path:
    """Run the demo's night once, for copies of it."""
    folder = tmp_path_factory.mktemp("night") / "network"
    demo(folder, no_serve=True)
    return folder


@dataclass(frozen=True)
class GuardedDemo:
    """The demo behind sign-in: what it serves from, its accounts' passphrases by name, and where it is."""

    workspace: Workspace
    desk: Desk
    gate: Gate
    releases: Releases
    passphrases: dict[str, str]
    base_url: str


@pytest.fixture(scope="module")
def guarded(night_of_demo, tmp_path_factory) -> Iterator[GuardedDemo]:
    """Serve a copy of the demo, with an account of each role and last year's answer released."""
    folder = tmp_path_factory.mktemp("guarded") / "network"
    shutil.copytree(night_of_demo, folder)
    workspace = open_workspace(folder)
    engine = open_store(workspace.database_url)
    passphrases = dict(demo_accounts(workspace, engine))
    desk, gate, releases = Desk(workspace, engine), Gate(workspace, engine), Releases(engine, workspace.now)
    releases.release(*RELEASED, "lead")
    app = create_app(
        newest_of(workspace, engine),
        door=door_of(workspace, engine),
        desk=desk,
        gate=gate,
        releases=releases,
    )
    with served(app) as address:
        yield GuardedDemo(workspace, desk, gate, releases, passphrases, address)
    engine.dispose()


def _lacking() -> str | None:
    """Return what a browser test lacks on this machine; None where it has everything."""
    if find_spec("playwright") is None:
        return "Playwright is not installed"
    return None if CHROMIUM else "there is no Chromium on the path"


@pytest.fixture(scope="session")
def chromium():
    """Start Chromium; without it skip here, and fail where a run promised it."""
    if lacking := _lacking():
        if os.environ.get("CI") == "true":
            pytest.fail(f"Browser tests were promised, but {lacking}.")
        pytest.skip(f"No browser tests: {lacking}.")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu", "--hide-scrollbars"]
        )
        yield browser
        browser.close()


@dataclass
class Opened:
    """A page in the browser, with everything that went wrong or out while it was open."""

    page: object
    base_url: str
    complaints: list[str] = field(default_factory=list)
    outside: list[str] = field(default_factory=list)

    def go(self, address: str) -> "Opened":
        """Open an address and wait until its figures, if it has any, are drawn."""
        self.page.goto(self.base_url + address)
        return self.wait()

    def wait(self) -> "Opened":
        """Wait until the main part is filled, every figure drawn and the fonts are there."""
        self.page.wait_for_selector("main h1")
        self.page.wait_for_function(STANDS)
        self.page.evaluate("() => document.fonts.ready.then(() => true)")
        return self

    def traces(self, figure: str) -> dict[str, dict]:
        """Return the traces that the browser drew in a figure, by name."""
        drawn = self.page.evaluate(
            """name => document.querySelector(`[data-figure="${name}"] .js-plotly-plot`)._fullData
                 .map(one => ({name: one.name, x: [...one.x], y: [...one.y],
                               customdata: one.customdata}))""",
            figure,
        )
        return {trace["name"]: trace for trace in drawn}


@pytest.fixture(scope="session")
def context(chromium):
    """Keep one profile for all tests, so that the browser reads the figures' library once."""
    context = chromium.new_context(accept_downloads=True)
    context.set_default_timeout(PATIENCE_MS)
    yield context
    context.close()


def watched(context, base_url: str, width: int, *, dark: bool = False) -> Opened:
    """Return a blank page that writes down what is complained of and what is asked outside."""
    page = context.new_page()
    page.set_viewport_size({"width": width, "height": 1000 if width > 500 else 844})
    page.emulate_media(color_scheme="dark" if dark else "light")
    one = Opened(page, base_url)
    page.on("console", lambda said: one.complaints.append(said.text) if said.type in BAD else None)
    page.on("pageerror", lambda error: one.complaints.append(str(error)))
    local = (base_url, "data:", "blob:")
    page.on("request", lambda asked: None if asked.url.startswith(local) else one.outside.append(asked.url))
    return one


def end(opened: list[Opened]) -> None:
    """Close pages; nothing may have been complained of or asked outside."""
    for one in opened:
        one.page.evaluate("() => window.localStorage.clear()")
        one.page.close()
    assert [complaint for one in opened for complaint in one.complaints] == []
    assert [url for one in opened for url in one.outside] == []


@pytest.fixture
def open_page(context, base_url) -> Iterator[Callable[..., Opened]]:
    """Return a function that opens pages; afterwards nothing may have been complained of or asked outside."""
    opened: list[Opened] = []

    def start(address: str, width: int = 1440, *, dark: bool = False) -> Opened:
        opened.append(watched(context, base_url, width, dark=dark))
        return opened[-1].go(address)

    yield start
    end(opened)


@pytest.fixture(scope="module")
def profile_of(chromium, guarded) -> Iterator[Callable[[str], object]]:
    """Return a function that gives the browser profile of a role, signed in once; "public" has no account."""
    profiles: dict[str, object] = {}

    def profile(role: str):
        if role not in profiles:
            profiles[role] = chromium.new_context(accept_downloads=True)
            profiles[role].set_default_timeout(PATIENCE_MS)
            if role != "public":
                sign_in(profiles[role], guarded, role)
        return profiles[role]

    yield profile
    for one in profiles.values():
        one.close()


def sign_in(context, guarded: GuardedDemo, name: str) -> None:
    """Sign in by the form, as a person does."""
    page = context.new_page()
    page.goto(f"{guarded.base_url}/sign-in")
    page.get_by_label("Your name").fill(name)
    page.get_by_label("Your passphrase").fill(guarded.passphrases[name])
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(f"{guarded.base_url}/")
    page.close()


@pytest.fixture
def open_as(profile_of, guarded) -> Iterator[Callable[..., Opened]]:
    """Return a function that opens pages of the demo as a person of a role; the same must hold after."""
    opened: list[Opened] = []

    def start(role: str, address: str, width: int = 1440, *, dark: bool = False) -> Opened:
        opened.append(watched(profile_of(role), guarded.base_url, width, dark=dark))
        return opened[-1].go(address)

    yield start
    end(opened)


def set_aside_what_matters_most(page) -> None:
    """Set the first question aside by keyboard, and see that the next one takes its place."""
    asked = page.locator(".asked-list a[href*='question=']")
    most, heading = asked.first.inner_text(), page.locator("#case").inner_text()
    assert heading == most
    assert "moves it far" in page.locator(".asked-list li").first.inner_text()
    page.locator("#case-part").focus()
    page.keyboard.press("2")
    page.wait_for_selector(".noted")
    assert "set aside" in page.locator(".noted").inner_text()
    assert asked.first.inner_text() != most


@pytest.fixture(scope="module")
def axe() -> str:
    """Give the source of axe-core."""
    try:
        return (files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")
    except (ModuleNotFoundError, FileNotFoundError) as lacking:
        if os.environ.get("CI") == "true":
            pytest.fail(f"Checks by axe-core were promised, but it is not installed: {lacking}.")
        pytest.skip(f"No checks by axe-core: {lacking}.")
