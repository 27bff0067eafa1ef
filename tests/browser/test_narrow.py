"""Pages on a screen of 320 pixels: nothing is cut, nothing stands too close."""

import pytest

from tests.browser.test_accessibility import BY_ROLE, FURTHER, violations

pytestmark = pytest.mark.browser

#: Words of a figure that its edge cuts. Boxes of words are rounded, and higher than their letters.
CUT = """() => [...document.querySelectorAll('.js-plotly-plot')].flatMap(graph => {
  const edge = graph.getBoundingClientRect();
  return [...graph.querySelectorAll('.main-svg text')]
    .filter(one => one.textContent.trim() && one.checkVisibility())
    .filter(one => {
      const box = one.getBoundingClientRect();
      return box.width > 0 && (box.left < edge.left - 2 || box.right > edge.right + 2
        || box.top < edge.top - 5 || box.bottom > edge.bottom + 5);
    })
    .map(one => one.textContent);
})"""


@pytest.mark.parametrize(("role", "address"), BY_ROLE)
def test_no_words_of_a_figure_are_cut_and_axe_finds_nothing(open_as, axe, role, address):
    page = open_as(role, address, 320).page
    assert page.evaluate(CUT) == []
    # Colours are held at the other widths; here it is the size of what is pressed, and the order.
    assert violations(page, axe) == []


@pytest.mark.parametrize("address", FURTHER)
def test_no_words_of_a_figure_are_cut_in_further_states(open_page, address):
    assert open_page(address, 320).page.evaluate(CUT) == []


def test_a_long_name_begins_beside_its_stake(open_as):
    page = open_as("lead", "/watch", 320).page
    apart = page.evaluate("""() => [...document.querySelectorAll('.stake + .quiet')].map(name => {
      const stake = name.previousElementSibling.getBoundingClientRect();
      return name.getClientRects()[0].bottom - stake.bottom;
    })""")
    assert apart
    assert max(map(abs, apart)) < 12


def test_fields_below_each_other_keep_apart(open_as):
    page = open_as("volunteer", "/my-garden", 320).page
    fields = [page.locator(f"#{name}").bounding_box() for name in ("away-from", "away-to")]
    label = page.locator("label[for=away-to]").bounding_box()
    assert label["y"] - (fields[0]["y"] + fields[0]["height"]) >= 12


def test_the_button_below_the_paper_to_type_keeps_apart_from_it(open_as):
    page = open_as("lead", "/paper").page
    rows, button = (page.locator(name).bounding_box() for name in (".paper-form", "#paper-save"))
    assert button["y"] - (rows["y"] + rows["height"]) >= 12
