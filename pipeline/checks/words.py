"""Findings in words: what we saw, why we ask, how to mend it, in the reader's language and units."""

import csv
import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from importlib.resources import files
from typing import Any

from pipeline.checks.check import Check, Kind
from pipeline.intake.units import KG_PER_UNIT

#: A message quotes at most this many characters of what was sent.
QUOTED = 60

_MONTHS = {
    "en": [
        "January",
        "February",
        "March",
        "April",
        "May",
        "June",
        "July",
        "August",
        "September",
        "October",
        "November",
        "December",
    ],
    "es": [
        "enero",
        "febrero",
        "marzo",
        "abril",
        "mayo",
        "junio",
        "julio",
        "agosto",
        "septiembre",
        "octubre",
        "noviembre",
        "diciembre",
    ],
}
_SENTENCE_END = re.compile(r"(?<=[.?!])\s+")
_PLACEHOLDER = re.compile(r"\{(\w+)\}")


@dataclass(frozen=True)
class Words:
    """What is said about one finding."""

    message: str
    why: str
    remedy: str
    if_nothing: str


@cache
def catalogue_words() -> dict[str, dict[str, str]]:
    """Return the words of every check by its name."""
    with (files("pipeline.checks") / "words.csv").open(encoding="utf-8") as lines:
        return {row["check"]: row for row in csv.DictReader(lines)}


def in_words(check: str, values: Mapping[str, str], language: str = "en", count: int | None = None) -> Words:
    """Return the words of a check with its values filled in; `values` are ready text.

    A sentence whose value is missing is left out, as the voice asks.
    """
    words = catalogue_words()[check]
    one = words.get(f"message_one_{language}", "")
    message = one if count == 1 and one else words[f"message_{language}"]
    parts = (message, words[f"why_{language}"], words[f"remedy_{language}"], words[f"if_nothing_{language}"])
    return Words(*(_filled(part, values) for part in parts))


def _filled(text: str, values: Mapping[str, str]) -> str:
    sentences = [
        sentence
        for sentence in _SENTENCE_END.split(text)
        if all(values.get(name) for name in _PLACEHOLDER.findall(sentence))
    ]
    return " ".join(sentence.format_map(values) for sentence in sentences)


def values_of(check: Check | None, finding: Mapping[str, Any], language: str, units: str) -> dict[str, str]:
    """Return the values of a finding as text, ready to be put into a message.

    `finding` is a row of a findings frame with `file` as a name.
    """
    sent = finding.get("sent") or ""
    values = {
        "file": str(finding.get("file") or ""),
        "line": str(finding.get("line") or ""),
        "column": str(finding.get("column") or "").replace("_", " "),
        "plot": str(finding.get("plot") or ""),
        "garden": str(finding.get("garden") or finding.get("site") or ""),
        "sent": sent if len(sent) <= QUOTED else sent[: QUOTED - 1] + "…",
    }
    for name, value in json.loads(finding.get("details") or "{}").items():
        kind: Kind = check.say[name].kind if check is not None and name in check.say else "text"
        values[name] = "" if value is None else shown(value, _kind_in(kind, finding), language, units)
    return values


def _kind_in(kind: Kind, finding: Mapping[str, Any]) -> Kind:
    """Return the kind of a value, that of a cell by its column."""
    if kind != "cell":
        return kind
    return "weight" if str(finding.get("column") or "").endswith("_weight") else "number"


def shown(value: Any, kind: Kind, language: str = "en", units: str = "us") -> str:
    """Return a value as people read it."""
    if kind == "weight":
        return shown_weight(float(value), units)
    if kind == "date":
        return shown_date(value if isinstance(value, date) else date.fromisoformat(str(value)), language)
    if kind in ("fruits", "plants"):
        return _counted(float(value), kind, language)
    return shown_number(value) if isinstance(value, (int, float)) else str(value)


def shown_number(value: float) -> str:
    """Return a number with commas between thousands and no more digits than matter."""
    return f"{value:,.0f}" if float(value).is_integer() else f"{value:,.3f}".rstrip("0").rstrip(".")


def shown_weight(kilograms: float, units: str) -> str:
    """Return a weight: pounds with one decimal from 1 lb up, ounces below; else kilograms and grams."""
    sign = "−" if kilograms < 0 else ""
    size = abs(kilograms)
    if units == "us":
        pounds = size / KG_PER_UNIT["lb"]
        return f"{sign}{pounds:,.1f} lb" if pounds >= 1 else f"{sign}{size / KG_PER_UNIT['oz']:.2g} oz"
    return f"{sign}{size:,.2f} kg" if size >= 1 else f"{sign}{size * 1000:.3g} g"


def shown_date(day: date, language: str = "en") -> str:
    """Return a day with its month as a word."""
    month = _MONTHS[language][day.month - 1]
    return f"{day.day} de {month} de {day.year}" if language == "es" else f"{month} {day.day}, {day.year}"


_NOUNS = {
    ("fruits", "en"): ("fruit", "fruits"),
    ("fruits", "es"): ("fruto", "frutos"),
    ("plants", "en"): ("plant", "plants"),
    ("plants", "es"): ("planta", "plantas"),
}


def _counted(value: float, noun: str, language: str) -> str:
    singular, plural = _NOUNS[noun, language]
    return f"{shown_number(value)} {singular if value == 1 else plural}"
