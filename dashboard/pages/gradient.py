"""Gradient: how the response changes along the row, over the map, the weather and the land."""

from dataclasses import dataclass
from typing import Any

import pandas as pd
from dash import html

from dashboard import data
from dashboard.components.choice import choice, measure_choice, treatment_choice
from dashboard.components.figure import Rows, figure_frame
from dashboard.components.readout import Lines, readouts, texts
from dashboard.components.sentence import sentence
from dashboard.components.states import nothing_yet
from dashboard.data import TrialSeason, View
from dashboard.differences import Unit, unit_of
from dashboard.figures import crowd
from dashboard.figures.gradient import gradient_figure, stack_of
from dashboard.figures.gradient_rows import ROW_AXIS, GradientRows
from dashboard.figures.response import reach, runs_out
from dashboard.figures.template import Screen
from dashboard.numerals import count, long_day, some_of
from dashboard.pages import tables
from dashboard.pages.gradient_line import bend_seen, line_choice
from dashboard.pages.interim_looks import interim_looks, interim_table
from dashboard.pages.over_seasons import is_over, over, seasons_choice
from dashboard.pages.page import ALWAYS, Content, OfGarden, Page
from dashboard.pages.rows import gradient_rows
from dashboard.selection import USUAL_AXES, Selection, lay_out, measure, with_garden
from dashboard.wording.findings import differences_seen
from dashboard.wording.gradient_line import WORDS as LINE
from dashboard.wording.measures import AXES, OUTCOMES
from dashboard.wording.sureness import WORDS as TOGETHER
from dashboard.words import FIGURE, GRADIENT
from dashboard.words import GRADIENT_WORDS as WORDS

#: Gardens below which a row says nothing about other gardens; common practice, no source.
LEAST_GARDENS = 4


@dataclass(frozen=True)
class _Estimates:
    """The answer and its slope along the row, None where there is none, and both without each garden.

    `without` has a row for each garden: `mean_without`, `slope_without`.
    """

    answer: float | None
    slope: float | None
    without: pd.DataFrame


def narrow_down(view: View, selection: Selection) -> Selection:
    """Return the selection with garden, measure, treatment and axis, as far as the season has them."""
    trial = selection.trial
    if trial is None:
        return selection
    outcomes, lines = view.once(("measures and axes", trial), lambda: _offered(view, trial))
    axes = lines if trial.is_closed else list(USUAL_AXES)
    # Gardens over their seasons have no one season's weather to stand at.
    chosen = measure(with_garden(selection), outcomes)
    return lay_out(chosen, [ROW_AXIS] if is_over(view, selection) else axes)


def _offered(view: View, trial: TrialSeason) -> tuple[list[str], list[str]]:
    """Return the measures of which the season has differences, and the axes along which it has lines."""
    effects = data.of_season(view, "effects", trial)
    is_known = effects["percent"].notna() | (
        effects["scale"].eq("difference") & effects["difference"].notna()
    )
    lines = data.of_season(view, "gradient_band", trial)["axis"].unique().tolist()
    return effects["outcome"][is_known].unique().tolist(), lines


def build(view: View, selection: Selection, screen: Screen) -> Content:
    """Return the page."""
    trial = selection.trial
    if trial is None or not selection.outcome:
        return nothing_yet(GRADIENT.title, GRADIENT.nothing)
    rows = gradient_rows(view, selection, trial, screen)
    marks = rows.effects[rows.effects["treatment"] == selection.treatment]
    if marks["site"].nunique() < LEAST_GARDENS:
        return nothing_yet(GRADIENT.title, GRADIENT.nothing)
    answered = over(trial) if is_over(view, selection) else trial
    heading, sure = _sentence(view, selection, answered, marks)
    finding = WORDS["finding_closed" if trial.is_closed else "finding_running"]
    return [
        *sentence(heading, sure, so_far=not trial.is_closed),
        _choices(view, selection, trial, answered, screen),
        figure_frame(
            gradient_figure(rows, screen),
            finding=finding.format(axis=AXES[selection.axis].label, sentence=heading),
            caption=_caption(
                rows,
                marks,
                selection,
                [bend_seen(view, selection, answered), *data.sentence(view, trial, "weather")],
                is_together=answered != trial,
            ),
            rows=Rows("gradient", "strips", selection.address.query),
            beside=readouts(rows, stack_of(rows, screen), screen),
        ),
        *interim_looks(view, selection, trial, "gradient"),
    ]


def of_garden(view: View, selection: Selection, screen: Screen) -> OfGarden:
    """Return the strips' lines at the chosen garden, and how the answer would be without it."""
    trial = selection.trial
    if trial is None or not selection.outcome:
        return OfGarden()
    answered = over(trial) if is_over(view, selection) else trial
    lines = view.once_for_all(_lines, selection, screen).get(selection.garden or "", {})
    return OfGarden(lines, _without(view, selection, answered))


def _lines(view: View, selection: Selection, screen: Screen) -> dict[str, dict[str, Lines]]:
    """Return each garden's lines in the readouts."""
    if selection.trial is None:
        return {}
    return texts(gradient_rows(view, selection, selection.trial, screen), screen)


