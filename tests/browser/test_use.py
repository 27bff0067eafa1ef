"""Using the pages by mouse, by keyboard, on paper of either kind."""

import pytest

from dashboard.figures.marks import DRAWINGS, pixel_path
from dashboard.figures.template import DARK, LIGHT

pytestmark = pytest.mark.browser

PLACE_OF_MARK = """([figure, trace, site]) => {
  const graph = document.querySelector(`[data-figure="${figure}"] .js-plotly-plot`);
  const drawn = graph._fullData.find(one => one.name === trace);
  const index = [...drawn.customdata].indexOf(site);
  const box = graph.getBoundingClientRect();
  const vertical = graph._fullLayout["yaxis" + (drawn.yaxis || "y").slice(1)];
  const across = graph._fullLayout.xaxis;
  return [box.left + across._offset + across.d2p(drawn.x[index]),
          box.top + vertical._offset + vertical.d2p(drawn.y[index])];
}"""
PLUMB = """() => {
  const line = document.querySelector('.plumb').getBoundingClientRect();
  return line.left + line.width / 2;
}"""
FOCUSED = "() => document.activeElement.dataset.site || document.activeElement.textContent.trim()"


def read_out(page) -> str:
    return page.locator(".readout-where .strong").inner_text()


def point_at(page, site: str, trace: str = "gardens 1") -> list[float]:
    _, height = page.evaluate(PLACE_OF_MARK, ["strips", trace, site])
    page.evaluate("down => window.scrollTo(0, down - 500)", height)
    place = page.evaluate(PLACE_OF_MARK, ["strips", trace, site])
    page.mouse.move(*place)
    return place


@pytest.mark.parametrize("trace", ["gardens", "gardens 1", "rain_mm, caps", "hot_days", "stakes"])
def test_pointing_at_a_garden_in_any_strip_marks_and_reads_it_out_in_all(open_page, trace):
    page = open_page("/gradient?garden=G07").page
    assert read_out(page).startswith("G07")
    before = page.evaluate(PLUMB)
    place = point_at(page, "G05", trace)
    page.locator(".readout-where .strong", has_text="G05").wait_for()
    assert page.evaluate(PLUMB) == pytest.approx(place[0], abs=1)
    page.mouse.move(5, 5)
    page.locator(".readout-where .strong", has_text="G07").wait_for()
    assert page.evaluate(PLUMB) == pytest.approx(before, abs=0.1)


def test_pressing_a_mark_chooses_its_garden_and_writes_it_into_the_address(open_page):
    opened = open_page("/gradient?treatment=tressel")
    place = point_at(opened.page, "G05", "gardens 2")
    opened.page.mouse.click(*place)
    opened.page.wait_for_url("**garden=G05*")
    opened.wait()
    assert "treatment=tressel" in opened.page.url
    assert opened.page.locator(".ruler a[aria-current]").get_attribute("data-site") == "G05"


def test_a_choice_keeps_the_reader_in_place_and_can_be_taken_back(open_page):
    opened = open_page("/gradient")
    page = opened.page
    page.get_by_role("link", name="fruits per plant").click()
    page.wait_for_url("**outcome=marketable_fruits_per_plant*")
    opened.wait()
    assert page.locator(".option[aria-current]", has_text="fruits per plant").count() == 1
    page.go_back()
    opened.wait()
    page.wait_for_function("() => !location.search.includes('outcome')")
    page.locator(".option[aria-current]", has_text="weight per plant").wait_for()


@pytest.mark.parametrize(
    ("address", "width", "link"),
    [
        ("/gradient", 1440, ".option[href*=fruits]"),
        ("/watch", 1440, ".ruler a[data-site=G07]"),
        ("/gradient?garden=G07", 390, ".step:last-child"),
    ],
)
def test_the_focus_stays_on_what_was_pressed(open_page, address, width, link):
    opened = open_page(address, width)
    page = opened.page
    before = page.url
    page.locator(link).focus()
    page.keyboard.press("Enter")
    page.wait_for_function("before => location.href !== before", arg=before)
    opened.wait()
    page.wait_for_function("link => document.activeElement.matches(link)", arg=link)


def test_another_page_starts_at_its_top_with_the_focus_in_it(open_page):
    opened = open_page("/compare?season=2024")
    page = opened.page
    page.evaluate("window.scrollTo(0, 900)")
    page.get_by_role("link", name="Watch").click()
    page.wait_for_url("**/watch?season=2024")
    opened.wait()
    assert page.evaluate("window.scrollY") == 0
    assert page.evaluate("document.activeElement.id") == "main"


def test_the_row_can_be_walked_by_keyboard(open_page):
    page = open_page("/gradient?garden=G07").page
    page.locator(".ruler a[data-site=G22]").focus()
    page.keyboard.press("ArrowLeft")
    assert page.evaluate("document.activeElement.dataset.site") == "G21"
    assert read_out(page).startswith("G21")
    page.keyboard.press("Enter")
    page.wait_for_url("**garden=G21*")


