"""One picking typed in by hand, plot by plot: made for a phone in the garden."""

from dash import html

from dashboard.components.attributes import attributes
from dashboard.components.field import field, labelled
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
from dashboard.sending.picking import STATES, UNITS
from dashboard.words import PICKING


def build(view: View, selection: Selection, screen: Screen) -> Content:
    """Return the page."""
    of = volunteer_of(view, selection, screen)
    if of.garden is None:
        return sheet_of_paper(of, choose_garden(of, view))
    title = html.H1(of.say("picking_title"), className="sentence", id="sentence")
    if view.gate is None:
        return sheet_of_paper(of, [title, html.P(of.say("no_gate"), className="empty")])
    if not of.reader.plots:
        return sheet_of_paper(of, [title, html.P(of.say("no_plots"), className="empty"), _back(of)])
    today = view.gate.workspace.today().isoformat()
    return sheet_of_paper(of, [title, html.P(of.say("picking_hint")), _form(of, today), _back(of)])


def _back(of: Volunteer) -> html.P:
    return html.P(link(of.say("back"), of.at("/send")))


def _form(of: Volunteer, today: str) -> html.Form:
    parts = [
        labelled(
            of.say("picking_day"), "day", "day", type="date", value=today, max=today, required="required"
        ),
        _unit(of),
        *(_plot(plot, of) for plot in of.reader.plots),
        labelled(of.say("who"), "who", "who", maxlength="20"),
        labelled(of.say("picking_note"), "note", "note", html.Small(of.say("note_private")), maxlength="200"),
        html.Div(
            className="wants", role="alert", tabIndex="-1", **attributes(data_wants=of.say("picking_wants"))
        ),
        html.Button(of.say("picking_send"), type="submit", className="first"),
        html.P(className="hand-in-state", role="status"),
        html.P(of.say("picking_saved"), className="small second"),
    ]
    told = attributes(
        data_post="yes",
        data_draft=f"picking {of.site}",
        data_not_arrived=of.say("not_arrived", file=of.say("picking_title")),
    )
    action = f"/send/picking?garden={of.site}&lang={of.language}"
    return html.Form(parts, className="picking", action=action, method="post", noValidate=True, **told)


def _unit(of: Volunteer) -> html.Fieldset:
    offered = UNITS[of.reader.units]
    choices = [
        _radio("unit", unit, of.say(f"unit_{unit.replace(' ', '_')}"), is_chosen=at == 0)
        for at, unit in enumerate(offered)
    ]
    return html.Fieldset(
        [
            html.Legend(of.say("picking_unit")),
            html.Div(choices, className="radios"),
            html.Small(of.say("unit_note")),
        ],
        className="unit",
    )


def _plot(plot: str, of: Volunteer) -> html.Fieldset:
    numbers = [
        labelled(of.say("count"), f"count-{plot}", f"count-{plot}", inputmode="numeric"),
        labelled(of.say("weight"), f"weight-{plot}", f"weight-{plot}", inputmode="text"),
    ]
    states = [
        _radio(f"state-{plot}", state, of.say(f"state_{state}"), is_chosen=at == 0)
        for at, state in enumerate(STATES)
    ]
    return html.Fieldset(
        [
            html.Legend(of.say("plot", plot=plot)),
            html.Div(numbers, className="numbers"),
            html.Div(
                states,
                className="radios",
                role="group",
                **attributes(aria_label=of.say("state_legend", plot=plot)),
            ),
        ],
        className="plot-typed",
        **attributes(data_plot=plot),
    )


def _radio(name: str, value: str, words: str, *, is_chosen: bool) -> html.Label:
    """Return a radio button drawn as words."""
    checked = {"checked": "checked"} if is_chosen else {}
    identifier = f"{name}-{value}".replace(" ", "-")
    return html.Label([field(identifier, name, type="radio", value=value, **checked), html.Span(words)])


PAGE = volunteer_page("/picking", PICKING, build, within="/send")
