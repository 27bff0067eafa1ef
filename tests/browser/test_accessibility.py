"""Every page by axe-core, on every paper and width; by keyboard alone; on small screens and zoomed in.

Pages are opened behind sign-in by each role that sees them, as the role decides what stands there.

axe-core comes inside a development package. Where that is missing these checks are skipped with the reason,
and fail in a run that promised them.
"""

import pytest

from dashboard.access.account import NOBODY, Account
from dashboard.figures.template import DARK, LIGHT
from dashboard.router import pages_for

pytestmark = pytest.mark.browser

#: WCAG 2.0, 2.1 and 2.2, levels A and AA, by the tags of axe-core.
LEVELS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22a", "wcag22aa"]
#: Pages of the account, which come without the rest of the dashboard, by who opens them.
_OF_ACCOUNT = {
    "lead": ["/account", "/people"],
    "volunteer": ["/account"],
    "administrator": ["/account"],
    "public": ["/sign-in", "/privacy"],
}
#: The lead chooses a garden where a volunteer has one, and reads two seasons of the pages of estimates.
_OF_LEAD = [
    *(f"{path}?garden=G14" for path in ("/send", "/my-garden", "/picking", "/paper-sheet")),
    "/questions?season=2024",
    "/gradient?season=2025",
]
_READERS = [*(Account(role, role) for role in ("lead", "volunteer", "administrator")), NOBODY]
#: Every page by every role that sees it.
BY_ROLE = [
    *((one.role, page.path) for one in _READERS for page in pages_for(one)),
    *((role, address) for role, own in _OF_ACCOUNT.items() for address in own),
    *(("lead", address) for address in _OF_LEAD),
]
#: States of pages that hold other parts, of a network made up for them.
FURTHER = [
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
# Of radio buttons with one name Tab reaches one, and the arrow keys the others (HTML, 4.10.5.1.17).
PRESSABLE = """() => [...document.querySelectorAll('a[href], button, select, input, summary, [tabindex="0"]')]
  .filter(one => one.checkVisibility() && !one.disabled && one.tabIndex >= 0)
  .filter(one => !one.closest('details:not([open]) > :not(summary)'))
  .filter((one, at, all) => one.type !== 'radio'
    || at === all.findIndex(other => other.type === 'radio' && other.name === one.name))
  .length"""
#: Presses beyond one for each part: the day, month and year of a date field take one each.
SPARE_PRESSES = 60
#: The tables under figures are fetched when they are unfolded.
FILLED = "() => [...document.querySelectorAll('[data-table]')].every(one => one.childElementCount > 0)"
PAPER = """paper => {
  const figures = [...document.querySelectorAll('.js-plotly-plot')];
  const [red, green, blue] = [1, 3, 5].map(at => parseInt(paper.slice(at, at + 2), 16));
  return getComputedStyle(document.body).backgroundColor === `rgb(${red}, ${green}, ${blue})`
    && figures.every(one => one._fullLayout && one._fullLayout.paper_bgcolor.toUpperCase() === paper);
}"""
ONLY_FOR_MOUSE = """() => [...document.querySelectorAll(
      '[role=button], [role=link], [role=tab], [role=checkbox], [onclick], [tabindex="0"]')]
  .filter(one => !one.matches('a[href], button, select, input, textarea, summary, [role=region]'))
  .map(one => one.outerHTML.slice(0, 200))"""
WALK = """() => {
  const seen = window.walked = window.walked || new Set();
  const now = document.activeElement;
  if (now && now !== document.body) seen.add(now);
  return seen.size;
}"""


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


def holds(opened, axe: str) -> None:
    """Hold a page against WCAG on light paper and on dark."""
    on_paper(opened, LIGHT)
    assert violations(opened.page, axe) == []
    opened.page.emulate_media(color_scheme="dark")
    # Pages of the account take the paper that the device asks for when they open.
    opened.page.reload()
    on_paper(opened, DARK)
    assert violations(opened.page, axe) == []


@pytest.mark.parametrize("width", [1440, 390])
@pytest.mark.parametrize(("role", "address"), BY_ROLE)
def test_axe_finds_nothing_against_wcag_a_and_aa(open_as, axe, role, address, width):
    holds(open_as(role, address, width), axe)


@pytest.mark.parametrize("width", [1440, 390])
@pytest.mark.parametrize("address", FURTHER)
def test_axe_finds_nothing_in_further_states(open_page, axe, address, width):
    holds(open_page(address, width), axe)


# WCAG 2.2, success criterion 2.5.8: targets of at least 24 by 24 CSS pixels, or with that room around them.
def test_axe_would_find_targets_that_are_too_small(open_page, axe):
    page = open_page("/results").page
    small = '<button style="all: unset; font-size: 10px">a</button>'
    page.evaluate("small => document.querySelector('main').insertAdjacentHTML('beforeend', small)", small * 2)
    assert any(one.startswith("target-size") for one in violations(page, axe))


def test_axe_would_find_a_fault(open_page, axe):
    page = open_page("/results").page
    page.evaluate("() => { document.querySelector('label').remove(); }")
    assert any(one.startswith("select-name") for one in violations(page, axe))


@pytest.mark.parametrize(("role", "address"), BY_ROLE)
@pytest.mark.parametrize("width", [1440, 390])
def test_everything_that_can_be_pressed_is_reached_by_tab(open_as, role, address, width):
    page = open_as(role, address, width).page
    count = page.evaluate(PRESSABLE)
    reached = 0
    for _ in range(count + SPARE_PRESSES):
        page.keyboard.press("Tab")
        reached = page.evaluate(WALK)
        if reached >= count:
            break
    assert reached >= count


# Links, buttons, fields and summaries are worked by Enter or space in every browser; what only looks like one
# is not. Beyond them the keyboard rests on parts that it scrolls.
@pytest.mark.parametrize(("role", "address"), BY_ROLE)
def test_what_can_be_pressed_is_made_of_what_a_keyboard_works(open_as, role, address):
    assert open_as(role, address).page.evaluate(ONLY_FOR_MOUSE) == []


# WCAG 2.2, success criterion 1.4.10: no scrolling in two directions at 320 CSS pixels.
@pytest.mark.parametrize(("role", "address"), BY_ROLE)
def test_nothing_scrolls_sideways_at_320_pixels(open_as, role, address):
    page = open_as(role, address, 320).page
    page.evaluate(UNFOLD)
    assert page.evaluate("document.documentElement.scrollWidth") <= 320


@pytest.mark.parametrize("address", FURTHER)
def test_nothing_scrolls_sideways_at_320_pixels_in_further_states(open_page, address):
    page = open_page(address, 320).page
    page.evaluate(UNFOLD)
    assert page.evaluate("document.documentElement.scrollWidth") <= 320


# WCAG 2.2, success criterion 1.4.4: text can be doubled. A window of 1280 pixels zoomed to 200% has 640.
@pytest.mark.parametrize(("role", "address"), BY_ROLE)
def test_nothing_scrolls_sideways_at_twice_the_size(open_as, role, address):
    opened = open_as(role, address, 640)
    assert opened.page.evaluate("document.documentElement.scrollWidth") <= 640
    opened.page.evaluate("document.documentElement.style.fontSize = '200%'")
    assert opened.page.evaluate("document.documentElement.scrollWidth") <= 640
