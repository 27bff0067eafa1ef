"""My garden: one garden's own plots, what is next, what waits, and what was sent."""

from dashboard.data import View
from dashboard.figures.template import Screen
from dashboard.pages.page import Content, Page
from dashboard.pages.volunteer import choose_garden, sheet_of_paper, volunteer_of
from dashboard.selection import Selection
from dashboard.words import MY_GARDEN


def build(view: View, selection: Selection, screen: Screen) -> Content:
    """Return the page."""
    of = volunteer_of(view, selection, screen)
    return sheet_of_paper(of, choose_garden(of, view))


PAGE = Page("/my-garden", MY_GARDEN, "running", lambda view, selection: selection, build, {}, for_volunteers=True)
