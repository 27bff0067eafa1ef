"""Send: a sheet is dropped or picked, the answer stands there at once, and what waits is mended here."""

from typing import Any

from dash import html

from dashboard.components.attributes import attributes
from dashboard.components.field import field
from dashboard.components.mark import icon, link
from dashboard.data import View
from dashboard.figures.template import Screen
from dashboard.pages.page import Content
from dashboard.pages.send_answer import answer
from dashboard.pages.volunteer import (
    Volunteer,
    choose_garden,
    sheet_of_paper,
    volunteer_of,
    volunteer_page,
)
from dashboard.selection import Selection
from dashboard.words import SEND
from pipeline.apart import TakesTooMuchError
from pipeline.checks.names import sheet_name
from pipeline.intake.sheets import sheets
from sites.errors import InputError

#: What the picker of files offers first; anything else is taken and told about as well.
OFFERED = ".csv,.tsv,.txt,.xlsx,.xls,.ods,image/jpeg,image/png"


def build(view: View, selection: Selection, screen: Screen) -> Content:
    """Return the page: the place to hand in, or the answer to what was handed in."""
    of = volunteer_of(view, selection, screen)
    if view.gate is None:
        return sheet_of_paper(
            of,
            [
                html.H1(of.say("send_title"), className="sentence"),
                html.P(of.say("no_gate"), className="empty"),
            ],
        )
    if of.garden is None:
        return sheet_of_paper(of, choose_garden(of, view))
    digest = selection.address.get("sent")
    if digest is None:
        return sheet_of_paper(of, _empty(of))
    try:
        told = view.gate.told(digest, selection.address.get("file") or "", of.site)
    except TakesTooMuchError:
        later = html.P(of.say("read_at_night"), className="empty")
        return sheet_of_paper(of, [html.H1(of.say("send_title"), className="sentence"), later, hand_in(of)])
    except InputError:
        lost = html.P(of.say("unknown_file"), className="empty")
        return sheet_of_paper(of, [html.H1(of.say("send_title"), className="sentence"), lost, hand_in(of)])
    return sheet_of_paper(of, [*answer(told, view.gate, of), *_another(of)])


def _empty(of: Volunteer) -> list[Any]:
    return [
        html.H1(of.say("send_title"), className="sentence"),
        html.P(of.say("send_hint"), className="lead-in"),
        hand_in(of),
        html.P(of.say("send_whole"), className="small second"),
        *other_ways(of),
    ]


def _another(of: Volunteer) -> list[Any]:
    return [
        html.Section(
            [html.H2(of.say("another")), hand_in(of), html.P(of.say("send_whole"), className="small second")],
            className="another",
        ),
        *other_ways(of),
    ]


def hand_in(of: Volunteer) -> html.Form:
    """Return the place to drop or to pick a file; assets/send.js sends it and opens the answer."""
    told = attributes(
        data_hand_in="yes",
        data_reading=of.say("reading_file", file="{file}"),
        data_not_arrived=of.say("not_arrived", file="{file}"),
        data_too_big=of.say("too_big", file="{file}"),
        data_next=of.address.choosing(sent=None, file=None, fix=None).at("/send").href,
    )
    return html.Form(
        [
            html.Label(
                [icon("sheet"), of.say("choose_file")],
                htmlFor="file-to-send",
                className="button first",
            ),
            field("file-to-send", "file", type="file", accept=OFFERED),
            html.P(of.say("drop"), className="small second wide-only"),
            html.P(className="hand-in-state", role="status"),
        ],
        className="drop",
        action=f"/send/file?garden={of.site}&lang={of.language}",
        method="post",
        encType="multipart/form-data",
        **told,
    )


def other_ways(of: Volunteer) -> list[Any]:
    """Return what there is for somebody without a file: a form, paper, and the blank sheets."""
    address = of.address.keeping("garden", "lang")
    return [
        html.Section(
            [
                html.H2(of.say("other_ways")),
                html.Ul(
                    [
                        html.Li(
                            [
                                icon("step"),
                                html.Div(
                                    [
                                        link(of.say("by_hand"), address.at("/picking").href),
                                        html.Br(),
                                        html.Span(of.say("by_hand_hint"), className="small second"),
                                    ]
                                ),
                            ]
                        ),
                        html.Li(
                            [
                                icon("note"),
                                html.Div(
                                    [
                                        link(of.say("print"), address.at("/paper-sheet").href),
                                        html.Br(),
                                        html.Span(of.say("paper_hint"), className="small second"),
                                    ]
                                ),
                            ]
                        ),
                    ],
                    className="ledger",
                ),
                html.H2(of.say("blank_title", garden=of.garden["name"] if of.garden else "")),
                html.P(of.say("blank_hint"), className="small second"),
                blank_sheets(of),
            ],
            className="other-ways",
        )
    ]


def blank_sheets(of: Volunteer) -> html.Ul:
    """Return the blank sheets to take away, each as CSV and as a spreadsheet."""
    return html.Ul(
        [
            html.Li(
                [
                    html.Span([icon("sheet"), " ", sheet_name(name, of.language).capitalize()]),
                    *(_blank_link(of, name, form) for form in ("csv", "xlsx")),
                ]
            )
            for name in sheets()
        ],
        className="blank-sheets",
    )


def _blank_link(of: Volunteer, sheet: str, form: str) -> html.A:
    words = of.say(f"as_{form}")
    name = of.say("blank_name", sheet=sheet_name(sheet, of.language), form=words)
    href = f"/send/blank/{sheet}.{form}?garden={of.site}&lang={of.language}"
    return html.A(words, href=href, download="", **attributes(aria_label=name))


PAGE = volunteer_page("/send", SEND, build)
