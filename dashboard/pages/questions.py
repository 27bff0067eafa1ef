"""Questions: what waits for a decision, the most consequential first, with everything needed to decide."""

from typing import Any

import pandas as pd
from dash import html

from dashboard.components.attributes import attributes
from dashboard.components.figure import Rows, table_behind
from dashboard.components.ledger import garden_heading
from dashboard.components.mark import icon, link, state_icon
from dashboard.components.plain import Part, part
from dashboard.components.sentence import sentence
from dashboard.components.states import nothing_yet
from dashboard.data import View
from dashboard.figures.template import Screen
from dashboard.numerals import count, day
from dashboard.pages import tables
from dashboard.pages.case import case, short_title
from dashboard.pages.page import WITH_ROWS, Content, Page
from dashboard.pages.waiting import Waiting, waiting
from dashboard.records import records
from dashboard.selection import Selection
from dashboard.wording.questions import QUESTIONS, SAID, WORDS

#: Questions that the list shows at once, wide and narrow; the rest folds out.
FIRST_QUESTIONS = (12, 4)
#: Questions that the list carries, those that matter most; the table behind has them all.
MOST_QUESTIONS = 100
#: Decisions listed as made.
LAST_DECISIONS = 8
#: What the list tells of a question.
_LISTED = (
    *("group", "finding", "rows", "size", "level", "site"),
    *("plot", "code", "line", "date", "check", "sent"),
)
_NAMED = attributes(aria_labelledby="case")


def build(view: View, selection: Selection, screen: Screen) -> Content:
    """Return the page."""
    trial = selection.trial
    if trial is None:
        return nothing_yet(QUESTIONS.title, QUESTIONS.nothing)
    now = waiting(view, selection, trial)
    if now.chosen is None and now.decided.empty:
        return [*nothing_yet(QUESTIONS.title, QUESTIONS.nothing), *_paper(view, selection)]
    groups = now.groups
    shown: list[Any] = [html.P(WORDS["all_decided"])]
    if now.chosen is not None:
        shown = case(view, selection, now, now.chosen.to_dict(), screen)
    return [
        *sentence(_heading(groups), WORDS["sure"] if len(groups) else ""),
        *_last(now),
        *_paper(view, selection),
        html.Div(
            [
                html.Div([*_list(groups, now, selection, screen), *_decided(now)], className="asked"),
                html.Section(shown, className="case", tabIndex="-1", id="case-part", **_NAMED),
            ],
            className="qcols after-sentence",
        ),
    ]


def _heading(groups: pd.DataFrame) -> str:
    """Return how many questions wait and how many of them matter."""
    if groups.empty:
        return WORDS["all_decided"]
    large = int((groups["size"] == "large").sum())
    waits = WORDS["heading_one"] if len(groups) == 1 else WORDS["heading"].format(n=len(groups))
    if large == 0:
        return f"{waits} {WORDS['large_none']}"
    if large == len(groups) > 1:
        return f"{waits} {WORDS['large_all']}"
    return f"{waits} {WORDS['large_one'] if large == 1 else WORDS['large'].format(n=large)}"


def size_words(size: Any) -> str:
    """Return how far an answer would move, in words."""
    return WORDS[{"large": "large_word"}.get(size, size) if isinstance(size, str) else "unknown"]


def _list(groups: pd.DataFrame, now: Waiting, selection: Selection, screen: Screen) -> list[Any]:
    items = [_item(group, now, selection) for group in records(groups.head(MOST_QUESTIONS), _LISTED)]
    most = FIRST_QUESTIONS[screen.narrow]
    first, rest = items[:most], items[most:]
    beyond = [] if len(groups) <= MOST_QUESTIONS else [html.P(WORDS["beyond"], className="small second")]
    summary = html.Summary(WORDS["more"].format(n=len(groups) - len(first)))
    more = html.Details(
        [summary, html.Ol(rest, className="asked-list"), *beyond],
        className="more",
        open=any(group == _chosen_group(now) for group in groups["group"][most:]),
    )
    heading = html.H2(WORDS["list"], className="h-small")
    behind = table_behind(Rows("questions", "waiting", selection.address.query))
    return [heading, html.Ol(first, className="asked-list"), *([more] if rest else []), behind]


