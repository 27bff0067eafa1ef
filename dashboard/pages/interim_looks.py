"""The interim analyses that a running trial named before it began: the only comparison before its close."""

from typing import Any

import pandas as pd
from dash import html

from dashboard import data
from dashboard.components.figure import Rows, table_behind
from dashboard.components.ledger import entry, ledger
from dashboard.data import TrialSeason, View
from dashboard.differences import unit_of
from dashboard.numerals import count, day, long_day, p_value
from dashboard.selection import Selection
from dashboard.wording.interim import WORDS
from dashboard.wording.measures import OUTCOMES
from pipeline.response.outcomes import BY_NAME

#: Digits with which a p-value can be held against its limit.
LIMIT_DIGITS = 4


def interim_looks(view: View, selection: Selection, trial: TrialSeason, page: str) -> list[Any]:
    """Return each look with its limit and whether it was crossed; nothing where none was named or has come.

    `page` is the name of the page that it stands on, for its table.
    """
    looks = data.of_season(view, "interim", trial)
    if trial.is_closed or looks.empty:
        return []
    labels = selection.treatments.set_index("treatment")["label"]
    rows = looks.sort_values(["date", "outcome"], kind="stable").to_dict("records")
    dates = sorted({row["date"] for row in rows})
    named = WORDS["named"].format(
        days=WORDS["day_one"] if len(dates) == 1 else WORDS["days"].format(n=len(dates)),
        dates=", ".join(day(when) for when in dates),
        close=long_day(trial.close),
    )
    entries = [_entry(row, str(labels.get(row["treatment"], row["treatment"] or ""))) for row in rows]
    return [
        html.Section(
            [
                html.H2(WORDS["title"]),
                html.P([html.Span(WORDS["stamp"], className="interim"), " ", named]),
                ledger(entries, ""),
                html.P(f"{WORDS['limits']} {WORDS['yield']}", className="second small after-ledger"),
                table_behind(Rows(page, "interim", selection.address.query)),
            ],
            className="block",
            id="interim",
        )
    ]


def interim_table(view: View, selection: Selection, trial: TrialSeason) -> pd.DataFrame:
    """Return every look with its numbers: differences in percent, points out of 100 or days."""
    del selection
    looks = data.of_season(view, "interim", trial)
    if trial.is_closed:
        looks = looks.iloc[:0]
    units = [unit_of(outcome) for outcome in looks["outcome"]]
    said = {
        name: [unit.of_scale(value) for unit, value in zip(units, looks[name], strict=True)]
        for name in ("estimate", "ci_low", "ci_high")
    }
    told = looks.assign(unit=[unit.noun for unit in units], **said)
    columns = ["outcome", "date", "treatment", "gardens", "estimate", "ci_low", "ci_high", "unit"]
    return told[[*columns, "p", "level", "is_called", "why_not"]]


def _entry(row: dict[str, Any], treatment: str) -> html.Li:
    """Return one look: the outcome, the day and the treatment, and below them what it says."""
    outcome = row["outcome"]
    name = OUTCOMES[outcome].title if outcome in OUTCOMES else _label(outcome)
    about = ", ".join(part for part in (day(row["date"]), treatment) if part)
    heading = [html.B(name), " ", html.Span(about, className="second")]
    if pd.isna(row["p"]):
        return entry(
            "not yet picked", heading, WORDS["not_complete" if pd.isna(row["gardens"]) else "too_few"]
        )
    unit = unit_of(outcome)
    verdict = WORDS["called" if row["is_called"] else "not_called"]
    words = WORDS["look"].format(
        difference=unit.said(unit.of_scale(row["estimate"]), 1),
        gardens=count(int(row["gardens"]), "garden", "gardens"),
        interval=unit.between(unit.of_scale(row["ci_low"]), unit.of_scale(row["ci_high"])),
        p=p_value(row["p"], LIMIT_DIGITS),
        level=p_value(row["level"], LIMIT_DIGITS),
        day=day(row["date"]),
    )
    return entry("note", heading, [html.B(verdict), " ", words[:1].upper() + words[1:]])


def _label(outcome: str) -> str:
    known = BY_NAME.get(outcome)
    label = known.label if known else outcome
    return label[:1].upper() + label[1:]
