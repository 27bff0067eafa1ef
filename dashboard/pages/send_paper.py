"""A sheet of paper for the clipboard, with a garden's own plots, to be printed and photographed."""

from dash import html

from dashboard.components.attributes import attributes
from dashboard.components.mark import link
from dashboard.data import View
from dashboard.figures.template import Screen
from dashboard.pages.page import Content
from dashboard.pages.volunteer import (
    Volunteer,
    choose_garden,
    sheet_of_paper,
    volunteer_of,
    volunteer_page,
)
from dashboard.selection import Selection
from dashboard.words import PAPER

#: Days that one sheet of paper has room for, side by side.
_DAYS = 3


def build(view: View, selection: Selection, screen: Screen) -> Content:
    """Return the page."""
    of = volunteer_of(view, selection, screen)
    if of.garden is None:
        return sheet_of_paper(of, choose_garden(of, view))
    title = html.H1(of.say("paper_title", garden=of.garden["name"]), className="sentence", id="sentence")
    if not of.reader.plots:
        return sheet_of_paper(of, [title, html.P(of.say("no_plots"), className="empty")])
    press = html.P(
        [
            html.Button(of.say("print_now"), className="first", **attributes(data_print="yes")),
            link(of.say("back"), of.at("/send")),
        ],
        className="buttons on-screen",
    )
    return sheet_of_paper(of, [title, press, html.P(of.say("paper_how")), _paper(of)])


def _paper(of: Volunteer) -> html.Div:
    """Return the table to write in: a row for each plot, two columns for each day."""
    days = html.Tr(
        [
            html.Th(of.say("paper_plot"), scope="col", rowSpan=2),
            *(html.Th(f"{of.say('paper_day')}:", colSpan=2, scope="colgroup") for _ in range(_DAYS)),
            html.Th(of.say("paper_note"), scope="col", rowSpan=2),
        ]
    )
    measures = html.Tr(
        [html.Th(of.say(name), scope="col") for _ in range(_DAYS) for name in ("count", "weight")]
    )
    rows = [
        html.Tr([html.Th(plot, scope="row"), *(html.Td() for _ in range(2 * _DAYS + 1))])
        for plot in of.reader.plots
    ]
    table = html.Table(
        [
            html.Caption(f"{of.site} · {of.say('paper_scale')}: ____________"),
            html.Thead([days, measures]),
            html.Tbody(rows),
        ],
        className="paper-sheet",
    )
    name = of.say("paper_title", garden=of.garden["name"] if of.garden else "")
    return html.Div(table, className="scroll", role="region", tabIndex="0", **attributes(aria_label=name))


PAGE = volunteer_page("/paper-sheet", PAPER, build, within="/send")
