"""What people come for, each from the first page to the thing in hand."""

import csv
import io

import pytest

from pipeline.publish.reach_measures import BY_NAME
from tests.dashboard.invented import CLOSED, TRIAL
from tests.dashboard.public_frames import counties

pytestmark = pytest.mark.browser


def test_an_administrator_downloads_the_years_document(open_page):
    opened = open_page("/")
    page = opened.page
    page.get_by_role("link", name="Reach", exact=True).click()
    page.wait_for_url("**/reach")
    opened.wait()
    assert BY_NAME["service_hours"].definition in page.locator(".reach-figures").inner_text()
    with page.expect_download() as taken:
        page.get_by_role("link", name="Get the PDF").click()
    assert taken.value.suggested_filename == "longrow-reach-2025.pdf"
    document = taken.value.path()
    with document.open("rb") as file:
        assert file.read(5) == b"%PDF-"
    with page.expect_download() as taken:
        page.get_by_role("link", name="Get the table").click()
    rows = list(csv.DictReader(io.StringIO(taken.value.path().read_text(encoding="utf-8"))))
    assert {row["year"] for row in rows} == {"2024", "2025"}
    assert all(row["how_it_is_counted"] and row["gardens_active"] for row in rows)


@pytest.mark.parametrize("width", [1440, 390])
def test_a_public_reader_finds_the_answer_for_a_county(open_page, width):
    opened = open_page("/results", width)
    page = opened.page
    page.get_by_label("Your county").select_option(label="Saline")
    page.get_by_role("button", name="Show").press("Enter")
    fips = counties().set_index("county").loc["Saline", "county_fips"].iloc[0]
    page.wait_for_url(f"**/results?county={fips}")
    opened.wait()
    own = counties().set_index(["treatment", "county"]).loc[("corvane", "Saline")]
    told = page.get_by_role("status").filter(has_text="new garden").inner_text()
    assert f"In a new garden in Saline County, expect about {own['expected']:.0f}%" in told
    assert page.get_by_label("Your county").input_value() == fips
    assert "expected here" in opened.traces("counties")
    page.reload()
    opened.wait()
    assert "Saline County" in page.get_by_role("status").filter(has_text="new garden").inner_text()


def test_the_lead_takes_an_answer_back_and_gives_it_again(open_page, releases):
    opened = open_page("/release")
    page = opened.page
    page.get_by_text("Take it back", exact=True).click()
    page.get_by_role("button", name="Take it back now").click()
    page.get_by_text(f"{TRIAL} {CLOSED} is taken back").wait_for()
    assert releases.standing() == []
    page.get_by_text("Release this answer").click()
    assert "Everybody will read:" in page.locator("details[open]").inner_text()
    page.get_by_role("button", name="Release it to everybody").click()
    page.get_by_text(f"{TRIAL} {CLOSED} is released").wait_for()
    assert [(one.trial, one.season) for one in releases.standing()] == [(TRIAL, CLOSED)]
