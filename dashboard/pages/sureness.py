"""How sure is this answer: the same plots worked out in the ways that somebody else may have preferred."""

from typing import Any

import pandas as pd
from dash import html

from dashboard import data
from dashboard.components.figure import Rows, caption_of, figure_frame
from dashboard.components.mark import link
from dashboard.data import TrialSeason, View
from dashboard.differences import Unit, unit_of
from dashboard.figures.gradient_rows import ROW_AXIS
from dashboard.figures.intervals import IntervalRows, intervals_figure
from dashboard.figures.template import Screen
from dashboard.numerals import NO_BREAK, count, number
from dashboard.selection import Selection
from dashboard.wording.measures import OUTCOMES
from dashboard.wording.sureness import METHODS, WAYS, WORDS

_COLUMNS = ["way", "label", "gardens", "middle", "low", "high", "is_answer"]
#: Two answers differ where they lie further apart than this share of the answer's interval.
_FAR = 0.25
#: How the ways that leave out one garden begin.
_WITHOUT = "without "


def sureness(view: View, selection: Selection, trial: TrialSeason, screen: Screen) -> list[Any]:
    """Return the answer beside the other ways of working it out, for a closed trial; nothing before."""
    if not trial.is_closed or data.answer(view, trial, selection.outcome, selection.treatment) is None:
        return []
    heading = html.H2(WORDS["title"])
    if selection.outcome != trial.primary_outcome:
        parts: list[Any] = [html.P(_elsewhere(selection, trial))]
    else:
        rows = ways_of(view, selection, trial)
        parts = [html.P(WORDS["none"])] if len(rows) < 2 else [_frame(view, selection, trial, screen, rows)]
    return [html.Section([heading, *parts], className="block", id="sureness")]


def sureness_table(view: View, selection: Selection, trial: TrialSeason) -> pd.DataFrame:
    """Return every way of working the answer out with its number and interval, as the figure shows them."""
    unit = unit_of(selection.outcome)
    rows = ways_of(view, selection, trial)
    told = rows[["label", "gardens", "middle", "low", "high"]].assign(unit=unit.noun)
    return told.rename(columns={"label": "way", "middle": "estimate", "low": "ci_low", "high": "ci_high"})


def ways_of(view: View, selection: Selection, trial: TrialSeason) -> pd.DataFrame:
    """Return the answer first, then the other ways, then the gardens that move it most when left out.

    Columns: way, label, gardens, middle, low and high in the number that is said, is_answer.
    """
    answer = data.answer(view, trial, selection.outcome, selection.treatment)
    if answer is None:
        return pd.DataFrame(columns=_COLUMNS)
    unit = unit_of(selection.outcome)
    others = _of_selection(data.of_season(view, "sensitivity", trial), selection)
    said = others.assign(
        label=[WAYS.get(way, way) for way in others["way"]],
        is_answer=False,
        **{
            name: unit.of_scale(others[own])
            for name, own in (("middle", "estimate"), ("low", "ci_low"), ("high", "ci_high"))
        },
    )
    first = {
        "way": "answer",
        "label": WORDS["answer"],
        "gardens": answer["gardens"],
        "is_answer": True,
        "middle": unit.of_scale(answer["estimate"]),
        "low": unit.of_scale(answer["ci_low"]),
        "high": unit.of_scale(answer["ci_high"]),
    }
    rows = pd.concat(
        [pd.DataFrame([first]), said[_COLUMNS], _left_out(view, selection, trial, unit)], ignore_index=True
    )
    return rows.astype({"gardens": "Int64", "middle": "float64", "low": "float64", "high": "float64"})


def _of_selection(rows: pd.DataFrame, selection: Selection) -> pd.DataFrame:
    return rows[(rows["outcome"] == selection.outcome) & (rows["treatment"] == selection.treatment)]


