"""What people come for, each behind sign-in as a person of that role, from the first page to the last.

`open_as` holds that no console complained and that no request left this machine.
"""

import csv
import io
import re
from dataclasses import dataclass

import pytest

from pipeline.publish.reach_measures import BY_NAME
from tests.browser.conftest import set_aside_what_matters_most

pytestmark = pytest.mark.browser

#: The garden of the demo's volunteer; its plots are 1 to 9.
OWN = "G14"
SHEET = f"site,plot,date,count,weight,unit\n{OWN},1,2025-08-20,8,3.2,lb\n{OWN},2x,2025-08-20,8,3.1,lb\n"


@dataclass(frozen=True)
class PickingForm:
    """What stands on the form for one picking."""

    fruits: str
    weight: str
    nothing_ripe: str
    send: str
    lacks_weight: str
    thanks: str


ENGLISH_FORM = PickingForm(
    fruits="Good fruits",
    weight="Their weight",
    nothing_ripe="Nothing ripe",
    send="Send this picking",
    lacks_weight="write the weight, or choose “Not weighed”.",
    thanks="Thank you! We could use all 2 rows.",
)
SPANISH_FORM = PickingForm(
    fruits="Frutos buenos",
    weight="Su peso",
    nothing_ripe="Nada maduro",
    send="Enviar este corte",
    lacks_weight="escriba el peso o elija “No se pesó”.",
    thanks="¡Gracias! Pudimos usar las 2 filas.",
)


def enter_a_picking(page, form: PickingForm, picked: str, unripe: str) -> None:
    """Send one plot without its weight, mend it, and send it with a plot where nothing was ripe."""
    plot = page.get_by_role("group", name=picked, exact=True)
    plot.get_by_label(form.fruits).fill("8")
    page.get_by_role("button", name=form.send).click()
    page.get_by_text(f"{picked}: {form.lacks_weight}").wait_for()
    plot.get_by_label(form.weight).fill("3.2")
    page.get_by_role("group", name=unripe, exact=True).get_by_text(form.nothing_ripe).click()
    page.get_by_role("button", name=form.send).click()
    page.get_by_role("heading", name=form.thanks).wait_for()


def menu(page) -> list[str]:
    return page.locator("#masthead nav a").all_inner_texts()


def test_the_lead_finds_and_decides_the_question_that_matters_most(open_as, guarded):
    opened = open_as("lead", "/")
    page = opened.page
    page.locator("#masthead").get_by_role("link", name="Questions").click()
    page.wait_for_url("**/questions**")
    opened.wait()
    set_aside_what_matters_most(page)
    kept = guarded.desk.decisions().iloc[0]
    assert (kept["answer"], kept["made_by"]) == ("set aside", "lead")


def test_a_volunteer_mends_a_faulty_sheet_and_sees_it_taken(open_as, guarded):
    page = open_as("volunteer", "/", 390).page
    assert "Questions" not in " ".join(menu(page))
    page.goto(f"{guarded.base_url}/send")
    sheet = {"name": "sheet.csv", "mimeType": "text/csv", "buffer": SHEET.encode()}
    page.set_input_files("#file-to-send", sheet)
    page.get_by_role("heading", name="Thank you! 1 of 2 rows are in. 1 waits for a small fix.").wait_for()
    page.get_by_role("link", name="Plot 2", exact=True).click()
    page.get_by_text("With this, all 2 rows are in.").wait_for()
    page.get_by_role("button", name="Send the corrected sheet").click()
    page.get_by_role("heading", name="Thank you! We could use all 2 rows.").wait_for()
    assert [one.name for one in guarded.gate.waiting(OWN)]


def test_a_volunteer_enters_a_picking_by_hand_on_a_phone(open_as, guarded):
    page = open_as("volunteer", "/", 390).page
    page.get_by_role("link", name="Write down one picking").click()
    page.get_by_role("heading", name="Write down one picking").wait_for()
    enter_a_picking(page, ENGLISH_FORM, "Plot 3", "Plot 4")
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert any("picking" in one.name for one in guarded.gate.waiting(OWN))


def test_a_picking_is_entered_in_spanish_too(open_as):
    page = open_as("volunteer", "/picking?lang=es", 390).page
    page.get_by_role("heading", name="Anotar un corte").wait_for()
    enter_a_picking(page, SPANISH_FORM, "Parcela 5", "Parcela 6")
    assert page.locator(".hand").get_attribute("lang") == "es"


def test_an_administrator_downloads_the_years_document(open_as):
    opened = open_as("administrator", "/")
    page = opened.page
    if not page.url.endswith("/reach"):
        page.locator("#masthead").get_by_role("link", name="Reach").click()
        opened.wait()
    assert BY_NAME["service_hours"].definition in page.locator(".reach-figures").inner_text()
    with page.expect_download() as taken:
        page.get_by_role("link", name="Get the PDF").click()
    assert re.fullmatch(r"longrow-reach-20\d\d\.pdf", taken.value.suggested_filename)
    with taken.value.path().open("rb") as file:
        assert file.read(5) == b"%PDF-"
    with page.expect_download() as taken:
        page.get_by_role("link", name="Get the table").click()
    rows = list(csv.DictReader(io.StringIO(taken.value.path().read_text(encoding="utf-8"))))
    assert {row["year"] for row in rows} >= {"2024", "2025"}
    assert all(row["how_it_is_counted"] and row["gardens_active"] for row in rows)


@pytest.mark.parametrize("width", [1440, 390])
def test_a_public_reader_finds_the_answer_for_a_county_without_an_account(open_as, guarded, width):
    opened = open_as("public", "/sign-in", width)
    page = opened.page
    page.get_by_role("link", name="Read the results without an account").click()
    opened.wait()
    assert menu(page) == ["Results"]
    counties = guarded.releases.frame(guarded.releases.standing()[0], "public_counties")
    own = counties[counties["county"] == "Saline"].iloc[0]
    page.get_by_label("Your county").select_option(label="Saline")
    page.get_by_role("button", name="Show").press("Enter")
    page.wait_for_url(f"**/results?county={own['county_fips']}")
    opened.wait()
    told = page.get_by_role("status").filter(has_text="new garden")
    assert f"In a new garden in Saline County, expect about {own['expected']:.0f}%" in told.inner_text()
    assert page.get_by_label("Your county").input_value() == own["county_fips"]
    assert "expected here" in opened.traces("counties")
    page.reload()
    opened.wait()
    assert "Saline County" in told.inner_text()


def test_the_lead_takes_an_answer_back_and_gives_it_again(open_as, guarded):
    page = open_as("lead", "/release").page
    page.get_by_text("Take it back", exact=True).click()
    page.get_by_role("button", name="Take it back now").click()
    page.get_by_text(" is taken back").wait_for()
    assert guarded.releases.standing() == []
    page.get_by_text("Release this answer").first.click()
    assert "Everybody will read:" in page.locator("details[open]").inner_text()
    page.get_by_role("button", name="Release it to everybody").click()
    page.get_by_text(" is released").wait_for()
    assert [one.released_by for one in guarded.releases.standing()] == ["lead"]