def _without(view: View, selection: Selection, trial: TrialSeason) -> list[Any]:
    """Return how the answer would be without the garden that was clicked; nothing while nobody chose one."""
    asked = (trial, selection.outcome, selection.treatment)
    estimates = view.once(("estimates", *asked), lambda: _estimates(view, *asked))
    garden = selection.address.get("garden")
    if estimates.answer is None or garden not in estimates.without.index:
        return []
    left, unit = estimates.without.loc[garden], unit_of(selection.outcome)
    without = unit.of_told(left["mean_without"])
    now = unit.of_scale(estimates.answer)
    said = [WORDS["without"].format(without=unit.said(without, 1), now=unit.said(now, 1))]
    if estimates.slope is not None and pd.notna(left["slope_without"]):
        said.append(
            WORDS["without_slope"].format(
                without=_per_100_km(left["slope_without"], unit), now=_per_100_km(estimates.slope, unit)
            )
        )
    return [
        html.Section(
            [
                html.H2(WORDS["without_title"].format(garden=selection.garden)),
                html.P(" ".join(said)),
                html.P(WORDS["without_note"], className="second small"),
            ],
            className="block",
        )
    ]


def _estimates(view: View, trial: TrialSeason, outcome: str, treatment: str) -> _Estimates:
    """Return what is estimated along the row, with and without each garden."""
    estimates, lines = (data.of_season(view, name, trial) for name in ("estimates", "gradient"))
    own, along = (
        rows[(rows["outcome"] == outcome) & (rows["treatment"] == treatment) & (rows["axis"] == ROW_AXIS)]
        for rows in (estimates, lines)
    )
    answer = data.answer(view, trial, outcome, treatment)
    slope = along.loc[along["term"] == ROW_AXIS, "coefficient"].tolist()
    return _Estimates(
        answer["estimate"] if answer else None,
        slope[0] if slope else None,
        own.drop_duplicates("site").set_index("site")[["mean_without", "slope_without"]],
    )


def _per_100_km(slope: float, unit: Unit) -> str:
    """Return a slope per km as percent, points or days over 100 km."""
    return unit.change(float(unit.of_scale(100 * slope)))


def _sentence(view: View, selection: Selection, trial: TrialSeason, marks: pd.DataFrame) -> tuple[str, str]:
    """Return the night's words; for a running season what was seen, and until when it can change."""
    # The night's sentence about the line is about the row, not about another axis.
    places = ("network", "gradient") if selection.axis == ROW_AXIS else ("network",)
    parts = [data.sentence(view, trial, place, selection.outcome, selection.treatment) for place in places]
    heading = " ".join(words for words, _ in parts if words)
    sure = " ".join(words for _, words in parts if words)
    if trial.is_closed:
        beside = ""
        if selection.outcome != trial.primary_outcome and trial.primary_outcome in OUTCOMES:
            beside = WORDS["beside"].format(primary=OUTCOMES[trial.primary_outcome].name)
        return heading or GRADIENT.title, f"{sure} {beside}".strip()
    unit = unit_of(selection.outcome)
    low, high = marks["percent"].quantile([0.25, 0.75])
    ends = {"low": unit.said(low), "high": unit.said(high)}
    is_level = ends["low"] == ends["high"] == unit.said(0)
    spread = WORDS["running_level" if is_level else "running_spread"].format(
        gardens=count(marks["site"].nunique(), "garden", "gardens"), **ends
    )
    if _adds_up(selection.outcome):
        spread += " " + WORDS["running_yield"]
    until = WORDS["running"].format(night=long_day(view.published.night), close=long_day(trial.close))
    return heading or until, " ".join(part for part in (sure, until if heading else "", spread) if part)


def _adds_up(outcome: str) -> bool:
    """Return whether an outcome adds up through the season, so that what ripens later looks worse before."""
    return OUTCOMES[outcome].unit == "kg" or outcome == "marketable_fruits_per_plant"


def _choices(
    view: View, selection: Selection, trial: TrialSeason, answered: TrialSeason, screen: Screen
) -> html.Div:
    axes: list[tuple[Any, str]] = [
        (AXES[axis].name, selection.address.choosing(axis=axis).href) for axis in selection.axes
    ]
    return html.Div(
        [
            choice(WORDS["axis"], axes, list(selection.axes).index(selection.axis)),
            treatment_choice(WORDS["show"], selection, screen),
            measure_choice(selection),
            *seasons_choice(view, selection, trial),
            *line_choice(view, selection, answered),
        ],
        className="bar",
    )


def _caption(
    rows: GradientRows,
    marks: pd.DataFrame,
    selection: Selection,
    further: list[str],
    *,
    is_together: bool,
) -> list[Any]:
    """Return what is seen, what the marks mean, what is not drawn, and what the figure cannot say."""
    control = selection.control_label
    seen = differences_seen(marks, control, is_closed=rows.is_closed, unit=rows.unit)
    meant = TOGETHER["over_caption"] if is_together else WORDS[_meaning(rows, marks)]
    parts: list[Any] = [html.B(seen), " ", meant]
    if len(rows.straight):
        parts.append(" " + LINE["beside"])
    bands = rows.bands[rows.bands["treatment"] == rows.focus]
    if rows.is_closed and not crowd.is_crowd(marks) and runs_out(marks, reach(marks, bands)):
        parts.append(" " + WORDS["cut"])
    lacking = rows.gardens.loc[~rows.gardens["site"].isin(marks["site"]), "site"]
    if len(lacking):
        parts.append(" " + FIGURE["missing"].format(gardens=some_of(lacking.tolist())))
    parts.extend(f" {said}" for said in further if said)
    return [*parts, " ", html.B(WORDS["pattern"])]


def _meaning(rows: GradientRows, marks: pd.DataFrame) -> str:
    """Return which words say what the marks mean."""
    if not rows.is_closed:
        return "caption_running"
    return "caption_crowd" if crowd.is_crowd(marks) else "caption_closed"


PAGE = Page(
    "/gradient",
    GRADIENT,
    "closed",
    narrow_down,
    build,
    {"strips": tables.strips, "interim": interim_table},
    kept_seconds=ALWAYS,
    of_garden=of_garden,
)
