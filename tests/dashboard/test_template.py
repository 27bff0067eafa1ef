"""The two papers: the same in the figures and in the design sheet, and readable on both."""

import re
from pathlib import Path

import pytest

from dashboard.figures.template import CONFIG, DARK, GUTTERS, LIGHT, Screen, blank
from tests.dashboard.drawn import accepted

TOKENS = Path(__file__).parents[2] / "dashboard" / "assets" / "tokens.css"


def rules(css: str, selector: str) -> dict[str, str]:
    """Return the custom properties of the first rule with this selector."""
    block = css[css.index(selector) :]
    return dict(re.findall(r"--([a-z0-9-]+):\s*(#[0-9A-F]{6})", block[: block.index("}")]))


def luminance(colour: str) -> float:
    channels = [int(colour[start : start + 2], 16) / 255 for start in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of WCAG 2.2, definition "contrast ratio"."""
    bright, dim = sorted((luminance(one), luminance(other)), reverse=True)
    return (bright + 0.05) / (dim + 0.05)


def test_black_on_white_has_the_greatest_contrast():
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21)


@pytest.mark.parametrize(("tokens", "selector"), [(LIGHT, ":root {"), (DARK, ':root[data-theme="dark"]')])
def test_figures_and_design_sheet_have_the_same_colours(tokens, selector):
    sheet = rules(TOKENS.read_text(encoding="utf-8"), selector)
    assert {name: sheet[name] for name in tokens} == tokens


def test_figures_and_design_sheet_have_the_same_gutters():
    css = TOKENS.read_text(encoding="utf-8")
    sheet = tuple(int(re.search(rf"--gutter-{side}: (\d+)px", css)[1]) for side in ("left", "right"))
    assert GUTTERS[False] == sheet


# WCAG 2.2, success criterion 1.4.3: 4.5 for text.
@pytest.mark.parametrize("tokens", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("ground", ["paper", "sheet", "furrow"])
@pytest.mark.parametrize("role", ["ink", "ink2", "stamp", "madder"])
def test_text_stands_out_from_every_ground(tokens, ground, role):
    assert contrast(tokens[role], tokens[ground]) >= 4.5


# WCAG 2.2, success criterion 1.4.11: 3 for what is no text.
@pytest.mark.parametrize("tokens", [LIGHT, DARK], ids=["light", "dark"])
def test_ticks_and_edges_stand_out_from_the_paper(tokens):
    assert contrast(tokens["ink3"], tokens["paper"]) >= 3


def test_a_figure_stands_in_the_gutters_of_its_screen_and_cannot_be_dragged():
    for screen in (Screen(), Screen("dark", narrow=True)):
        figure = accepted(blank(screen, 100, 8, 28))
        assert (figure.layout.margin.l, figure.layout.margin.r) == screen.gutters
        assert figure.layout.margin.autoexpand is False
        assert figure.layout.template.layout.dragmode is False
        assert figure.layout.template.layout.paper_bgcolor == screen.tokens["paper"]


def test_no_figure_offers_to_send_itself_anywhere():
    assert CONFIG["showSendToCloud"] is False
    assert CONFIG["displayModeBar"] is False


def test_nothing_in_a_figure_is_smaller_than_thirteen_pixels():
    layout = accepted(blank(Screen(), 100, 8, 28)).layout.template.layout
    assert min(layout.font.size, layout.xaxis.tickfont.size, layout.annotationdefaults.font.size) >= 13
