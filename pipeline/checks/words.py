"""Findings in words: what we saw, why we ask, how to mend it, in the reader's language and units."""

import csv
import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Protocol

from pipeline.checks.check import Kind, Say
from pipeline.checks.names import column_name
from pipeline.checks.shown import shown, shown_date, shown_number, shown_weight
from pipeline.intake.sheets import NUMBER_KINDS, sheets
from pipeline.words import translate

__all__ = ["Words", "catalogue_words", "in_words", "shown_date", "shown_number", "shown_weight", "values_of"]

#: A message quotes at most this many characters of what was sent.
QUOTED = 60

_SENTENCE_END = re.compile(r"(?<=[.?!])\s+")
_PLACEHOLDER = re.compile(r"\{(\w+)\}")
#: A sentence that answers the one before it; without that one it stands by itself.
_ANSWERS = re.compile(r"(?:If not, |Or |Si no, |O bien, |O )(?P<rest>\S.*)", re.DOTALL)


class Spoken(Protocol):
    """A check of any kind: what its message says."""

    @property
    def say(self) -> Mapping[str, Say]:
        """What the message holds, by placeholder."""


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


def in_words(
    check: str, values: Mapping[str, str], language: str = "en", *, names_place: bool = True
) -> Words:
    """Return the words of a check with its values filled in; `values` are ready text.

    Without `names_place` the message begins behind the row, plot and day that it is about, for a page that
    has named them.

    Where the check counts something and there is one of it, its words for one are used. A sentence whose
    value is missing is left out, and the next one does not answer it; of the first sentence only the part up
    to the comma is left out, where that is the part that lacks its value.
    """
    words, said = catalogue_words()[check], translate(language)
    one, many = words["message_one_en"], words["message_en"]
    if one:
        count = _count(values.get(words["plural_on"], ""))
        message = said.npgettext(f"{check} message", one, many, count)
    else:
        message = said.pgettext(f"{check} message", many)
    parts = ("why", "remedy", "if_nothing")
    others = (said.pgettext(f"{check} {part}", words[f"{part}_en"]) for part in parts)
    if not names_place:
        message = _behind_place(message)
    return Words(_filled(message, values, is_message=True), *(_filled(text, values) for text in others))


def _count(shown: str) -> int:
    """Return the whole number that a ready text stands for; the plural of 2 where it stands for none."""
    digits = shown.replace(",", "")
    return int(digits) if digits.isdecimal() else 2


def _filled(text: str, values: Mapping[str, str], *, is_message: bool = False) -> str:
    said: list[str] = []
    was_left_out = False
    for at, sentence in enumerate(_SENTENCE_END.split(text)):
        known = _place_known(sentence, values) if is_message and at == 0 else sentence
        if not _is_known(known, values):
            was_left_out = True
            continue
        answer = _ANSWERS.fullmatch(known) if was_left_out else None
        if answer is not None:
            known = answer["rest"][0].upper() + answer["rest"][1:]
        said.append(known.format_map(values))
        was_left_out = False
    return " ".join(said)


def _is_known(text: str, values: Mapping[str, str]) -> bool:
    return all(values.get(name) for name in _PLACEHOLDER.findall(text))


def _behind_place(message: str) -> str:
    """Return a message without the place (row, plot, day) that it begins with; one without a place whole."""
    place, colon, rest = message.partition(": ")
    if not colon or "{line}" not in place or _SENTENCE_END.search(place):
        return message
    return rest[0].upper() + rest[1:]


def _place_known(sentence: str, values: Mapping[str, str]) -> str:
    """Return a sentence that begins with a place (row, plot, day) without the parts that are not known."""
    place, colon, rest = sentence.partition(": ")
    if not colon or _is_known(place, values):
        return sentence
    parts = [part for part in place.split(", ") if _is_known(part, values)]
    if parts:
        return f"{', '.join(parts)}: {rest}"
    return rest[0].upper() + rest[1:] if rest[0].isalpha() else rest


def values_of(
    check: Spoken | None, finding: Mapping[str, Any], language: str = "en", units: str = "us"
) -> dict[str, str]:
    """Return the values of a finding as text, ready to be put into a message.

    `finding` is a row of a findings frame with `file` as a name.
    """
    column = str(finding.get("column") or "")
    values = {
        "file": str(finding.get("file") or ""),
        "line": str(finding.get("line") or ""),
        "column": column_name(column, language) if column else "",
        "plot": str(finding.get("plot") or ""),
        "garden": str(finding.get("garden") or finding.get("site") or ""),
        "sent": quoted(finding.get("sent") or ""),
    }
    for name, value in json.loads(finding.get("details") or "{}").items():
        kind = _kind(check, name)
        values[name] = shown(value, _kind_of_cell(finding) if kind == "cell" else kind, language, units)
    return values


def quoted(text: str) -> str:
    """Return as much of what was sent as a message quotes."""
    return text if len(text) <= QUOTED else text[: QUOTED - 1] + "…"


#: What the findings of whole files say, and a reading that every finding about a number has.
_COMMON: dict[str, Kind] = {"sheet": "sheet", "column": "column", "read": "cell"}


def _kind(check: Spoken | None, name: str) -> Kind:
    if check is not None and name in check.say:
        return check.say[name].kind
    return _COMMON.get(name, "text")


@cache
def _column_kinds() -> dict[tuple[str, str], str]:
    return {(name, column.name): column.kind for name, sheet in sheets().items() for column in sheet.columns}


def _kind_of_cell(finding: Mapping[str, Any]) -> Kind:
    """Return the kind of a cell's value, that of its column."""
    sheet = str(finding.get("sheet") or finding.get("kind") or "")
    column = str(finding.get("column") or "")
    kind = _column_kinds().get((sheet, column), "weight" if column.endswith("_weight") else "number")
    shown_alike: dict[str, Kind] = {"weight": "weight", "length": "length", "date": "date"}
    return shown_alike.get(kind, "number" if kind in NUMBER_KINDS else "text")