def _chosen_group(now: Waiting) -> int | None:
    return None if now.chosen is None else int(now.chosen["group"])


def _item(group: dict[str, Any], now: Waiting, selection: Selection) -> Part:
    garden = selection.garden_named(group["site"])
    heading = garden_heading(garden) if garden else [html.B(WORDS["unknown_garden"])]
    is_chosen = group["group"] == _chosen_group(now)
    return part(
        "Li",
        [
            state_icon(group["level"]),
            part(
                "Div",
                [
                    part("Div", heading),
                    link(
                        short_title(group),
                        selection.address.choosing(question=str(group["finding"])).href,
                        current="true" if is_chosen else None,
                    ),
                    part("Div", [*_size_mark(group["size"]), *_how_many(group)], className="small second"),
                ],
            ),
        ],
        className="is-chosen" if is_chosen else None,
    )


def _how_many(group: dict[str, Any]) -> list[Any]:
    return [", " + WORDS["rows"].format(n=group["rows"])] if group["rows"] > 1 else []


def _size_mark(size: Any) -> list[Any]:
    """Return three strokes, as many filled as the move is far, and the word."""
    filled = {"small": 1, "some": 2, "large": 3}.get(size if isinstance(size, str) else "", 0)
    strokes = part(
        "Span",
        [part("I", className="on" if index < filled else "") for index in range(3)],
        className="strokes",
        **attributes(aria_hidden="true"),
    )
    return [strokes, " ", size_words(size)]


def _paper(view: View, selection: Selection) -> list[Any]:
    """Return the way to the pictures of paper, where some wait to be typed."""
    desk = view.desk
    pictures = view.once_decided("pictures that wait", lambda: len(desk.pictures())) if desk else 0
    if not pictures:
        return []
    words = count(pictures, "picture of paper waits", "pictures of paper wait")
    return [html.P(link([icon("sheet"), " ", words], selection.address.at("/paper").href))]


def _last(now: Waiting) -> list[Any]:
    """Return what was noted last, as long as the next night has not worked it in, with its undo."""
    if now.decided.empty or pd.notna(now.decided.iloc[0]["applied"]):
        return []
    newest = now.decided.iloc[0].to_dict()
    said = WORDS["last"].format(what=_what(newest))
    return [html.P([said, " ", _undo(newest, "last")], className="noted", role="status")]


def _what(decision: dict[str, Any]) -> str:
    place = [str(decision[key]) for key in ("site",) if isinstance(decision[key], str)]
    if isinstance(decision.get("plot"), str):
        place.append(f"plot {decision['plot']}")
    if pd.notna(decision.get("date")):
        place.append(day(decision["date"]))
    value = decision["value"] if isinstance(decision["value"], str) else ""
    return f"{', '.join(place)}: {SAID[decision['answer']].format(value=value)}".lstrip(": ")


def _undo(decision: dict[str, Any], place: str) -> html.Button:
    return html.Button(
        WORDS["undo"],
        id={"type": "undo", "decision": int(decision["decision_id"]), "place": place},
        className="as-link",
        **attributes(aria_label=WORDS["undo_name"].format(what=_what(decision))),
    )


def _decided(now: Waiting) -> list[Any]:
    if now.decided.empty:
        return []
    rows = [
        html.Li(
            [
                html.Div(
                    [
                        html.Div(_what(decision)),
                        html.Div(
                            ", ".join(
                                part
                                for part in (
                                    decision["made_by"],
                                    day(decision["made"]),
                                    WORDS["worked_in" if pd.notna(decision["applied"]) else "tonight"],
                                    decision["why"],
                                )
                                if part
                            ),
                            className="small second",
                        ),
                    ]
                ),
                _undo(decision, "list"),
            ]
        )
        for decision in now.decided.head(LAST_DECISIONS).to_dict("records")
    ]
    return [html.H2(WORDS["decided"], className="h-small"), html.Ul(rows, className="decided")]


PAGE = Page(
    "/questions",
    QUESTIONS,
    "running",
    lambda view, selection: selection,
    build,
    {"waiting": tables.questions, "neighbours": tables.neighbours},
    kept_seconds=WITH_ROWS,
)
