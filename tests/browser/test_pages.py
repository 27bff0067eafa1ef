"""Every page in a real browser; `open_page` checks that nothing complains and nothing is asked outside."""

import pytest
from defusedxml import ElementTree

from tests.dashboard import synthetic

pytestmark = pytest.mark.browser

OUTCOME = "marketable_kg_per_plant"
PAGES = ["/", "/gradient?axis=rain_mm", "/gradient?season=2025", "/watch", "/compare", "/compare?season=2025"]
NO_SIDEWAYS = "() => document.documentElement.scrollWidth <= document.documentElement.clientWidth"


@pytest.mark.parametrize("address", PAGES)
def test_every_page_opens_with_its_figures(open_page, address):
    page = open_page(address).page
    assert page.locator("main h1").count() == 1
    assert page.locator(".frame .main-svg").count() > 0
    assert page.title().endswith("Longrow")


@pytest.mark.parametrize("address", PAGES)
def test_no_page_scrolls_sideways_at_any_width(open_page, address):
    opened = open_page(address, 1240)
    assert opened.page.evaluate(NO_SIDEWAYS)
    opened.page.set_viewport_size({"width": 768, "height": 900})
    opened.page.locator(".stepper").wait_for()
    for width in (768, 390, 320):
        opened.page.set_viewport_size({"width": width, "height": 900})
        opened.wait().page.wait_for_function(NO_SIDEWAYS)


def test_the_gradient_shows_the_published_differences_and_intervals(open_page, published):
    drawn = open_page("/gradient?season=2024").traces("strips")
    effects = published.frame("effects", synthetic.TRIAL, synthetic.CLOSED)
    effects = effects[(effects["outcome"] == OUTCOME) & (effects["treatment"] == "corvane")].set_index("site")
    marks = drawn["gardens 1"]
    assert marks["y"] == effects.loc[marks["customdata"], "percent"].tolist()
    assert marks["x"] == effects.loc[marks["customdata"], "position_km"].tolist()
    for site, row in effects.iterrows():
        assert drawn[f"interval {site}"]["y"] == [row["percent_low"], row["percent_high"]]
    bands = published.frame("gradient_band", synthetic.TRIAL, synthetic.CLOSED)
    line = bands[
        (bands["outcome"] == OUTCOME) & (bands["treatment"] == "corvane") & (bands["axis"] == "position_km")
    ]
    assert drawn["mean 1"]["y"] == line["percent"].tolist()


def test_compare_shows_every_published_plot_and_the_networks_answer(open_page, published):
    opened = open_page("/compare?season=2024")
    plots = published.frame("plot_seasons", synthetic.TRIAL, synthetic.CLOSED)
    drawn = opened.traces("plots")
    assert sorted(drawn["plots"]["y"]) == sorted(plots.loc[plots["used"], OUTCOME])
    network = published.frame("network", synthetic.TRIAL, synthetic.CLOSED)
    answer = network[(network["outcome"] == OUTCOME) & (network["treatment"] == "corvane")].iloc[0]
    assert set(opened.traces("effects")["mean 1"]["y"]) == {answer["percent"]}


def test_watch_shows_every_published_week(open_page, published):
    weeks = published.frame("weeks", synthetic.TRIAL, synthetic.RUNNING)
    drawn = open_page("/watch").traces("tonight")["weeks"]
    assert sorted(drawn["customdata"]) == sorted(weeks["site"])


def test_the_table_under_a_figure_can_be_opened_and_read(open_page, published):
    page = open_page("/gradient").page
    page.locator(".under summary").click()
    rows = page.locator("[data-figure=strips] tbody tr")
    rows.first.wait_for()
    assert rows.count() == 2 * len(synthetic.GARDENS)
    assert rows.first.locator("th").inner_text() == "G01"


