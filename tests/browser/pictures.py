"""`make pictures`: every page of the demo on both papers and at both widths, as a contact sheet to look at.

Writes pictures/ (every page whole, and contact-sheet.png), and dashboard/pictures/, small for the README.
"""

import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from PIL import Image, ImageDraw
from playwright.sync_api import Browser, StorageState, sync_playwright

from dashboard.router import PAGES
from pipeline.publish.releases import Releases
from pipeline.store.engine import open_store
from pipeline.workspace import open_workspace
from tests.browser.conftest import CHROMIUM, STANDS

ROOT = Path(__file__).resolve().parents[2]
ALL, README = ROOT / "pictures", ROOT / "dashboard" / "pictures"
SCREENS = ((1440, "light"), (1440, "dark"), (390, "light"), (390, "dark"))
#: States of pages that show more than the page as it opens.
FURTHER = ("/gradient?trial=eggplant-graft&season=2024", "/results?county=20169", "/nowhere")
#: The pictures of the README: address, paper, and the part of it that is shown, pixels from the top.
SHOWN = {
    "gradient": ("/gradient?trial=eggplant-graft&season=2024", "light", 1050),
    "watch": ("/watch?trial=eggplant-graft&season=2025", "dark", 900),
    "results": ("/results?county=20169", "light", 930),
}
#: Width of a README picture; widths of pages on the contact sheet by that of the window, and the most that is
#: shown there of a page.
README_PX, TILE_PX, TILE_MOST_PX = 900, {1440: 560, 390: 190}, 640
#: Air between pages on the contact sheet.
AIR_PX = 16
RELEASED = ("eggplant-graft", "2024")
START = "import sys, pathlib; from dashboard.serve import demo; demo(pathlib.Path(sys.argv[1]), {how})"


@contextmanager
def demo_served() -> Iterator[tuple[str, str]]:
    """Serve the demo with last year's answer released; give its address and the lead's passphrase."""
    with tempfile.TemporaryDirectory() as folder:
        network = Path(folder) / "network"
        run = [sys.executable, "-c", START.format(how="no_serve=True"), str(network)]
        subprocess.run(run, check=True, cwd=ROOT, stderr=subprocess.DEVNULL)
        place = open_workspace(network)
        engine = open_store(place.database_url)
        Releases(engine, place.now).release(*RELEASED, "open")
        engine.dispose()
        run = [sys.executable, "-c", START.format(how="port=0"), str(network)]
        with subprocess.Popen(
            run, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True, cwd=ROOT
        ) as server:
            passphrase = ""
            for line in server.stdout:
                if account := re.fullmatch(r"  lead +([a-z]+(?:-[a-z]+){3})\n", line):
                    passphrase = account[1]
                if address := re.search(r"http://127\.0\.0\.1:\d+", line):
                    yield address.group(), passphrase
                    break
            server.terminate()


def signed_in(browser: Browser, base: str, passphrase: str) -> StorageState:
    """Sign in as the demo's lead and return the cookies that the browser is known by."""
    context = browser.new_context()
    page = context.new_page()
    page.goto(f"{base}/sign-in")
    page.fill("#name", "lead")
    page.fill("#passphrase", passphrase)
    page.click("button.press >> nth=0")
    page.wait_for_url(f"{base}/")
    state = context.storage_state()
    context.close()
    return state


def shoot(browser: Browser, address: str, width: int, paper: str, file: Path, known: StorageState) -> None:
    """Write one page, whole, as somebody sees it who signed in."""
    page = browser.new_page(viewport={"width": width, "height": 900}, color_scheme=paper, storage_state=known)
    page.goto(address)
    page.wait_for_selector("main h1")
    page.wait_for_function(STANDS)
    page.evaluate("() => document.fonts.ready.then(() => true)")
    page.screenshot(path=file, full_page=True)
    page.close()


def contact_sheet(pictures: dict[str, list[Path]]) -> Image.Image:
    """Return all pages as rows, a screen each in a column."""
    widths = [TILE_PX[width] for width, _ in SCREENS]
    rows = [
        (name, [tile(file, width) for file, width in zip(files, widths, strict=True)])
        for name, files in pictures.items()
    ]
    heights = [max(image.height for image in row) + 28 for _, row in rows]
    lefts = [AIR_PX + sum(widths[:at]) + AIR_PX * at for at in range(len(widths))]
    sheet = Image.new("RGB", (lefts[-1] + widths[-1] + AIR_PX, sum(heights) + AIR_PX), "#888888")
    pen, top = ImageDraw.Draw(sheet), 8
    for (name, row), height in zip(rows, heights, strict=True):
        pen.text((AIR_PX, top), name, fill="black")
        for left, image in zip(lefts, row, strict=True):
            sheet.paste(image, (left, top + AIR_PX))
        top += height
    return sheet


def tile(file: Path, width: int) -> Image.Image:
    """Return a page small, its foot cut off where it is very long."""
    image = Image.open(file).convert("RGB")
    small = image.resize((width, round(image.height * width / image.width)), Image.Resampling.LANCZOS)
    return small.crop((0, 0, width, min(small.height, TILE_MOST_PX)))


def for_readme(file: Path, most: int) -> Image.Image:
    """Return the upper part of a page, small and in few colours."""
    image = Image.open(file).convert("RGB")
    part = image.crop((0, 0, image.width, min(image.height, most)))
    small = part.resize((README_PX, round(part.height * README_PX / part.width)), Image.Resampling.LANCZOS)
    return small.quantize(256, method=Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE)


def main() -> None:
    """Make all pictures."""
    shutil.rmtree(ALL, ignore_errors=True)
    for folder in (ALL, README):
        folder.mkdir(parents=True, exist_ok=True)
    pictures: dict[str, list[Path]] = {}
    with demo_served() as (base, passphrase), sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu", "--hide-scrollbars"]
        )
        known = signed_in(browser, base, passphrase)
        for address in [*(page.path for page in PAGES), *FURTHER]:
            name = re.sub(r"\W+", "-", address).strip("-")
            pictures[address] = []
            for width, paper in SCREENS:
                file = ALL / f"{name}-{width}-{paper}.png"
                shoot(browser, base + address, width, paper, file, known)
                pictures[address].append(file)
        for name, (address, paper, most) in SHOWN.items():
            file = ALL / f"readme-{name}.png"
            shoot(browser, base + address, 1440, paper, file, known)
            for_readme(file, most).save(README / f"{name}.png", optimize=True)
        browser.close()
    contact_sheet(pictures).save(ALL / "contact-sheet.png", optimize=True)
    sys.stdout.write(f"{ALL / 'contact-sheet.png'}\n")


if __name__ == "__main__":
    main()
