"""The grammar of numbers: what a cell says, in how many ways it can be read.

A cell has a plain value, a value that we read in a way to be told (`read as`), two possible values
(`two ways`), none (`blank`), or cannot be read. Nothing is guessed: where two readings are possible both
are returned, and it takes the decimal mark of the file's other cells to settle them.
"""

import math
import re
import unicodedata
from collections.abc import Collection
from dataclasses import dataclass, replace
from typing import Literal

How = Literal[
    "plain",
    "blank",
    "read as",
    "two ways",
    "unreadable",
    "unit unknown",
    "broken formula",
    "no result",
    "two columns",
]

#: The decimal mark that the other cells of a file show.
Mark = Literal[".", ","]
MarkShown = Literal["decimal comma", "thousands comma", "decimal point"]

#: What people write for nothing recorded. Zero is not among them.
BLANKS = frozenset(
    ["", "na", "n/a", "n.a.", "none", "ninguno", "ninguna", "s/d", "null", "nan"]
    + [dash * count for dash in "-–—" for count in range(1, 6)]
)

#: A longer cell is no number; it keeps the grammar's patterns from long work on pasted text.
LONGEST_NUMBER = 60

_ABOUT = re.compile(
    r"^(?:~|≈|±|about|approx(?:imately|\.)?|ca\.|circa|aprox(?:imadamente|\.)?|cerca de|como|unos|unas)\s*",
    re.I,
)
_PLAIN = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)")
_SCIENTIFIC = re.compile(r"[+-]?[0-9](?:\.[0-9]+)?[eE][+-]?[0-9]{1,2}")
_EITHER_COMMA = re.compile(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}")
_EITHER_POINT = re.compile(r"[+-]?[1-9][0-9]{0,2}\.[0-9]{3}")
_DECIMAL_COMMA = re.compile(r"[+-]?[0-9]*,[0-9]+")
_SPACED_COMMA = re.compile(r"[+-]?[1-9][0-9]{0,2}(?:[ '.][0-9]{3})+,[0-9]+")
_COMMA_THOUSANDS = re.compile(
    r"[+-]?[1-9][0-9]{0,2}(?:,[0-9]{3})+\.[0-9]+|[+-]?[1-9][0-9]{0,2}(?:,[0-9]{3}){2,}"
)
_POINT_THOUSANDS = re.compile(r"[+-]?[1-9][0-9]{0,2}(?:\.[0-9]{3}){2,}")
_SPACE_THOUSANDS = re.compile(r"[+-]?[1-9][0-9]{0,2}(?:[ '][0-9]{3})+(?:\.[0-9]+)?")
_FRACTION = re.compile(
    r"(?P<whole>[0-9]+)?(?:\s+|-|(?<=[0-9])(?=[0-9]+[/⁄]))?(?P<top>[0-9]+)\s*[/⁄]\s*(?P<bottom>[1-9][0-9]*)"
)
_VULGAR = re.compile(r"(?<=[0-9])(?=[¼-¾⅐-⅞])")


@dataclass(frozen=True)
class Reading:
    """What a cell says. `unit` is the unit typed in the cell, `other` the second possible value."""

    value: float | None
    how: How
    unit: str | None = None
    other: float | None = None

    def times(self, factor: float, unit: str | None) -> "Reading":
        """Return the reading with its values in another size and the unit that was typed."""
        value = None if self.value is None else self.value * factor
        if value is not None and not math.isfinite(value):
            return UNREADABLE
        return replace(
            self, value=value, other=None if self.other is None else self.other * factor, unit=unit
        )


BLANK = Reading(None, "blank")
UNREADABLE = Reading(None, "unreadable")


def is_blank(text: str) -> bool:
    """Return whether the cell says that nothing was recorded."""
    return text.strip().casefold() in BLANKS


