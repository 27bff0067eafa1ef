"""Weights that do not fit: what is odd about each, and which other readings of the typed number would fit.

A weight is held against its count, the crop's usual mass of a fruit and the garden's own rows. Each doubtful
weight gets one explanation at most, the name of the check that asks about it. A number is read again in
grams, kilograms, ounces and pounds, and with its point moved; the readings that fit best are proposed.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import polars as pl

from pipeline.checks.doubtful import (
    FAR_FACTOR,
    LEAST_FACTOR,
    ODD_SPREADS,
    DoubtfulWeights,
    doubtful_weights,
)
from pipeline.checks.finding import SURE_DIGITS
from pipeline.checks.lookup import Kind, looked_up_by_number, with_blanks
from pipeline.checks.usual import COUNT_OF, times
from pipeline.intake.units import KG_PER_UNIT
from sites.crops import HARD_FACTOR

#: Spreads from the garden's own middle beyond which a weight per fruit is odd, where the garden's own rows
#: are all that says so. Common practice, no source.
ALONE_SPREADS = 6.0

#: The same, where another unit would fit: a pound for a kilogram is as far as a small fruit from a large one.
#: At 4 spreads even gardens were asked about one sound row in a thousand. Common practice, no source.
UNIT_SPREADS = 5.0

#: A weight that is far off is asked about where another unit brings it within this factor of the middle.
#: Common practice, no source.
NEAR_FACTOR = 2.0

#: Rows of a treatment in a garden that may say alone that a row is odd. Common practice, no source.
ENOUGH_ALONE = 20

#: Of several readings that fit, those are named that fit nearly as well as the best: within this factor.
#: Common practice, no source.
AS_GOOD_FACTOR = 1.4

#: Fruits that a picking needs for its weight per fruit to be called odd. Common practice, no source.
LEAST_FRUITS = 3

#: How far a point slips: a digit too many or too few, or two.
_DECIMALS = np.array([0.1, 10.0, 0.01, 100.0])
_UNIT_KG = np.array(list(KG_PER_UNIT.values()))

_READING = pl.Struct({"number": pl.Float64, "unit": pl.String, "kg": pl.Float64})
_NO_DOUBT: dict[str, Kind] = {"doubt_{}": pl.String, "count_meant_{}": pl.Float64}
_NO_CHOICES = pl.DataFrame(
    schema={
        "row": pl.UInt32,
        "choices": pl.Struct({f"reading_{at + 1}": _READING for at in range(len(_DECIMALS))}),
    }
)


def with_doubts(rows: pl.DataFrame) -> tuple[pl.DataFrame, dict[str, pl.DataFrame]]:
    """Return harvest rows with the doubt about each weight, and apart from them what to choose from.

    Added for each weight: `doubt_`, the name of a check or null; `count_meant_`, where the count is what
    slipped. What there is to choose from is needed for few rows and wide, so it stands apart, by its name:
    `choices_` has, for each `row` with a doubt, the readings that fit better, each a number, its unit and kg.
    """
    explained = {of.weight: _explained(of) for of in doubtful_weights(rows)}
    choices: dict[str, pl.DataFrame] = {}
    for weight in COUNT_OF:
        doubts, choices_of = explained.get(weight, (None, _NO_CHOICES))
        choices[f"choices_{weight}"] = choices_of.rename({"choices": f"choices_{weight}"})
        if doubts is None:
            rows = with_blanks(rows, {name.format(weight): kind for name, kind in _NO_DOUBT.items()})
        else:
            rows = looked_up_by_number(rows, doubts, "row")
    return rows, choices


def _explained(of: DoubtfulWeights) -> tuple[pl.DataFrame, pl.DataFrame]:
    """Return the rows with a doubt, with the doubt and the count that was meant; and what to choose from."""
    other = _OtherReadings(of)
    doubt = _doubts(of, other)
    row = of.known.get_column("row")
    meant = pl.Series(f"count_meant_{of.weight}", _counts_meant(of, other, doubt), nan_to_null=True)
    doubts = pl.DataFrame([row, pl.Series(f"doubt_{of.weight}", doubt, pl.String), meant])
    found = np.flatnonzero(doubt != "")
    return doubts[found], pl.DataFrame([row, _choices(of, other, doubt)])[found]


@dataclass(frozen=True)
class _OtherReadings:
    """How well each other reading of the typed numbers fits: in other units, and with the point moved.

    A gap is how far a reading would be from the garden's own middle, nan where it does not fit; arrays have a
    row for each weight and a column for each unit, or for each move of the point.
    """

    of: DoubtfulWeights

    @cached_property
    def unit_gaps(self) -> np.ndarray:
        of_row = self.of.unit_kg[:, None]
        is_other = (of_row != _UNIT_KG) & self.of.is_one_number[:, None]
        return np.where(is_other, self._gaps(_UNIT_KG / of_row), np.nan)

    @cached_property
    def decimal_gaps(self) -> np.ndarray:
        return self._gaps(np.broadcast_to(_DECIMALS, (len(self.of.kg), len(_DECIMALS))))

    @cached_property
    def unit_gap(self) -> np.ndarray:
        """The smallest gap of another unit."""
        return np.fmin.reduce(self.unit_gaps, axis=1)

    @cached_property
    def decimal_gap(self) -> np.ndarray:
        """The smallest gap of a moved point."""
        return np.fmin.reduce(self.decimal_gaps, axis=1)

    def _gaps(self, factors: np.ndarray) -> np.ndarray:
        """Return the gaps of readings that many times the one that was taken.

        Without a middle of its own the crop's band decides; without a count the rows around do.
        """
        low, high = (limit[:, None] for limit in self.of.band)
        each = self.of.each[:, None] * factors
        apart = np.where(np.isnan(self.of.away), self.of.around, self.of.away)[:, None]
        by_own = np.abs(apart + np.log(factors))
        near = np.where(by_own <= times(NEAR_FACTOR), by_own, np.nan)
        by_band = np.where((each >= low) & (each <= high), 0.0, np.nan)
        gaps = np.where(np.isnan(apart), by_band, near)
        return np.where((each < low) | (each > high), np.nan, gaps)


def _doubts(of: DoubtfulWeights, other: _OtherReadings) -> np.ndarray:
    """Return the name of the check that asks about each weight, blank where there is nothing to ask."""
    apart, own_n = np.abs(of.away), of.number("own_n_{}")
    has_unit, has_decimal = ~np.isnan(other.unit_gap), ~np.isnan(other.decimal_gap)
    is_outside, is_beyond = of.is_outside(), of.is_outside(HARD_FACTOR)
    low, high = of.band
    is_inside = (of.each >= low) & (of.each <= high)
    odd = apart > ODD_SPREADS * of.spread
    enough = own_n >= ENOUGH_ALONE
    counted = of.is_marketable & (of.fruits >= LEAST_FRUITS)
    alone = enough & counted & (apart > np.fmax(ALONE_SPREADS * of.spread, times(LEAST_FACTOR)))
    decimal_is_nearer = has_decimal & (
        ~has_unit | (other.decimal_gap + times(AS_GOOD_FACTOR) / 2 < other.unit_gap)
    )
    near = other.unit_gap <= np.fmax(2 * of.spread, 0.25)
    # Culls are of any size: only the garden's own good fruit says that a cull was weighed in another unit.
    surely_odd = enough & of.is_marketable & (apart > np.fmax(UNIT_SPREADS * of.spread, times(LEAST_FACTOR)))
    unit_maybe = has_unit & ((surely_odd & near) | (apart > times(FAR_FACTOR)) | ~np.isnan(of.around))
    asks_mass = counted & (odd | np.isnan(of.spread))
    decimal_maybe = decimal_is_nearer & (odd | np.isnan(of.away)) & is_outside
    asked = [
        (is_beyond & decimal_is_nearer, "decimal-slip"),
        (is_beyond & has_unit, "weight-unit-slip"),
        (is_beyond, "fruit-mass-impossible"),
        (unit_maybe & ~decimal_is_nearer, "weight-unit-maybe"),
        (decimal_maybe, "decimal-slip"),
        (is_outside & asks_mass, "fruit-mass-odd"),
        (alone & is_inside, "fruit-mass-unlike-own"),
    ]
    return np.select([condition for condition, _ in asked], [name for _, name in asked], default="")


def _counts_meant(of: DoubtfulWeights, other: _OtherReadings, doubt: np.ndarray) -> np.ndarray:
    """Return the count that was meant where that is what slipped, and not the weight."""
    fits_best = other.decimal_gaps == other.decimal_gap[:, None]
    slipped = np.where(fits_best.any(axis=1), _DECIMALS[fits_best.argmax(axis=1)], np.nan)
    fruits = of.fruits / slipped
    # The weight fits its day as it is, so the count is what slipped.
    weight_fits = np.abs(of.odds) < np.abs(of.odds + np.log(slipped))
    has_slipped = (doubt == "decimal-slip") & weight_fits & (fruits >= 1) & (fruits == np.round(fruits))
    return np.where(has_slipped, fruits, np.nan)


def _choices(of: DoubtfulWeights, other: _OtherReadings, doubt: np.ndarray) -> pl.Series:
    """Return the readings to choose from, null where another fits clearly better."""
    is_decimal = (doubt == "decimal-slip")[:, None]
    number = (of.kg / of.unit_kg)[:, None] * np.where(is_decimal, _DECIMALS, 1.0)
    best = np.where(is_decimal, other.decimal_gap[:, None], other.unit_gap[:, None])
    gap = np.where(is_decimal, other.decimal_gaps, other.unit_gaps)
    unit = np.where(
        is_decimal, of.known.get_column(f"meant_{of.weight}").to_numpy()[:, None], list(KG_PER_UNIT)
    )
    readings = {
        "number": number,
        "unit": unit,
        "kg": number * np.where(is_decimal, of.unit_kg[:, None], _UNIT_KG),
        "is_as_good": gap <= best + times(AS_GOOD_FACTOR),
    }
    # One below the other, the first of all weights first: what is made of one is made of all at once.
    below = pl.DataFrame({name: pl.Series(values.ravel("F").tolist()) for name, values in readings.items()})
    # Quotients of the same numbers may differ in their last digits with the rows that stand beside them.
    sure = pl.struct(
        pl.col("number").round_sig_figs(SURE_DIGITS), "unit", pl.col("kg").round_sig_figs(SURE_DIGITS)
    )
    whole = below.select(pl.when("is_as_good").then(sure)).to_series()
    parts = [whole.slice(at * len(doubt), len(doubt)) for at in range(len(_DECIMALS))]
    return pl.DataFrame({f"reading_{at + 1}": part for at, part in enumerate(parts)}).to_struct("choices")