def test_everything_that_can_be_pressed_is_reached_by_tab_in_the_order_of_reading(open_page):
    page = open_page("/gradient").page
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    reached = []
    for _ in range(60):
        page.keyboard.press("Tab")
        reached.append(page.evaluate(FOCUSED))
    assert reached.index("Watch") < reached.index("G01") < reached.index("G24") < reached.index("km east")
    assert reached.index("km east") < reached.index("Show as table") < reached.index("Picture")


def test_focus_can_be_seen(open_page):
    page = open_page("/gradient").page
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    assert page.evaluate("getComputedStyle(document.activeElement).outlineWidth") == "3px"


@pytest.mark.parametrize(("dark", "tokens"), [(False, LIGHT), (True, DARK)])
def test_the_paper_follows_the_device_on_page_and_figure(open_page, dark, tokens):
    page = open_page("/gradient", dark=dark).page
    ground = page.evaluate("document.querySelector('.js-plotly-plot')._fullLayout.paper_bgcolor")
    assert ground.upper() == tokens["paper"]
    red, green, blue = (int(tokens["paper"][start : start + 2], 16) for start in (1, 3, 5))
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == f"rgb({red}, {green}, {blue})"


def test_a_chosen_paper_stays_chosen(open_page):
    opened = open_page("/watch")
    page = opened.page
    page.get_by_role("button", name="dark").click()
    is_dark = (
        f"() => document.querySelector('.js-plotly-plot')._fullLayout.paper_bgcolor === '{DARK['paper']}'"
    )
    page.wait_for_function(is_dark)
    page.reload()
    opened.wait()
    assert page.evaluate(is_dark)
    assert page.evaluate("document.documentElement.dataset.theme") == "dark"


def test_a_narrow_window_gets_the_narrow_page_and_a_wide_one_the_wide(open_page):
    opened = open_page("/gradient", 1440)
    page = opened.page
    assert page.locator(".stepper").count() == 0
    page.set_viewport_size({"width": 600, "height": 900})
    page.locator(".stepper").wait_for()
    opened.wait()
    page.set_viewport_size({"width": 1440, "height": 900})
    page.locator(".ruler-row").wait_for()
    opened.wait()


def test_on_a_phone_a_garden_is_chosen_by_step_or_from_the_list(open_page):
    opened = open_page("/gradient?garden=G07", 390)
    page = opened.page
    page.get_by_role("link", name="East: G08").click()
    page.wait_for_url("**garden=G08*")
    opened.wait()
    page.locator(".now summary").click()
    page.get_by_role("link", name="G21 Night Owl Garden").click()
    page.wait_for_url("**garden=G21*")
    opened.wait()
    assert page.locator(".now").get_attribute("open") is None
    assert page.locator(".now summary").inner_text().startswith("G21")


@pytest.mark.parametrize("address", ["/gradient", "/watch", "/compare?season=2024"])
def test_what_is_pressed_on_a_phone_is_large_enough(open_page, address):
    # WCAG 2.2, success criterion 2.5.8: at least 24 by 24 CSS pixels, or as much room around it.
    page = open_page(address, 390).page
    small = page.evaluate(
        """() => [...document.querySelectorAll(
               'main a, main button, main summary, .stepper a, .mast a, .foot button')]
             .filter(one => one.checkVisibility() && one.getBoundingClientRect().height < 24)
             .map(one => one.textContent)"""
    )
    assert small == []


def test_ruler_and_figure_stand_at_the_same_kilometres(open_page):
    for width in (1240, 1440, 1900):
        page = open_page("/gradient?garden=G07", width).page
        place = page.evaluate(PLACE_OF_MARK, ["strips", "gardens 1", "G07"])
        plumb = page.locator(".ruler-plumb").bounding_box()
        assert plumb["x"] + plumb["width"] / 2 == pytest.approx(place[0], abs=1.0)


@pytest.mark.parametrize("name", sorted(DRAWINGS))
def test_marks_in_figures_are_the_marks_beside_words(open_page, name):
    page = open_page("/watch").page
    lines, filled = DRAWINGS[name]
    paths = [pixel_path(part, 0, 0) for part in (lines, filled) if part]
    measured = page.evaluate(
        """async ([name, paths]) => {
             const length = (d) => {
               const path = document.createElementNS('http://www.w3.org/2000/svg', 'path');
               path.setAttribute('d', d);
               return path.getTotalLength();
             };
             const file = await (await fetch(`/assets/marks/${name}.svg`)).text();
             const drawn = new DOMParser().parseFromString(file, 'image/svg+xml');
             const total = (all) => all.reduce((sum, d) => sum + length(d), 0);
             const listed = [...drawn.querySelectorAll('path')].map(one => one.getAttribute('d'));
             return [total(paths), total(listed)];
           }""",
        [name, paths],
    )
    assert measured[0] == pytest.approx(measured[1], rel=0.01)
