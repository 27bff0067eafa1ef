"""Every page by axe-core, on every paper and width; by keyboard alone; on small screens and zoomed in.

axe-core comes inside a development package. Where that is missing these checks are skipped with the reason,
and fail in a run that promised them.
"""

import os
from importlib.resources import files

import pytest

from dashboard.figures.template import DARK, LIGHT
from dashboard.router import PAGES

pytestmark = pytest.mark.browser

#: WCAG 2.0, 2.1 and 2.2, levels A and AA, by the tags of axe-core.
LEVELS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22a", "wcag22aa"]
#: Every page, and states of them that hold other parts.
ADDRESSES = [
    *(page.path for page in PAGES),
    "/watch?season=2024&garden=G07",
    "/gradient?season=2025",
    "/compare?season=2025&treatment=tressel",
    "/results?county=20004&treatment=tressel",
    "/reach?year=2024",
    "/results?county=99999",
    "/nowhere",
]
#: Everything that folds out is read as well.
UNFOLD = "() => document.querySelectorAll('main details').forEach(one => { one.open = true; })"
#: What can be pressed and can be seen, by its words.
PRESSABLE = """() => [...document.querySelectorAll('a[href], button, select, input, summary, [tabindex="0"]')]
  .filter(one => one.checkVisibility() && !one.disabled && one.tabIndex >= 0)
  .filter(one => !one.closest('details:not([open]) > :not(summary)'))
  .length"""
#: The tables under figures are fetched when they are unfolded.
FILLED = "() => [...document.querySelectorAll('[data-table]')].every(one => one.childElementCount > 0)"
PAPER = """paper => {
  const figures = [...document.querySelectorAll('.js-plotly-plot')];
  const [red, green, blue] = [1, 3, 5].map(at => parseInt(paper.slice(at, at + 2), 16));
  return getComputedStyle(document.body).backgroundColor === `rgb(${red}, ${green}, ${blue})`
    && figures.every(one => one._fullLayout && one._fullLayout.paper_bgcolor.toUpperCase() === paper);
}"""
WALK = """() => {
  const seen = window.walked = window.walked || new Set();
  const now = document.activeElement;
  if (now && now !== document.body) seen.add(now);
  return seen.size;
}"""


@pytest.fixture(scope="module")
def axe() -> str:
    """Give the source of axe-core."""
    try:
        return (files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")
    except (ModuleNotFoundError, FileNotFoundError) as lacking:
        if os.environ.get("CI") == "true":
            pytest.fail(f"Checks by axe-core were promised, but it is not installed: {lacking}.")
        pytest.skip(f"No checks by axe-core: {lacking}.")


def violations(page, axe: str) -> list[str]:
    """Return what axe-core finds against WCAG, each with the element that it means."""
    page.evaluate(axe)
    found = page.evaluate(
        "levels => axe.run(document, {runOnly: {type: 'tag', values: levels}}).then(one => one.violations)",
        LEVELS,
    )
    return [
        f"{one['id']}: {node['html'][:200]} ({node['failureSummary'][:200]})"
        for one in found
        for node in one["nodes"]
    ]


def on_paper(opened, tokens: dict[str, str]) -> None:
    """Wait until page and figures stand on a paper, with everything unfolded and filled."""
    opened.page.wait_for_function(PAPER, arg=tokens["paper"])
    opened.wait()
    opened.page.evaluate(UNFOLD)
    opened.page.wait_for_function(FILLED)


@pytest.mark.parametrize("width", [1440, 390])
@pytest.mark.parametrize("address", ADDRESSES)
def test_axe_finds_nothing_against_wcag_a_and_aa(open_page, axe, address, width):
    opened = open_page(address, width)
    on_paper(opened, LIGHT)
    assert violations(opened.page, axe) == []
    opened.page.emulate_media(color_scheme="dark")
    on_paper(opened, DARK)
    assert violations(opened.page, axe) == []


def test_axe_would_find_a_fault(open_page, axe):
    page = open_page("/results").page
    page.evaluate("() => { document.querySelector('label').remove(); }")
    assert any(one.startswith("select-name") for one in violations(page, axe))


@pytest.mark.parametrize("address", [page.path for page in PAGES])
@pytest.mark.parametrize("width", [1440, 390])
def test_everything_that_can_be_pressed_is_reached_by_tab(open_page, address, width):
    page = open_page(address, width).page
    count = page.evaluate(PRESSABLE)
    reached = 0
    for _ in range(count + 5):
        page.keyboard.press("Tab")
        reached = page.evaluate(WALK)
    assert reached >= count


# WCAG 2.2, success criterion 1.4.10: no scrolling in two directions at 320 CSS pixels.
@pytest.mark.parametrize("address", ADDRESSES)
def test_nothing_scrolls_sideways_at_320_pixels(open_page, address):
    page = open_page(address, 320).page
    page.evaluate(UNFOLD)
    assert page.evaluate("document.documentElement.scrollWidth") <= 320


# WCAG 2.2, success criterion 1.4.4: text can be doubled. A window of 1280 pixels zoomed to 200% has 640.
@pytest.mark.parametrize("address", [page.path for page in PAGES])
def test_nothing_scrolls_sideways_at_twice_the_size(open_page, address):
    opened = open_page(address, 640)
    assert opened.page.evaluate("document.documentElement.scrollWidth") <= 640
    opened.page.evaluate("document.documentElement.style.fontSize = '200%'")
    assert opened.page.evaluate("document.documentElement.scrollWidth") <= 640