def tidy(text: str) -> str:
    """Return the cell with full-width digits, odd spaces and minus signs turned into the usual ones.

    An apostrophe in front, by which a spreadsheet marks a number as text, is taken away.
    """
    spread = _VULGAR.sub(" ", text)
    usual = unicodedata.normalize("NFKC", spread).replace("−", "-")
    return re.sub(r"\s+", " ", usual).strip().removeprefix("'")


def without_about(cell: str) -> str:
    """Return the cell without a word or sign in front that says the value is rough."""
    return _ABOUT.sub("", cell)


def read_number(text: str, mark: Mark | None = None) -> Reading:
    """Return the number in a cell; `mark` is the decimal mark that the file's other cells show, if any."""
    if is_blank(text):
        return BLANK
    if len(text) > LONGEST_NUMBER:
        return UNREADABLE
    cell = tidy(text)
    bare = without_about(cell)
    if _EITHER_COMMA.fullmatch(bare) or (mark == "," and _EITHER_POINT.fullmatch(bare)):
        return _either(bare, mark)
    if _PLAIN.fullmatch(bare):
        return _finite(float(bare), "plain" if bare == cell else "read as")
    value = _odd_number(bare)
    return UNREADABLE if value is None else _finite(value, "read as")


def _either(bare: str, mark: Mark | None) -> Reading:
    """Return the reading of a number with one mark before exactly three digits."""
    thousands = float(bare.replace(",", "").replace(".", ""))
    decimal = float(bare.replace(",", "."))
    if "," in bare and mark is not None:
        return Reading(decimal if mark == "," else thousands, "read as")
    return Reading(thousands, "two ways", other=decimal)


def _finite(value: float, how: How) -> Reading:
    return Reading(value, how) if math.isfinite(value) else UNREADABLE


def _odd_number(bare: str) -> float | None:
    """Return the number in a form that has exactly one reading, or None."""
    if _COMMA_THOUSANDS.fullmatch(bare) or _SPACE_THOUSANDS.fullmatch(bare):
        return float(re.sub(r"[, ']", "", bare))
    if _POINT_THOUSANDS.fullmatch(bare):
        return float(bare.replace(".", ""))
    if _DECIMAL_COMMA.fullmatch(bare):
        return float(bare.replace(",", "."))
    if _SPACED_COMMA.fullmatch(bare):
        return float(re.sub(r"[ '.]", "", bare).replace(",", "."))
    if _SCIENTIFIC.fullmatch(bare):
        return float(bare)
    if fraction := _FRACTION.fullmatch(bare):
        return float(fraction["whole"] or 0) + float(fraction["top"]) / float(fraction["bottom"])
    return None


def read_percent(text: str, mark: Mark | None = None) -> Reading:
    """Return the percentage in a cell; a percent sign may follow the number."""
    cell = text.strip()
    return read_number(cell.removesuffix("%"), mark) if cell != "%" else UNREADABLE


def mark_shown(text: str) -> MarkShown | None:
    """Return what a number shows of its marks, or None where it has none or could be read either way."""
    bare = without_about(tidy(text[:LONGEST_NUMBER]))
    if _EITHER_COMMA.fullmatch(bare) or _EITHER_POINT.fullmatch(bare):
        return None
    if _DECIMAL_COMMA.fullmatch(bare) or _SPACED_COMMA.fullmatch(bare) or _POINT_THOUSANDS.fullmatch(bare):
        return "decimal comma"
    if _COMMA_THOUSANDS.fullmatch(bare):
        return "thousands comma"
    return "decimal point" if _PLAIN.fullmatch(bare) and "." in bare else None


def settled_mark(shown: Collection[MarkShown]) -> Mark | None:
    """Return the decimal mark that a file's numbers agree on, or None.

    A decimal point alone does not settle what a comma is: people who write 4.5 also slip into 1,234 for
    one and a bit, on the number pad of another keyboard.
    """
    if "decimal comma" in shown:
        return "," if len(shown) == 1 else None
    return "." if "thousands comma" in shown else None
