"""One question with all that is needed to decide it."""

from typing import Any

import pandas as pd
from dash import html

from dashboard.components.ledger import garden_heading
from dashboard.components.mark import link
from dashboard.data import View
from dashboard.figures.template import Screen
from dashboard.numerals import day
from dashboard.pages.answer_form import answer_form
from dashboard.pages.evidence import evidence
from dashboard.pages.waiting import Waiting
from dashboard.selection import Selection
from dashboard.wording.questions import WORDS
from dashboard.wording.questions_of_checks import question_of


def case(view: View, selection: Selection, now: Waiting, chosen: dict[str, Any], screen: Screen) -> list[Any]:
    """Return the chosen question: what is asked and why, the row and its neighbours, and the answers."""
    about = now.of_chosen()
    shown = evidence(view.desk, view, selection, chosen, screen) if view.desk else []
    form = answer_form(chosen, about) if view.desk else [html.P(WORDS["no_desk"], className="second")]
    return [
        *([html.P(WORDS["settled"], className="second")] if now.is_settled else []),
        *_heading(chosen, selection),
        html.P(chosen["message"], className="lead-in"),
        html.P([html.B(WORDS["why_ask"]), " ", chosen["why"]]),
        html.P([html.B(WORDS["mend"]), " ", chosen["remedy"]], className="second"),
        *_of_group(chosen, about, selection),
        *shown,
        *form,
    ]


def short_title(finding: dict[str, Any]) -> str:
    """Return a question in a few words: plot and code, day, and what has to be settled."""
    parts = []
    if isinstance(finding["plot"], str):
        code = f" ({finding['code']})" if isinstance(finding["code"], str) else ""
        parts.append(f"Plot {finding['plot']}{code}")
    elif pd.notna(finding["line"]):
        parts.append(f"Row {finding['line']}")
    if pd.notna(finding["date"]):
        parts.append(day(finding["date"]))
    sent = finding["sent"] if isinstance(finding["sent"], str) else None
    what = question_of(str(finding["check"]), sent)
    return f"{', '.join(parts)}: {what}" if parts else f"{what[:1].upper()}{what[1:]}"


def _heading(chosen: dict[str, Any], selection: Selection) -> list[Any]:
    garden = selection.garden_named(chosen["site"])
    line: list[Any] = [html.Span(WORDS[chosen["state"] or "whole_file"], className="second")]
    if garden:
        story = selection.address.at("/garden").choosing(garden=chosen["site"], question=None)
        told = link(WORDS["story"], story.href, className="small")
        line = [*garden_heading(garden), " · ", *line, " · ", told]
    return [html.P(line), html.H2(short_title(chosen), id="case")]


def _of_group(chosen: dict[str, Any], about: pd.DataFrame, selection: Selection) -> list[Any]:
    """Return where the row stands among those with its cause, with the way to its neighbours."""
    if len(about) < 2:
        return []
    at = about["finding"].tolist().index(chosen["finding"])
    parts: list[Any] = [WORDS["of_group"].format(at=at + 1, n=len(about))]
    for index, words in ((at - 1, "previous"), (at + 1, "next")):
        if 0 <= index < len(about):
            to = selection.address.choosing(question=str(about["finding"].iloc[index]))
            parts += [" · ", link(WORDS[words], to.href)]
    return [html.P(parts, className="small")]
