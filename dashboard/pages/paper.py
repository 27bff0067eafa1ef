"""Paper: a picture of a paper record beside a form to type it in."""

from typing import Any

import pandas as pd
from dash import dcc, html

from dashboard.components.attributes import attributes
from dashboard.components.mark import link
from dashboard.components.sentence import sentence
from dashboard.components.states import nothing_yet
from dashboard.data import View
from dashboard.figures.template import Screen
from dashboard.numerals import long_day
from dashboard.pages.page import WITH_ROWS, Content, Page
from dashboard.selection import Selection
from dashboard.wording.paper import PAPER, WORDS
from pipeline.checks.names import column_name
from pipeline.paper import COLUMNS

#: Rows of the form: a paper sheet of one picking day in a garden of three blocks of three.
ROWS = 9
#: Kinds of pictures that browsers show.
SHOWN = ("JPEG", "PNG")


def build(view: View, selection: Selection, screen: Screen) -> Content:
    """Return the page: the picture that the address names, else the oldest that waits."""
    del screen
    pictures = view.desk.pictures() if view.desk else pd.DataFrame()
    if pictures.empty:
        return nothing_yet(PAPER.title, PAPER.nothing)
    named = pictures[pictures["upload_id"].astype("str") == selection.address.get("picture")]
    chosen = (named if len(named) else pictures).iloc[0].to_dict()
    waits = WORDS["heading_one"] if len(pictures) == 1 else WORDS["heading"].format(n=len(pictures))
    return [
        *sentence(waits, WORDS["sure"]),
        html.Div([_picture(chosen), _form(chosen, view)], className="paper-cols after-sentence"),
        *_others(pictures, chosen, selection),
    ]


def _picture(chosen: dict[str, Any]) -> html.Figure:
    day = long_day(chosen["day"])
    garden = chosen["site"] if isinstance(chosen["site"], str) else WORDS["unknown"]
    shown: Any = html.P(WORDS["not_shown"].format(kind=chosen["kind"], file=chosen["file"]))
    if chosen["kind"] in SHOWN:
        alt = WORDS["alt"].format(day=day, file=chosen["file"])
        shown = html.Img(src=f"/picture/{chosen['upload_id']}", alt=alt, className="paper-picture")
    caption = WORDS["picture"].format(file=chosen["file"], day=day, garden=garden)
    return html.Figure([shown, html.Figcaption(caption, className="second small")])


def _form(chosen: dict[str, Any], view: View) -> html.Div:
    gardens = view.published.frame("gardens")["site"].tolist()
    site = chosen["site"] if chosen["site"] in gardens else ""
    first = chosen["day"].strftime("%Y-%m-%d")
    garden = [
        html.Label(WORDS["garden"], htmlFor="paper-site", className="small"),
        dcc.Input(id="paper-site", type="text", value=site),
    ]
    head = html.Tr([html.Th(column_name(name), scope="col") for name in COLUMNS])
    body = [html.Tr([html.Td(_cell(row, name, first)) for name in COLUMNS]) for row in range(ROWS)]
    table = html.Table([html.Thead(head), html.Tbody(body)])
    return html.Div(
        [
            dcc.Store(id="paper-upload", data=int(chosen["upload_id"])),
            html.Div(garden, className="field"),
            html.Div(
                table, className="scroll paper-form", role="region", **attributes(aria_label=PAPER.title)
            ),
            html.P(id="paper-trouble", className="answer-trouble", role="alert"),
            html.Button(WORDS["save"], id="paper-save", className="press first"),
        ]
    )


def _cell(row: int, name: str, first: str) -> html.Label:
    """Return one cell with its own name to be read out, since a table's heading does not name a field."""
    entry = dcc.Input(
        id={"type": "paper", "row": row, "column": name},
        type="text",
        value="",
        placeholder=first if name == "date" else "",
    )
    said = WORDS["row"].format(n=row + 1, column=column_name(name))
    return html.Label([html.Span(said, className="unseen"), entry], className=f"cell-{name}")


def _others(pictures: pd.DataFrame, chosen: dict[str, Any], selection: Selection) -> list[Any]:
    others = pictures[pictures["upload_id"] != chosen["upload_id"]]
    back = html.P(link(WORDS["questions"], selection.address.at("/questions").choosing(picture=None).href))
    if others.empty:
        return [back]
    items = [
        html.Li(
            link(
                f"{other['file']}, {long_day(other['day'])}",
                selection.address.choosing(picture=str(other["upload_id"])).href,
            )
        )
        for other in others.to_dict("records")
    ]
    return [html.H2(WORDS["other"], className="h-small"), html.Ul(items), back]


PAGE = Page(
    "/paper",
    PAPER,
    "running",
    lambda view, selection: selection,
    build,
    {},
    is_listed=False,
    kept_seconds=WITH_ROWS,
)
