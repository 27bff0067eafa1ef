"""Weights, lengths, hours and amounts: numbers with a unit in the cell, the row, the header or nowhere."""

import re
from collections.abc import Mapping

from pipeline.intake.numbers import (
    BLANK,
    LONGEST_NUMBER,
    UNREADABLE,
    Mark,
    Reading,
    is_blank,
    read_number,
    tidy,
    without_about,
)
from pipeline.intake.units import (
    CM_PER_UNIT,
    KG_PER_UNIT,
    LENGTH_UNITS,
    OUNCES_PER_POUND,
    POUNDS_AND_OUNCES,
    WEIGHT_UNITS,
)

_POUND, _OUNCE = r"(?:(?:lbs?|pounds?|libras?|#)\.?)", r"(?:(?:ozs?|ounces?|onzas?)\.?)"
_POUNDS_OUNCES = re.compile(
    rf"(?P<lb>[0-9]+)\s*{_POUND}\s*(?:,|-|and|y|&|\+)?\s*(?P<oz>[0-9./⁄, ]+?)\s*{_OUNCE}?", re.I
)
_KILOS_GRAMS = re.compile(
    r"(?P<kg>[0-9]+)\s*(?:kgs?|kilos?)\.?\s*(?:,|and|y|con|&|\+)?\s*(?P<g>[0-9]{1,3})\s*(?:grs?|gramos?|grams?|g)?\.?",
    re.I,
)
_PAIR = re.compile(r"(?P<lb>[0-9]+)\s*[-–]\s*(?P<oz>[0-9]{1,2})")
_PAIR_OF_COLUMN = re.compile(r"(?P<lb>[0-9]+)(?:\s*[-–:;']\s*|\s+)(?P<oz>[0-9]{1,2})")
_FEET_INCHES = re.compile(
    r"(?P<ft>[0-9]+)\s*(?:ft|feet|foot|pies?|')\.?\s*"
    r"(?P<in>[0-9./⁄ ]+?)\s*(?:in|ins|inch|inches|pulgadas?|\"|'')?\.?",
    re.I,
)
_WITH_UNIT = re.compile(r"(?P<number>.*?[0-9./⁄,])\s*(?P<unit>[^\W\d_]+(?:[' ][^\W\d_]+)*|#|\"|')\.?")
_UNIT_FIRST = re.compile(r"(?P<unit>[^\W\d_]+|#)\.?\s*(?P<number>[0-9.,/⁄ ]+)")
_CLOCK = re.compile(r"(?P<hours>[0-9]{1,3}):(?P<minutes>[0-5][0-9])(?::[0-5][0-9](?:\.0+)?)?")
_HOURS_MINUTES = re.compile(
    r"(?P<hours>[0-9]+)\s*(?:h|hr|hrs|hours?|horas?)\.?\s*(?:and|y|con)?\s*(?P<minutes>[0-5]?[0-9])\s*(?:m|min|mins|minutes?|minutos?)?\.?",
    re.I,
)
_HOUR_WORDS = {
    **dict.fromkeys(["h", "hr", "hrs", "hour", "hours", "hora", "horas"], 1.0),
    **dict.fromkeys(["m", "min", "mins", "minute", "minutes", "minuto", "minutos"], 1 / 60),
}


def read_weight(text: str, unit: str | None = None, mark: Mark | None = None) -> Reading:
    """Return the weight in a cell, in kilograms; a unit in the cell wins over `unit`.

    `unit` is g, kg, oz, lb, or `lb oz` for a scale that shows both. Without any unit the value is the bare
    number: the caller decides what it was weighed in.
    """
    if is_blank(text):
        return BLANK
    if len(text) > LONGEST_NUMBER:
        return UNREADABLE
    cell = without_about(tidy(text))
    if mixed := _POUNDS_OUNCES.fullmatch(cell):
        return _pounds_ounces(mixed["lb"], mixed["oz"], mark)
    if mixed := _KILOS_GRAMS.fullmatch(cell):
        return Reading(float(mixed["kg"]) + float(mixed["g"]) / 1000, "read as", "kg")
    if unit == POUNDS_AND_OUNCES and (pair := _PAIR_OF_COLUMN.fullmatch(cell)) and _are_ounces(pair["oz"]):
        return _pounds_ounces(pair["lb"], pair["oz"], mark)
    if unit in ("lb", None) and (pair := _PAIR.fullmatch(cell)) and _are_ounces(pair["oz"]):
        decimal = float(f"{pair['lb']}.{pair['oz']}") * KG_PER_UNIT["lb"]
        return Reading(_pounds_ounces(pair["lb"], pair["oz"], mark).value, "two ways", None, decimal)
    bare = "lb" if unit == POUNDS_AND_OUNCES else unit
    return _measured(tidy(text), bare, WEIGHT_UNITS, KG_PER_UNIT, mark)


