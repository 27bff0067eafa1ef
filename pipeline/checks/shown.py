"""Values as people read them, in their language and units."""

from collections.abc import Callable, Mapping
from datetime import date
from gettext import NullTranslations
from typing import Any

from pipeline.checks.check import Kind
from pipeline.checks.names import column_name, sheet_name
from pipeline.intake.units import CM_PER_UNIT, KG_PER_UNIT
from pipeline.words import marked, translate

_MONTHS = (
    marked("January"),
    marked("February"),
    marked("March"),
    marked("April"),
    marked("May"),
    marked("June"),
    marked("July"),
    marked("August"),
    marked("September"),
    marked("October"),
    marked("November"),
    marked("December"),
)

#: A count that takes the plural.
PLURAL = 2


def shown(value: Any, kind: Kind, language: str = "en", units: str = "us") -> str:
    """Return a value of a finding as text."""
    if value is None:
        return ""
    if kind in _SHOW:
        return _SHOW[kind](value, language, units)
    return shown_number(value) if isinstance(value, (int, float)) else str(value)


def shown_number(value: float) -> str:
    """Return a number with commas between thousands and no more digits than matter."""
    return f"{value:,.0f}" if float(value).is_integer() else f"{value:,.3f}".rstrip("0").rstrip(".")


def shown_weight(kilograms: float, units: str = "us") -> str:
    """Return a weight: pounds with one decimal from 1 lb up, ounces below; else kilograms and grams."""
    sign = "−" if kilograms < 0 else ""
    size = abs(kilograms)
    if units == "us":
        pounds = size / KG_PER_UNIT["lb"]
        return (
            f"{sign}{pounds:,.1f} lb" if pounds >= 1 else f"{sign}{_two_digits(size / KG_PER_UNIT['oz'])} oz"
        )
    return f"{sign}{size:,.2f} kg" if size >= 1 else f"{sign}{_two_digits(size * 1000)} g"


def _two_digits(value: float) -> str:
    """Return a small number with the two digits that matter, a larger one whole."""
    return f"{value:.0f}" if value >= 10 else f"{float(f'{value:.2g}'):g}"


def shown_ounces(kilograms: float) -> str:
    """Return a weight in pounds and ounces, as a kitchen scale shows it."""
    pounds, ounces = divmod(kilograms / KG_PER_UNIT["oz"], 16)
    return f"{pounds:.0f} lb {_two_digits(ounces)} oz"


def shown_length(centimetres: float, units: str = "us") -> str:
    """Return a length in inches, or in centimetres."""
    if units == "us":
        return f"{shown_number(round(centimetres / CM_PER_UNIT['in'], 1))} in"
    return f"{shown_number(round(centimetres, 1))} cm"


def shown_date(day: date, language: str = "en") -> str:
    """Return a day with its month as a word."""
    said = translate(language)
    month = said.gettext(_MONTHS[day.month - 1])
    return said.gettext("{month} {day}, {year}").format(month=month, day=day.day, year=day.year)


def shown_choice(choice: Mapping[str, Any], units: str = "us") -> str:
    """Return one reading of a typed number: a number in its unit, and in the reader's where it differs."""
    usual = shown_weight(choice["kg"], units)
    typed = f"{shown_number(round(choice['number'], 3))} {choice['unit']}"
    return typed if usual.endswith(f" {choice['unit']}") else f"{typed} ({usual})"


def _choices(value: Mapping[str, Any], language: str, units: str) -> str:
    """Return the readings of a weight that there are, or the one reading of a count."""
    if "n" in value:
        return _fruits(value, language, units)
    readings = [shown_choice(reading, units) for reading in value.values() if reading is not None]
    return translate(language).gettext(" or ").join(dict.fromkeys(readings))


def _date(value: Any, language: str, _: str) -> str:
    return shown_date(value if isinstance(value, date) else date.fromisoformat(str(value)), language)


def _word(value: Mapping[str, str | None], language: str, _: str) -> str:
    return value[language] or ""


def _fruits(value: Mapping[str, Any], language: str, _: str) -> str:
    return f"{shown_number(value['n'])} {value[language] or ''}".strip()


def _counted(count: Callable[[NullTranslations, int], str]) -> Callable[[float, str, str], str]:
    def show(value: float, language: str, _: str) -> str:
        rounded = round(value, 1)
        # A number with decimals, 0.5 or 1.5, takes the plural in both languages.
        whole = int(rounded) if rounded.is_integer() else PLURAL
        return count(translate(language), whole).format(n=shown_number(rounded))

    return show


def _percent(value: float, language: str, _: str) -> str:
    return translate(language).gettext("{n} percent").format(n=shown_number(value))


_SHOW: dict[Kind, Callable[[Any, str, str], str]] = {
    "weight": lambda value, _, units: shown_weight(float(value), units),
    "weight in ounces": lambda value, _, __: shown_ounces(float(value)),
    "length": lambda value, _, units: shown_length(float(value), units),
    "date": _date,
    "percent": _percent,
    "hours": _counted(lambda said, n: said.ngettext("{n} hour", "{n} hours", n)),
    "plants": _counted(lambda said, n: said.ngettext("{n} plant", "{n} plants", n)),
    "volunteers": _counted(lambda said, n: said.ngettext("{n} volunteer", "{n} volunteers", n)),
    "fruits": _fruits,
    "crop": _word,
    "word": _word,
    "choices": _choices,
    "column": lambda value, language, _: column_name(str(value), language),
    "sheet": lambda value, language, _: sheet_name(str(value), language),
}
