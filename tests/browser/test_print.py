"""What comes out of the printer, as Chromium writes it into a PDF."""

import re

import pytest

pytestmark = pytest.mark.browser

#: A sheet that has rows for so many plots.
GROW = """plots => {
  const rows = document.querySelector('.paper-sheet tbody');
  while (rows.rows.length < plots) {
    const row = rows.rows[0].cloneNode(true);
    row.cells[0].textContent = rows.rows.length + 1;
    rows.append(row);
  }
}"""
#: Heights in CSS pixels on paper, at 96 to the inch, of the rows of the sheet to write on.
ROWS = "() => [...document.querySelectorAll('.paper-sheet tbody tr')].map(one => one.offsetHeight)"


def pages_of(page) -> int:
    """Return how many sheets a page takes, of the paper that it asks for or US Letter."""
    return len(re.findall(rb"/Type\s*/Page\b", page.pdf(prefer_css_page_size=True)))


@pytest.mark.parametrize("width", [1440, 390])
def test_the_sheet_of_a_garden_of_15_plots_is_one_page_with_room_to_write(open_as, width):
    page = open_as("volunteer", "/paper-sheet", width).page
    page.evaluate(GROW, 15)
    assert pages_of(page) == 1
    page.emulate_media(media="print")
    # 8 mm: ruled paper has lines 7 to 8 mm apart (common practice, no source).
    assert min(page.evaluate(ROWS)) >= 8 / 25.4 * 96


def test_the_sheet_of_a_large_garden_goes_on_over_whole_rows_below_the_same_head(open_as):
    page = open_as("volunteer", "/paper-sheet").page
    page.evaluate(GROW, 30)
    assert pages_of(page) == 2
    page.emulate_media(media="print")
    assert page.evaluate("getComputedStyle(document.querySelector('.paper-sheet tr')).breakInside") == "avoid"
    head = "getComputedStyle(document.querySelector('.paper-sheet thead')).display"
    assert page.evaluate(head) == "table-header-group"


def test_the_visit_list_of_one_garden_has_no_blank_page_behind_it(open_as):
    assert pages_of(open_as("lead", "/visits?garden=G05").page) == 1


def test_watch_on_paper_names_the_gardens_that_are_late(open_as):
    page = open_as("lead", "/watch").page
    named = page.locator(".ledger .quiet")
    assert named.count() > 0
    page.emulate_media(media="print")
    assert all(one.is_visible() for one in named.all())
    assert not any(one.is_visible() for one in page.locator(".ledger a.small").all())


def test_a_table_of_watch_that_folds_out_takes_the_width_of_the_paper(open_as):
    page = open_as("lead", "/watch").page
    page.emulate_media(media="print")
    wide = """() => {
      const part = document.querySelector('.cols > :has(details table)');
      return part.offsetWidth / part.parentElement.offsetWidth;
    }"""
    assert page.evaluate(wide) == 1
