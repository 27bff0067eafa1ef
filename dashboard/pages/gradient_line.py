"""A curve in place of the straight line on Gradient, where there are gardens enough to see a bend."""

from typing import Any

import pandas as pd

from dashboard import data
from dashboard.components.choice import choice
from dashboard.data import TrialSeason, View
from dashboard.numerals import count, p_value
from dashboard.selection import Selection
from dashboard.wording.gradient_line import WORDS
from pipeline.response.collinearity import GARDENS_PER_TERM
from pipeline.response.spline import DEGREES

#: What an address names to see the curve.
CURVE = "curve"
#: Gardens that a curve of so many degrees of freedom takes.
FEWEST_GARDENS = GARDENS_PER_TERM * DEGREES
#: A bend is told where the chance that a straight line would look so bent is below this.
_TOLD = 0.05


def curve_of(view: View, selection: Selection, trial: TrialSeason) -> pd.DataFrame:
    """Return the curve of the chosen measure and treatment along the axis with its bands, if any."""
    curves = data.of_season(view, "gradient_curve", trial)
    return curves[_is_chosen(curves, selection)]


def is_curved(view: View, selection: Selection, trial: TrialSeason) -> bool:
    """Return whether the reader chose the curve, and there is one."""
    return selection.address.get("line") == CURVE and len(curve_of(view, selection, trial)) > 0


def line_choice(view: View, selection: Selection, trial: TrialSeason) -> list[Any]:
    """Return the choice between line and curve; nothing where no curve could be fitted."""
    if curve_of(view, selection, trial).empty:
        return []
    options: list[tuple[Any, str]] = [
        (WORDS["line"], selection.address.choosing(line=None).href),
        (WORDS["curve"], selection.address.choosing(line=CURVE).href),
    ]
    return [choice(WORDS["draw"], options, int(is_curved(view, selection, trial)))]


def bend_seen(view: View, selection: Selection, trial: TrialSeason) -> str:
    """Return whether these gardens tell a bend, or why nobody can; blank where there is no line either."""
    lines = data.of_season(view, "gradient", trial)
    slope = lines[_is_chosen(lines, selection) & (lines["term"] == selection.axis)]
    if slope.empty:
        return ""
    row = slope.iloc[0]
    gardens = count(int(row["gardens"]), "garden", "gardens") if pd.notna(row["gardens"]) else ""
    if pd.isna(row["bend_p"]):
        few = pd.notna(row["gardens"]) and row["gardens"] < FEWEST_GARDENS
        return WORDS["too_few" if few else "crowded"].format(gardens=gardens, fewest=FEWEST_GARDENS)
    p = float(row["bend_p"])
    return WORDS["bends" if p < _TOLD else "straight"].format(gardens=gardens, p=p_value(p))


def _is_chosen(rows: pd.DataFrame, selection: Selection) -> pd.Series:
    return (
        (rows["outcome"] == selection.outcome)
        & (rows["treatment"] == selection.treatment)
        & (rows["axis"] == selection.axis)
    )
