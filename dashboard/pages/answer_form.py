"""The answers to a question, and what they need: buttons with keys, a value, two plots, and why."""

from typing import Any

import pandas as pd
from dash import dcc, html

from dashboard.components.attributes import attributes
from dashboard.components.plain import Part, part
from dashboard.records import records
from dashboard.wording.questions import ANSWERS, WORDS
from pipeline.checks.names import column_name
from pipeline.intake.sheets import sheets

#: Answers offered for a row, in the order of their keys; a row that waits beside another has its own.
USUAL = ("use it", "set aside", "ask the garden", "change it", "swapped")
OF_A_PAIR = ("keep the newer", "keep the older", "two pickings", "ask the garden")
#: Answers for a question that names no row.
WITHOUT_A_ROW = ("use it", "ask the garden")
#: Columns that are offered for a change, where the sheet has them.
CHANGED = ("site", "plot", "date", "marketable_weight", "marketable_count")


def answer_form(chosen: dict[str, Any], about: pd.DataFrame) -> list[Any]:
    """Return the answers to the question, about its row or all `about` rows with its cause."""
    offered = WITHOUT_A_ROW if pd.isna(chosen["row"]) else OF_A_PAIR if chosen["state"] == "waits" else USUAL
    likeliest = "change it" if chosen["suggest"] and "change it" in offered else "ask the garden"
    fields = _change(chosen) if "change it" in offered else []
    fields += _swap(chosen) if "swapped" in offered else []
    return [
        dcc.Store(id="case", data=_asked_about(chosen, about)),
        html.H3(WORDS["decide"]),
        html.Div([_button(*pair, likeliest) for pair in enumerate(offered, start=1)], className="answers"),
        html.P(id="answer-trouble", className="answer-trouble", role="alert"),
        html.Div(
            [
                *fields,
                *_hidden_fields(offered),
                *_scope(len(about)),
                _field("answer-why", WORDS["why"], WORDS["why_note"]),
            ],
            className="answer-fields",
        ),
        html.P(WORDS["keys"], className="fine second"),
    ]


def _button(key: int, answer: str, likeliest: str) -> Part:
    words, what_it_does = ANSWERS[answer]
    button = part(
        "Button",
        [part("Kbd", str(key)), " ", words],
        id={"type": "answer", "answer": answer},
        className="press first" if answer == likeliest else "press",
        **attributes(data_key=str(key)),
    )
    return part("Div", [button, part("P", what_it_does, className="small second")])


#: What else an answer needs to know of a finding.
_TOLD = ("sheet", "check", "site", "column")


def _asked_about(chosen: dict[str, Any], about: pd.DataFrame) -> dict[str, Any]:
    """Return what an answer is about: the finding chosen and those with its cause."""
    findings = [
        {
            "finding": int(row["finding"]),
            "row": None if pd.isna(row["row"]) else int(row["row"]),
            **{key: row[key] if isinstance(row[key], str) else None for key in _TOLD},
        }
        for row in records(about, ("finding", "row", *_TOLD))
    ]
    return {"chosen": int(chosen["finding"]), "findings": findings}


def _field(name: str, label: str, note: str = "", value: str = "") -> Part:
    heading = [part("B", label), *([" ", part("Span", note, className="second")] if note else [])]
    written = part("Label", heading, htmlFor=name, className="small")
    return part("Div", [written, dcc.Input(id=name, type="text", value=value)], className="field")


def _radio(name: str, legend: str, options: list[dict[str, str]], value: str) -> Part:
    return part(
        "Div",
        [
            part("Span", legend, className="legend", id=f"{name}-legend"),
            dcc.RadioItems(id=name, options=options, value=value, className="radios", inline=True),
        ],
        className="choice field",
        role="group",
        **attributes(aria_labelledby=f"{name}-legend"),
    )


def _change(chosen: dict[str, Any]) -> list[Any]:
    columns = [name for name in sheets()[chosen["sheet"]].column_names if name != "note"]
    first = chosen["column"] if chosen["column"] in columns else columns[0]
    usual = [name for name in CHANGED if name in columns]
    options = [{"label": column_name(name), "value": name} for name in dict.fromkeys([first, *usual])]
    suggested = chosen["suggest"] if isinstance(chosen["suggest"], str) else ""
    return [
        _radio("answer-column", WORDS["column"], options, first),
        _field("answer-value", WORDS["value"], WORDS["value_note"], suggested),
    ]


def _swap(chosen: dict[str, Any]) -> list[Any]:
    first = pd.Timestamp(chosen["date"]).date().isoformat() if pd.notna(chosen["date"]) else ""
    where = [
        {"label": WORDS["in_record"], "value": "swapped"},
        {"label": WORDS["in_ground"], "value": "planted this way"},
    ]
    return [
        html.Details(
            [
                html.Summary(ANSWERS["swapped"][0]),
                _radio("answer-where", WORDS["where"], where, "swapped"),
                _field("answer-other", WORDS["other_plot"]),
                _field("answer-from", WORDS["from_day"], "2025-07-12", first),
            ]
        )
    ]


def _hidden_fields(offered: tuple[str, ...]) -> list[Any]:
    """Return the fields that the answers read where they are not offered."""
    lacking = [] if "change it" in offered else ["answer-column", "answer-value"]
    lacking += [] if "swapped" in offered else ["answer-where", "answer-other", "answer-from"]
    return [part("Span", dcc.Input(id=name, type="text", value=""), hidden=True) for name in lacking]


def _scope(rows: int) -> list[Any]:
    if rows < 2:
        return [html.Span(dcc.Input(id="answer-scope", type="text", value="one"), hidden=True)]
    options = [
        {"label": WORDS["this_row"], "value": "one"},
        {"label": WORDS["all_rows"].format(n=rows), "value": "all"},
    ]
    return [_radio("answer-scope", WORDS["scope"], options, "one")]
