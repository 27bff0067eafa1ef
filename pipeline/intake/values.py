"""Cells as people write them, read as numbers, weights and dates.

One grammar for every sheet. A cell has a plain value, a value that we read in a way to be told
(`read as`), two possible values (`two ways`), none (`blank`), or cannot be read. Nothing is guessed:
where two readings are possible, both are returned and the row waits.
"""

import re
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from pipeline.intake.dates import read_date
from pipeline.intake.units import CM_PER_UNIT, KG_PER_UNIT, LENGTH_UNITS, WEIGHT_UNITS

How = Literal["plain", "blank", "read as", "two ways", "unreadable", "unit unknown"]

#: What people write for nothing recorded. Zero is not among them.
BLANKS = frozenset(
    ["", "na", "n/a", "n.a.", "#n/a", "-", "--", "–", "—", "none", "ninguno", "ninguna", "s/d", "null", "nan"]
)

_ABOUT = re.compile(
    r"^(?:~|≈|±|about|approx(?:imately|\.)?|ca\.|circa|aprox(?:imadamente|\.)?|cerca de|como|unos|unas)\s*",
    re.I,
)
_PLAIN = re.compile(r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)")
_SCIENTIFIC = re.compile(r"[+-]?\d(?:\.\d+)?[eE][+-]?\d{1,2}")
_THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2}(?:,\d{3})+(?:\.\d+)?|[+-]?[1-9]\d{0,2}(?:[ ']\d{3})+(?:\.\d+)?")
_POINT_THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2}(?:\.\d{3})+,\d+|[+-]?[1-9]\d{0,2}(?:\.\d{3}){2,}")
_COMMA = re.compile(r"[+-]?\d+,\d+")
_COMMA_EITHER = re.compile(r"[+-]?[1-9]\d{0,2},\d{3}")
_FRACTION = re.compile(
    r"(?P<whole>\d+)?(?:\s+|-|(?<=\d)(?=\d+[/⁄]))?(?P<top>\d+)\s*[/⁄]\s*(?P<bottom>[1-9]\d*)"
)
_VULGAR = re.compile(r"(?<=\d)(?=[¼-¾⅐-⅞])")
_RANGE = re.compile(r"\d+\s*[-–]\s*\d+")
_POUNDS_OUNCES = re.compile(
    r"(?P<lb>\d+)\s*(?:lbs?|pounds?|libras?|#)\.?\s*(?:,|and|y|&)?\s*"
    r"(?P<oz>[\d./⁄ ,]+?)\s*(?:ozs?|ounces?|onzas?)?\.?",
    re.I,
)
_WITH_UNIT = re.compile(r"(?P<number>.*?[\d./⁄,])\s*(?P<unit>[^\W\d_]+|#|\")\.?")


@dataclass(frozen=True)
class Reading:
    """What a cell says. `unit` is the unit typed in the cell, `other` the second possible value."""

    value: float | None
    how: How
    unit: str | None = None
    other: float | None = None


_BLANK = Reading(None, "blank")
_UNREADABLE = Reading(None, "unreadable")


def is_blank(text: str) -> bool:
    """Return whether the cell says that nothing was recorded."""
    return text.strip().casefold() in BLANKS


def tidy(text: str) -> str:
    """Return the cell with full-width digits, odd spaces and minus signs turned into the usual ones."""
    spread = _VULGAR.sub(" ", text)
    return re.sub(r"\s+", " ", unicodedata.normalize("NFKC", spread).replace("−", "-")).strip()


def read_number(text: str) -> Reading:
    """Return the number in a cell."""
    if is_blank(text):
        return _BLANK
    cell = tidy(text)
    bare = _ABOUT.sub("", cell)
    if _PLAIN.fullmatch(bare):
        return Reading(float(bare), "plain" if bare == cell else "read as")
    if _COMMA_EITHER.fullmatch(bare):
        return Reading(float(bare.replace(",", "")), "two ways", other=float(bare.replace(",", ".")))
    value = _odd_number(bare)
    return _UNREADABLE if value is None else Reading(value, "read as")


def _odd_number(bare: str) -> float | None:
    """Return the number in a form that has exactly one reading, or None."""
    if _THOUSANDS.fullmatch(bare):
        return float(re.sub(r"[, ']", "", bare))
    if _POINT_THOUSANDS.fullmatch(bare):
        return float(bare.replace(".", "").replace(",", "."))
    if _COMMA.fullmatch(bare):
        return float(bare.replace(",", "."))
    if _SCIENTIFIC.fullmatch(bare):
        return float(bare)
    if fraction := _FRACTION.fullmatch(bare):
        return float(fraction["whole"] or 0) + int(fraction["top"]) / int(fraction["bottom"])
    return None


def read_weight(text: str, unit: str | None = None) -> Reading:
    """Return the weight in a cell, in kilograms; a unit in the cell wins over `unit`.

    Without any unit the value is the bare number: the caller decides what it was weighed in.
    """
    if is_blank(text):
        return _BLANK
    cell = tidy(text)
    mixed = _POUNDS_OUNCES.fullmatch(_ABOUT.sub("", cell))
    if mixed and (ounces := read_number(mixed["oz"])).value is not None:
        kilograms = int(mixed["lb"]) * KG_PER_UNIT["lb"] + ounces.value * KG_PER_UNIT["oz"]
        return Reading(kilograms, "read as", "lb oz")
    if _RANGE.fullmatch(cell) and unit in ("lb", None):
        pounds, ounces_text = re.split(r"\s*[-–]\s*", cell)
        kilograms = int(pounds) * KG_PER_UNIT["lb"] + int(ounces_text) * KG_PER_UNIT["oz"]
        return Reading(kilograms, "two ways", None, int(pounds) * KG_PER_UNIT["lb"])
    return _measured(cell, unit, WEIGHT_UNITS, KG_PER_UNIT)


def read_length(text: str, unit: str = "cm") -> Reading:
    """Return the length in a cell, in centimetres; a unit in the cell wins over `unit`."""
    return _BLANK if is_blank(text) else _measured(tidy(text), unit, LENGTH_UNITS, CM_PER_UNIT)


def read_percent(text: str) -> Reading:
    """Return the percentage in a cell; a percent sign may follow the number."""
    cell = tidy(text)
    return read_number(cell.removesuffix("%").rstrip()) if cell != "%" else _UNREADABLE


def _measured(cell: str, unit: str | None, names: dict[str, str], size: dict[str, float]) -> Reading:
    """Return a number with an optional unit after it, in the base unit."""
    with_unit = _WITH_UNIT.fullmatch(cell)
    typed = names.get(with_unit["unit"].casefold()) if with_unit else None
    number = read_number(with_unit["number"] if with_unit and typed else cell)
    if number.value is None:
        known_number = with_unit is not None and read_number(with_unit["number"]).value is not None
        return Reading(None, "unit unknown") if known_number else number
    meant = typed or unit
    factor = size[meant] if meant else 1.0
    how: How = "read as" if typed and number.how == "plain" else number.how
    other = None if number.other is None else number.other * factor
    return Reading(number.value * factor, how, typed, other)


def number(text: Any) -> tuple[Any, Any]:
    """Return the number in a cell and, where there is none, why not; arrays give two arrays."""
    return _apply(read_number, text)


def weight_kg(text: Any, unit: str | None = None) -> tuple[Any, Any]:
    """Return the weight in a cell in kilograms and, where there is none, why not; arrays give two arrays.

    `unit` (g, kg, oz, lb) is that of the column; a unit in the cell wins. Raises ValueError for a unit
    that is none of these.
    """
    if unit is not None and (unit := WEIGHT_UNITS.get(unit.casefold(), unit)) not in KG_PER_UNIT:
        raise ValueError(f"“{unit}” is not a unit of weight. Use g, kg, oz or lb.")

    def read(cell: str) -> Reading:
        found = read_weight(cell, unit)
        bare = found.value is not None and found.unit is None and unit is None and found.how != "two ways"
        return Reading(None, "unit unknown") if bare else found

    return _apply(read, text)


def date(text: Any, order: str = "mdy", season: Any = None) -> tuple[Any, Any]:
    """Return the day in a cell and, where there is none, why not; arrays give two arrays.

    `order` (mdy, dmy, ymd) settles a day that can be read in two ways, unless only one of them lies in
    `season` (first and last day).
    """
    return _apply(lambda cell: read_date(cell, order, season), text)


def _apply(read: Callable[[str], Any], text: Any) -> tuple[Any, Any]:
    if text is None or np.ndim(text) == 0:
        return _value_or_why(read, text)
    pairs = [_value_or_why(read, cell) for cell in text]
    values = np.array([pair[0] for pair in pairs], dtype=object)
    reasons = np.array([pair[1] for pair in pairs], dtype=object)
    only_numbers = all(isinstance(value, float) or value is None for value in values)
    return (values.astype(float) if only_numbers else values), reasons


def _value_or_why(read: Callable[[str], Any], cell: Any) -> tuple[Any, str | None]:
    missing = cell is None or (isinstance(cell, float) and np.isnan(cell))
    found = read("" if missing else str(cell))
    if found.how in ("plain", "read as"):
        return found.value, None
    return None, found.how
