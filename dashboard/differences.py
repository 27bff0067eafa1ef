"""Differences from the control in the unit of their outcome: percent, points out of 100, days.

Ratios are shown in percent. Shares of few plants and days are shown as differences, since a share may be 0
in a garden's control and a date has no ratio. Figures read the columns `percent`, `percent_low` and so on;
for a difference those hold points or days.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from dashboard.numerals import NO_BREAK, NOT_RECORDED, number
from pipeline.response.outcomes import BY_NAME

#: Columns of a difference and what figures read in their place, by frame.
_EFFECTS = {"percent": "difference", "percent_low": "difference_low", "percent_high": "difference_high"}
_ANSWER = _EFFECTS | {
    "new_low_percent": "new_low_difference",
    "new_high_percent": "new_high_difference",
}
_BAND = ("percent", "mean_low", "mean_high", "new_low", "new_high")


@dataclass(frozen=True)
class Unit:
    """How a difference is said: its words for less and more, its noun, and how it is worked out.

    `per` turns the outcome's number into the one that is said; `is_ratio` says that it is a percentage of the
    control.
    """

    less: str
    more: str
    one: str
    many: str
    axis: str
    per: float = 1.0
    digits: int = 0

    @property
    def is_ratio(self) -> bool:
        """Whether it is a percentage of what the control gave."""
        return self.many == "%"

    def _with_noun(self, size: str) -> str:
        return f"{size}%" if self.is_ratio else f"{size}{NO_BREAK}{self.one if size == '1' else self.many}"

    def said(self, value: float, digits: int | None = None) -> str:
        """Return 12% more, 5 points lower, 2 days later, or the same."""
        if not math.isfinite(value):
            return NOT_RECORDED
        size = number(abs(value), self.digits if digits is None else digits)
        if float(size.replace(",", "")) == 0:
            return "the same"
        return f"{self._with_noun(size)}{NO_BREAK}{self.more if value > 0 else self.less}"

    def signed(self, value: float) -> str:
        """Return +12%, −5 or 0, for an axis beside which the noun of a difference stands."""
        text = number(value, 0 if value == round(value) else self.digits)
        sign = "+" if value > 0 else ""
        return f"{sign}{text}{'%' if self.is_ratio else ''}"

    def at_axis(self, value: float) -> str:
        """Return +12% or −5 points, for an axis that has room for the noun."""
        text = self.signed(value)
        return text if self.is_ratio else f"{text}{NO_BREAK}{self.one if text == '+1' else self.many}"

    def change(self, value: float) -> str:
        """Return +2.0% or −1.2 points, to a tenth."""
        size = number(value, 1)
        return f"{'+' if value > 0 else ''}{self._with_noun(size)}"

    def between(self, low: float, high: float) -> str:
        """Return the two ends of an interval, as in −3 to 12%."""
        if self.is_ratio:
            return f"{number(low, self.digits)} to {number(high, self.digits)}%"
        return f"{number(low, self.digits)} to {self._with_noun(number(high, self.digits))}"

    @property
    def noun(self) -> str:
        """What a column of such differences counts: percent, points or days."""
        return "percent" if self.is_ratio else self.many

    @property
    def noun_apart(self) -> str:
        """What stands between two such differences: points of percent, points or days."""
        return "points of percent" if self.is_ratio else self.many

    def of_told(self, value: Any) -> Any:
        """Return a difference of a frame that tells ratios in percent, in the number that is said."""
        return value if self.is_ratio else self.per * value

    def of_scale(self, value: Any) -> Any:
        """Return a log ratio, or a difference in the outcome's unit, in the number that is said."""
        return 100 * np.expm1(value) if self.is_ratio else self.per * value


PERCENT = Unit("less", "more", "%", "%", "%")
_POINTS = Unit("lower", "higher", "point", "points", "points out of 100", per=100.0, digits=1)
_DAYS = Unit("earlier", "later", "day", "days", "days", digits=1)


def unit_of(outcome: str) -> Unit:
    """Return how differences of an outcome are said."""
    known = BY_NAME.get(outcome)
    if known is None or known.scale == "ratio":
        return PERCENT
    return _DAYS if known.unit == "days" else _POINTS


def shown_effects(effects: pd.DataFrame, unit: Unit) -> pd.DataFrame:
    """Return garden effects of one outcome with their differences where figures look for percents."""
    if unit.is_ratio:
        return effects
    # Equal shares differ by some 1e-17, which is neither more nor less.
    return effects.assign(**{name: (unit.per * effects[own]).round(9) for name, own in _EFFECTS.items()})


def shown_answer(answer: Mapping[str, Any] | None, unit: Unit) -> dict[str, Any] | None:
    """Return the network's answer with its differences where figures look for percents; None for none."""
    if answer is None or unit.is_ratio:
        return None if answer is None else dict(answer)
    return dict(answer) | {name: unit.per * answer[own] for name, own in _ANSWER.items()}


def shown_band(band: pd.DataFrame, unit: Unit) -> pd.DataFrame:
    """Return a line with its bands in the number that is said; ratios come in percent."""
    return band if unit.is_ratio else band.assign(**{name: unit.per * band[name] for name in _BAND})
