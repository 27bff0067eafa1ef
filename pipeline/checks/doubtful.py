"""Weights that may be doubtful, and what each of them is held against.

A weight may be doubtful where its fruit lies outside the crop's band, or far from the garden's own.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import polars as pl

from pipeline.checks.usual import COUNT_OF, ENOUGH_FOR_MIDDLE, ENOUGH_FOR_SPREAD, each_kg, times
from pipeline.intake.units import POUNDS_AND_OUNCES

#: Spreads from the garden's own middle beyond which a weight per fruit is odd, where the crop's band says so
#: too. Common practice, no source.
ODD_SPREADS = 4.0

#: A weight per fruit inside the crop's band is never odd within this factor of the garden's own middle. A
#: pound for a kilogram is 2.2. Common practice, no source.
LEAST_FACTOR = 1.7

#: A weight that is this many times off is far from the garden's own. Common practice, no source.
FAR_FACTOR = 8.0

_TYPED_DECIMALS = re.compile(r"[.,](\d+)")

#: Columns that say what is known of a weight; `{}` stands for it.
_OF_WEIGHT = ("own_n_{}", "own_mid_{}", "own_spread_{}", "own_count_{}", "unit_kg_{}", "meant_{}", "unit_{}")
_OF_ROW = ("row", "each_low_kg", "each_high_kg", "around_mid", "around_n", "odds", "odds_n")


@dataclass(frozen=True)
class DoubtfulWeights:
    """Doubtful weights of one column, with what is known of each; one row of `known` for each.

    Arrays have one number for each weight, nan where it is not known.
    """

    weight: str
    known: pl.DataFrame

    @property
    def is_marketable(self) -> bool:
        """Whether they are weights of good fruit."""
        return self.weight == "marketable_weight"

    def number(self, name: str) -> np.ndarray:
        """Return a column of numbers; `{}` in its name stands for the weight."""
        return self.known.get_column(name.format(self.weight)).to_numpy()

    @cached_property
    def kg(self) -> np.ndarray:
        """The weights as they were read."""
        return self.number("{}")

    @cached_property
    def fruits(self) -> np.ndarray:
        """The counts beside them."""
        return self.number(COUNT_OF[self.weight])

    @cached_property
    def each(self) -> np.ndarray:
        """The weight of one fruit, kg."""
        return np.divide(self.kg, self.fruits, out=np.full(len(self.kg), np.nan), where=self.fruits > 0)

    @cached_property
    def band(self) -> tuple[np.ndarray, np.ndarray]:
        """The least and the most that a fruit of the crop weighs, kg."""
        return self.number("each_low_kg"), self.number("each_high_kg")

    @cached_property
    def unit_kg(self) -> np.ndarray:
        """Kilograms in the unit that the number was read in."""
        return self.number("unit_kg_{}")

    @cached_property
    def is_one_number(self) -> np.ndarray:
        """Whether one number was typed, not pounds and ounces."""
        typed = self.known.get_column(f"unit_{self.weight}").to_list()
        return np.array([unit != POUNDS_AND_OUNCES for unit in typed])

    @cached_property
    def away(self) -> np.ndarray:
        """How far the log weight per fruit is from the garden's own middle.

        A garden whose own middle is no weight of a fruit of this crop has slipped in all its rows: then its
        middle says nothing.
        """
        low, high = self.band
        middle = np.exp(self.number("own_mid_{}"))
        says_something = self.number("own_n_{}") >= ENOUGH_FOR_MIDDLE
        says_something &= ~((middle < low) | (middle > high))
        return np.where(says_something, np.log(self.each) - self.number("own_mid_{}"), np.nan)

    @cached_property
    def spread(self) -> np.ndarray:
        """The garden's own spread, for each row.

        The mean of few fruits varies more than that of many, and a small weight is rounded by a larger share.
        """
        fewer = np.sqrt(self.number("own_count_{}") / np.where(self.fruits > 0, self.fruits, np.nan))
        own = self.number("own_spread_{}") * np.maximum(fewer, 1.0)
        has_spread = self.number("own_n_{}") >= ENOUGH_FOR_SPREAD
        return np.where(has_spread, np.sqrt(own**2 + (self._step_kg / self.kg) ** 2), np.nan)

    @cached_property
    def _step_kg(self) -> np.ndarray:
        """The step to which a weight was rounded, by the decimals that were typed."""
        typed = self.known.get_column(f"sent_{self.weight}").to_list()
        decimals = [len(found[1]) if (found := _TYPED_DECIMALS.search(cell)) else 0 for cell in typed]
        return self.unit_kg * 10.0 ** -np.array(decimals, float)

    @cached_property
    def around(self) -> np.ndarray:
        """How far a weight without a count is from the rows around it, where that is far."""
        if not self.is_marketable:
            return np.full(len(self.kg), np.nan)
        apart = np.log(self.kg) - self.number("around_mid")
        is_far = (np.abs(apart) > times(FAR_FACTOR)) & (self.number("around_n") >= ENOUGH_FOR_MIDDLE)
        return np.where(is_far, apart, np.nan)

    @cached_property
    def odds(self) -> np.ndarray:
        """How far the weight is from what its day and its treatment make likely."""
        return np.where(self.number("odds_n") >= ENOUGH_FOR_SPREAD, self.number("odds"), np.nan)

    def is_outside(self, factor: float = 1.0) -> np.ndarray:
        """Return whether a fruit is too heavy or too light for the crop.

        Culls may be as small as they like: undersize is a reason to cull.
        """
        low, high = self.band
        heavy = self.each > factor * high
        return heavy | (self.each < low / factor) if self.is_marketable else heavy


def doubtful_weights(rows: pl.DataFrame) -> Iterator[DoubtfulWeights]:
    """Yield the weights of each column that may be doubtful, where there are some."""
    is_doubtful = rows.select(_IS_DOUBTFUL)
    for weight, count in COUNT_OF.items():
        if is_doubtful.get_column(weight).any():
            names = [*_OF_ROW, *(name.format(weight) for name in _OF_WEIGHT), weight, count, f"sent_{weight}"]
            known = pl.DataFrame([rows.get_column(name) for name in names])
            yield DoubtfulWeights(weight, known[is_doubtful.get_column(weight).arg_true()])


def _is_doubtful(weight: str) -> pl.Expr:
    each = each_kg(weight)
    odd_from = (ODD_SPREADS * pl.col(f"own_spread_{weight}")).clip(times(LEAST_FACTOR), times(FAR_FACTOR))
    is_far = (each.log() - pl.col(f"own_mid_{weight}")).abs() > odd_from
    doubtful = ~each.is_between("each_low_kg", "each_high_kg") | is_far
    if weight == "marketable_weight":
        doubtful |= _is_far_around(weight)
    return doubtful.fill_null(value=False).alias(weight)


def _is_far_around(weight: str) -> pl.Expr:
    """Return whether a weight without a count is far from the rows around it."""
    apart = (pl.when(pl.col(weight) > 0).then(pl.col(weight).log()) - pl.col("around_mid")).abs()
    is_uncounted = pl.col(COUNT_OF[weight]).is_null() & (pl.col("around_n") >= ENOUGH_FOR_MIDDLE)
    return is_uncounted & (apart > times(FAR_FACTOR))


_IS_DOUBTFUL = [_is_doubtful(weight) for weight in COUNT_OF]
