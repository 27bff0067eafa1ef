"""The demo as a newcomer starts it: one command, then each page with the numbers that the night published."""

import json
import math
import re
import subprocess
import sys

import pytest

from dashboard.serve import SAMPLE
from pipeline.publish.snapshot import newest_snapshot
from pipeline.simulate.network import TRIAL
from pipeline.store.engine import open_store
from pipeline.workspace import open_workspace

pytestmark = pytest.mark.browser

#: Of the mean of 20 gardens whose log ratios differ by 0.08, each with three blocks at a CV of 20%:
#: sqrt((0.08**2 + 2 * 0.2**2 / 3) / 20).
STANDARD_ERROR = 0.041
OUTCOME = "marketable_kg_per_plant"
START = "import sys, pathlib; from dashboard.serve import demo; demo(pathlib.Path(sys.argv[1]), port=0)"


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("demo") / "network"


@pytest.fixture(scope="module")
def passphrases() -> dict[str, str]:
    """Hold what the demo prints of its accounts: passphrases by name."""
    return {}


@pytest.fixture(scope="module")
def base_url(folder, passphrases):
    """Start the demo and give the address that it prints."""
    process = subprocess.Popen(
        [sys.executable, "-c", START, str(folder)],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    )
    for line in process.stdout:
        if account := re.fullmatch(r"  (\w+) +([a-z]+(?:-[a-z]+){3})\n", line):
            passphrases[account[1]] = account[2]
        if address := re.search(r"http://127\.0\.0\.1:\d+", line):
            yield address.group()
            break
    else:
        pytest.fail(f"The demo ended with exit code {process.wait()} before it printed an address.")
    process.terminate()
    process.wait(timeout=20)
    process.stdout.close()


@pytest.fixture(autouse=True)
def signed_in(context, base_url, passphrases):
    """Sign in as the demo's lead, in the profile that all tests share."""
    page = context.new_page()
    page.goto(f"{base_url}/sign-in")
    page.fill("#name", "lead")
    page.fill("#passphrase", passphrases["lead"])
    page.click("button.press >> nth=0")
    page.wait_for_url(f"{base_url}/")
    page.close()
    yield
    context.clear_cookies()


def test_the_demo_prints_an_account_of_each_role(passphrases):
    assert set(passphrases) == {"lead", "volunteer", "administrator"}


@pytest.mark.parametrize("address", ["/", "/gradient", "/compare", "/watch"])
def test_every_page_of_the_demo_opens_with_its_figures(open_page, address):
    page = open_page(address).page
    assert page.locator("main h1").inner_text()
    assert page.locator(".frame .main-svg").count() > 0


def test_the_demo_opens_on_the_closed_season_with_its_answer(open_page):
    heading = open_page("/").page.locator("main h1").inner_text()
    said = re.search(r"Grafting on Corvane gave about (\d+) percent more than own-root plants\.", heading)
    made = json.loads((SAMPLE / "truth.json").read_text())["effects"]["corvane"]
    assert said is not None
    assert math.log1p(int(said[1]) / 100) == pytest.approx(made, abs=3 * STANDARD_ERROR)


def test_the_gradient_of_the_demo_holds_the_published_numbers(open_page, folder):
    marks = open_page("/gradient?season=2024").traces("strips")["gardens 1"]
    engine = open_store(open_workspace(folder).database_url)
    effects = newest_snapshot(engine).frame("effects", TRIAL, "2024")
    engine.dispose()
    wanted = effects[(effects["outcome"] == OUTCOME) & (effects["treatment"] == "corvane")].set_index("site")
    assert marks["y"] == wanted.loc[marks["customdata"], "percent"].tolist()