def test_a_table_is_ordered_and_searched_by_keyboard_and_keeps_the_focus(open_page):
    page = open_page("/gradient").page
    page.locator(".under summary").press("Enter")
    box = page.locator("[data-figure=strips] [data-table]")
    box.get_by_role("button", name="difference, %").press("Enter")
    box.locator('th[aria-sort="ascending"]').wait_for()
    assert page.evaluate("document.activeElement.dataset.sort") == "percent"
    page.keyboard.press("Enter")
    box.locator('th[aria-sort="descending"]').wait_for()
    box.get_by_label("Search the rows").press_sequentially("tressel")
    box.get_by_role("link", name="These rows as CSV").wait_for()
    box.get_by_text(f"{len(synthetic.GARDENS)} of {2 * len(synthetic.GARDENS)} rows").wait_for()
    assert page.evaluate("document.activeElement.value") == "tressel"
    assert box.locator('th[aria-sort="descending"]').count() == 1
    assert set(box.locator("tbody tr td:nth-child(5)").all_inner_texts()) == {"tressel"}
    with page.expect_download() as taken:
        box.get_by_role("link", name="These rows as CSV").click()
    text = taken.value.path().read_text(encoding="utf-8")
    assert len(text.splitlines()) == 1 + len(synthetic.GARDENS)


def test_an_open_table_follows_the_choices_above_it(open_page):
    opened = open_page("/compare?season=2024")
    page = opened.page
    page.locator("[data-figure=plots] .under summary").click()
    head = page.locator("[data-figure=plots] thead")
    head.get_by_text("kg per plant", exact=True).wait_for()
    page.get_by_role("link", name="fruits per plant").click()
    head.get_by_text("fruits per plant", exact=True).wait_for()


def test_the_csv_link_brings_the_file(open_page):
    page = open_page("/compare?season=2024").page
    with page.expect_download() as download:
        page.locator("[data-figure=plots] .under a[download]").click()
    assert download.value.suggested_filename == "longrow-compare-plots-tomato-graft-2024.csv"


def test_the_picture_is_drawn_in_the_browser(open_page, tmp_path):
    page = open_page("/gradient").page
    with page.expect_download() as download:
        page.locator("[data-picture=strips]").click()
    file = tmp_path / download.value.suggested_filename
    download.value.save_as(file)
    assert file.name == "longrow-strips.png"
    # The first eight bytes of every PNG file: PNG specification (W3C), section 5.2.
    assert file.read_bytes()[:8] == bytes([137, 80, 78, 71, 13, 10, 26, 10])
    width = int.from_bytes(file.read_bytes()[16:20], "big")
    assert width == 2 * (page.locator("[data-figure=strips] .js-plotly-plot").bounding_box()["width"] + 80)


@pytest.mark.parametrize(
    ("address", "figure"),
    [("/gradient?season=2024", "strips"), ("/results?county=20004", "counties"), ("/reach", "by_county")],
)
def test_a_figure_becomes_a_slide_with_its_sentence_gardens_and_season(open_page, tmp_path, address, figure):
    page = open_page(address).page
    taken = {}
    for kind in ("png", "svg"):
        with page.expect_download() as download:
            page.locator(f"[data-figure={figure}] [data-slide={kind}]").click()
        assert download.value.suggested_filename == f"longrow-{figure}-slide.{kind}"
        taken[kind] = download.value.path().read_bytes()
    # Width and height stand in bytes 16 to 24 of a PNG file: PNG specification (W3C), section 11.2.1.
    size = [int.from_bytes(taken["png"][start : start + 4], "big") for start in (16, 20)]
    assert size == [1920, 1080]
    slide = ElementTree.fromstring(taken["svg"])
    words = " ".join("".join(slide.itertext()).split())
    heading = " ".join(page.locator("main h1").inner_text().split())
    assert slide.get("viewBox") == "0 0 1920 1080"
    assert heading in words
    if address != "/reach":
        about = " ".join((page.locator("#about").text_content() or "").split())
        assert synthetic.CLOSED in about
        assert "24 gardens" in about
        assert about in words