def _left_out(view: View, selection: Selection, trial: TrialSeason, unit: Unit) -> pd.DataFrame:
    """Return the least and the most that the answer would be without one garden."""
    estimates = _of_selection(data.of_season(view, "estimates", trial), selection)
    known = estimates[(estimates["axis"] == ROW_AXIS) & estimates["mean_without"].notna()]
    if len(known) < 2:
        return pd.DataFrame(columns=_COLUMNS)
    without = unit.of_told(known["mean_without"])
    rows = [
        {
            "way": f"{_WITHOUT}{known.loc[at, 'site']}",
            "label": WORDS[words].format(garden=known.loc[at, "site"]),
            "gardens": len(known) - 1,
            "middle": without[at],
            "low": float("nan"),
            "high": float("nan"),
            "is_answer": False,
        }
        for words, at in (("without_low", without.idxmin()), ("without_high", without.idxmax()))
    ]
    return pd.DataFrame(rows, columns=_COLUMNS)


def _elsewhere(selection: Selection, trial: TrialSeason) -> list[Any]:
    words: list[Any] = [WORDS["other"]]
    if trial.primary_outcome in selection.outcomes:
        href = selection.address.choosing(outcome=trial.primary_outcome).href
        name = OUTCOMES[trial.primary_outcome].name
        words += [" ", link(WORDS["other_link"].format(primary=name), href)]
    return words


def _frame(
    view: View, selection: Selection, trial: TrialSeason, screen: Screen, rows: pd.DataFrame
) -> html.Figure:
    unit = unit_of(selection.outcome)
    treatments = selection.treatments.set_index("treatment")
    seen = ways_seen(rows, selection.treatment_label, unit)
    answer = data.answer(view, trial, selection.outcome, selection.treatment) or {}
    caption = WORDS["caption"].format(
        method=METHODS.get(str(answer["method"]), answer["method"]),
        interval=METHODS.get(str(answer["interval"]), answer["interval"]),
        gardens=count(int(answer["gardens"]), "garden", "gardens"),
    )
    return figure_frame(
        intervals_figure(IntervalRows(rows, int(treatments.loc[selection.treatment, "order"]), unit), screen),
        finding=seen,
        caption=caption_of(seen, one_stage_seen(rows, unit), caption, left_out_seen(rows, unit)),
        rows=Rows("compare", "ways", selection.address.query),
    )


def ways_seen(rows: pd.DataFrame, treatment: str, unit: Unit) -> str:
    """Return between what the other ways lie, and whether any of them would say something else."""
    answer = rows[rows["is_answer"]].iloc[0]
    others = rows[~rows["is_answer"] & ~rows["way"].str.startswith(_WITHOUT)]
    if others.empty:
        return ""
    said = WORDS["seen"].format(
        ways=len(others),
        treatment=treatment,
        low=unit.said(others["middle"].min(), 1),
        high=unit.said(others["middle"].max(), 1),
        answer=unit.said(answer["middle"], 1),
    )
    whole = rows.dropna(subset=["low", "high"])
    above, below = whole["low"] > 0, whole["high"] < 0
    if whole.empty:
        return said
    if above.all() or below.all():
        return f"{said} {WORDS['all_above' if above.all() else 'all_below']}"
    apart = above | below
    if not apart.any():
        return f"{said} {WORDS['none_apart']}"
    holding = "; ".join(words[:1].lower() + words[1:] for words in whole.loc[~apart, "label"])
    return f"{said} {WORDS['some_apart'].format(apart=int(apart.sum()), all=len(whole), holding=holding)}"


def left_out_seen(rows: pd.DataFrame, unit: Unit) -> str:
    """Return between what the answer would lie without any one garden; blank where that is not known."""
    without = rows.loc[rows["way"].str.startswith(_WITHOUT), "middle"]
    if without.empty:
        return ""
    return WORDS["left_out"].format(low=unit.said(without.min(), 1), high=unit.said(without.max(), 1))


def one_stage_seen(rows: pd.DataFrame, unit: Unit) -> str:
    """Return how far the model of all plots lies from the answer; blank where it was not worked out."""
    answer, at_once = rows[rows["is_answer"]].iloc[0], rows[rows["way"] == "one stage"]
    if at_once.empty or pd.isna(answer["low"]):
        return ""
    apart = abs(float(at_once["middle"].iloc[0]) - float(answer["middle"]))
    is_far = apart > _FAR * (float(answer["high"]) - float(answer["low"]))
    points = f"{number(apart, 1)}{NO_BREAK}{unit.noun_apart}"
    return WORDS["one_stage_far" if is_far else "one_stage_near"].format(points=points)