def _are_ounces(text: str) -> bool:
    return int(text) < OUNCES_PER_POUND


def _pounds_ounces(pounds: str, ounces: str, mark: Mark | None) -> Reading:
    second = read_number(ounces, mark)
    if second.value is None or second.how == "two ways":
        return UNREADABLE
    kilograms = float(pounds) * KG_PER_UNIT["lb"] + second.value * KG_PER_UNIT["oz"]
    return Reading(kilograms, "read as", POUNDS_AND_OUNCES)


def read_length(text: str, unit: str | None = "cm", mark: Mark | None = None) -> Reading:
    """Return the length in a cell, in centimetres; a unit in the cell wins over `unit`."""
    if is_blank(text):
        return BLANK
    if len(text) > LONGEST_NUMBER:
        return UNREADABLE
    if mixed := _FEET_INCHES.fullmatch(without_about(tidy(text))):
        inches = read_number(mixed["in"], mark)
        if inches.value is not None and inches.how != "two ways":
            return Reading(float(mixed["ft"]) * 30.48 + inches.value * 2.54, "read as", "ft")
    return _measured(tidy(text), unit, LENGTH_UNITS, CM_PER_UNIT, mark)


def read_hours(text: str, mark: Mark | None = None) -> Reading:
    """Return the hours in a cell: 1.5, 1:30, 1 h 30 min or 90 min."""
    if is_blank(text):
        return BLANK
    if len(text) > LONGEST_NUMBER:
        return UNREADABLE
    cell = without_about(tidy(text))
    if parts := _CLOCK.fullmatch(cell) or _HOURS_MINUTES.fullmatch(cell):
        return Reading(float(parts["hours"]) + int(parts["minutes"]) / 60, "read as", "h")
    with_unit = _WITH_UNIT.fullmatch(cell)
    factor = _HOUR_WORDS.get(with_unit["unit"].casefold()) if with_unit else None
    if with_unit is None or factor is None:
        return read_number(text, mark)
    return _told(read_number(with_unit["number"], mark)).times(factor, "h")


def read_amount(text: str, mark: Mark | None = None) -> Reading:
    """Return the number of an amount such as `2 gal`, with whatever unit was typed after it."""
    number = read_number(text, mark)
    if number.how != "unreadable" or len(text) > LONGEST_NUMBER:
        return number
    with_unit = _WITH_UNIT.fullmatch(tidy(text))
    if with_unit is None:
        return number
    return _told(read_number(with_unit["number"], mark)).times(1.0, with_unit["unit"])


def _told(number: Reading) -> Reading:
    """Return the reading as one to be told: a unit was typed with the number."""
    return Reading(number.value, "read as") if number.how == "plain" else number


def _measured(
    cell: str, unit: str | None, names: Mapping[str, str], size: Mapping[str, float], mark: Mark | None
) -> Reading:
    """Return a number with an optional unit after or before it, in the base unit."""
    with_unit = _WITH_UNIT.fullmatch(cell) or _known_first(cell, names)
    typed = names.get(with_unit["unit"].casefold()) if with_unit else None
    number = read_number(with_unit["number"] if with_unit and typed else cell, mark)
    if number.value is None:
        known_number = with_unit is not None and read_number(with_unit["number"]).value is not None
        return Reading(None, "unit unknown") if known_number else number
    meant = typed or unit
    told = _told(number) if typed else number
    return told.times(size[meant] if meant else 1.0, typed)


def _known_first(cell: str, names: Mapping[str, str]) -> re.Match[str] | None:
    """Return the parts of a cell such as `lb 2.5`, whose unit stands in front."""
    found = _UNIT_FIRST.fullmatch(without_about(cell))
    return found if found and found["unit"].casefold() in names else None
