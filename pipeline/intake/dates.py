"""Days as people and spreadsheets write them.

A day such as 3/4/2025 can be read in two ways. The clear days of the same file settle it, else the
network's order; a reading out of season gives way to one in season.
"""

import re
import unicodedata
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from pipeline.intake.numbers import is_blank

How = Literal["plain", "blank", "read as", "unreadable"]
Form = Literal["iso", "ordered", "month name", "serial", "two digit year", "no year"]
Order = Literal["mdy", "dmy", "ymd"]
#: What settled a day with two readings; `nothing` where it was read in the network's order for want of more.
Settled = Literal["network", "file", "season", "nothing"]
#: How a spreadsheet counts its days.
System = Literal["1900", "1904"]
#: First and last day of one season.
Season = tuple[date, date]

#: Day 0 of the 1900 date system of spreadsheets; its serial 60 is a day that never was.
EPOCH_1900 = date(1899, 12, 30)
#: Days between the 1900 and the 1904 date system.
DAYS_1904 = 1462
#: Serial numbers taken for days: 2009-07-06 to 2064-04-08. A plot count or a weight is far from these.
SERIALS = range(40_000, 60_001)
#: Years that a record of a trial can hold; beyond lies a slip of the pen.
YEARS = range(1900, 2100)
#: A longer cell is no day.
LONGEST_DATE = 60

_MONTH_NAMES = """
    jan january ene enero; feb february febrero; mar march marzo; apr april abr abril; may mayo;
    jun june junio; jul july julio; aug august ago agosto; sep sept september set septiembre setiembre;
    oct october octubre; nov november noviembre; dec december dic diciembre
"""
_MONTHS = {
    name: month for month, names in enumerate(_MONTH_NAMES.split(";"), start=1) for name in names.split()
}
_ISO = re.compile(r"([0-9]{4})-([0-9]{1,2})-([0-9]{1,2})")
_YEAR_FIRST = re.compile(r"([0-9]{4})[/. ]([0-9]{1,2})[/. ]([0-9]{1,2})|([0-9]{4})([0-9]{2})([0-9]{2})")
_ISO_WEEK = re.compile(r"([0-9]{4})-?W([0-9]{2})-?([1-7])", re.I)
_ISO_DAY_OF_YEAR = re.compile(r"([0-9]{4})-([0-9]{3})")
_SERIAL = re.compile(r"([0-9]{5})(?:\.[0-9]+)?")
_NUMERIC = re.compile(r"([0-9]{1,2})([/.\- ])([0-9]{1,2})\2([0-9]{4}|[0-9]{2})")
_NO_YEAR = re.compile(r"([0-9]{1,2})[/.\-]([0-9]{1,2})")
# "mar" is left out: it is March as well as the Spanish Tuesday.
_DAY_NAME = re.compile(
    r"^(?:(?:mon|tues?|wed(?:nes)?|thu(?:rs?)?|fri|sat(?:ur)?|sun)(?:day)?"
    r"|lun(?:es)?|martes|mie(?:rcoles)?|jue(?:ves)?|vie(?:rnes)?|sab(?:ado)?|dom(?:ingo)?)\.?,?\s+"
)
_TIME = re.compile(
    r"[T ][0-9]{1,2}:[0-9]{2}(?::[0-9]{2}(?:\.[0-9]+)?)?(?:\s*[ap]\.?\s?m\.?)?(?:Z|[+-][0-9]{2}:?[0-9]{2})?$",
    re.I,
)
_DAY_MONTH = re.compile(
    r"([0-9]{1,2})(?:st|nd|rd|th|ro|o|º)?[\s\-/.,]*(?:of |de )?([a-z]{3,})\.?"
    r"(?:[\s\-/.,]*(?:de |del )?([0-9]{4}|[0-9]{2}))?"
)
_MONTH_DAY = re.compile(
    r"([a-z]{3,})\.?[\s\-/.]*([0-9]{1,2})(?:st|nd|rd|th)?(?:[\s\-/.,]+([0-9]{4}|[0-9]{2}))?"
)


@dataclass(frozen=True)
class DateReading:
    """What a cell says as a day.

    `form` is how it was written. Where it can be read in two ways, `other` is the second day and `settled`
    says what decided between them.
    """

    value: date | None
    how: How
    form: Form | None = None
    other: date | None = None
    settled: Settled | None = None


_BLANK = DateReading(None, "blank")
_UNREADABLE = DateReading(None, "unreadable")


def read_date(
    text: str,
    order: str = "mdy",
    seasons: Sequence[Season] = (),
    settled_by: Settled = "network",
    system: System | None = None,
) -> DateReading:
    """Return the day in a cell.

    `order` (mdy, dmy, ymd) settles a day that can be read in two ways, and `settled_by` says whose order it
    is; where only one of the two lies in one of the `seasons`, that one is meant. `system` is the date
    system of the spreadsheet that the cell comes from; a text file does not say.
    """
    cell = _tidy(text)
    if is_blank(cell):
        return _BLANK
    if len(cell) > LONGEST_DATE:
        return _UNREADABLE
    if (found := _year_first(cell)) is not None:
        return found
    if match := _SERIAL.fullmatch(cell):
        return _serial(int(match[1]), seasons, system)
    if match := _NUMERIC.fullmatch(cell):
        return _numeric(match, order, seasons, settled_by)
    if match := _NO_YEAR.fullmatch(cell):
        pairs = [(int(match[1]), int(match[2])), (int(match[2]), int(match[1]))]
        return _without_year(pairs[::-1] if order == "dmy" else pairs, seasons)
    return _named(cell, seasons)


def _tidy(text: str) -> str:
    """Return the cell in small letters without accents, day name, time of day and stray marks."""
    letters = unicodedata.normalize("NFKD", text[: 4 * LONGEST_DATE].replace("º", "o")).casefold()
    plain = "".join(letter for letter in letters if not unicodedata.combining(letter))
    cell = re.sub(r"\s+", " ", plain).strip().removeprefix("'")
    cell = re.sub(r"(?<=[0-9])\s*([/.\-])\s*(?=[0-9])", r"\1", cell)
    return _DAY_NAME.sub("", _TIME.sub("", cell)).strip().rstrip(".,")


def _day(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day) if year in YEARS else None
    except ValueError:
        return None


def _read(day: date | None, how: How, form: Form) -> DateReading:
    return _UNREADABLE if day is None else DateReading(day, how, form)


def _year(text: str) -> int:
    return int(text) if len(text) == 4 else 2000 + int(text)


def _in_season(day: date | None, seasons: Sequence[Season]) -> bool:
    return day is not None and any(first <= day <= last for first, last in seasons)


def _year_first(cell: str) -> DateReading | None:
    """Return a day of ISO 8601 (calendar, week or day of the year) or with its year in front."""
    if match := _ISO.fullmatch(cell):
        return _read(_day(*(int(part) for part in match.groups())), "plain", "iso")
    if match := _YEAR_FIRST.fullmatch(cell):
        return _read(_day(*(int(part) for part in match.groups() if part)), "read as", "iso")
    if match := _ISO_WEEK.fullmatch(cell):
        try:
            return _read(date.fromisocalendar(int(match[1]), int(match[2]), int(match[3])), "read as", "iso")
        except ValueError:
            return _UNREADABLE
    if match := _ISO_DAY_OF_YEAR.fullmatch(cell):
        first = _day(int(match[1]), 1, 1)
        day = None if first is None else first + timedelta(days=int(match[2]) - 1)
        return _read(day if day and day.year == int(match[1]) else None, "read as", "iso")
    return None


def _serial(serial: int, seasons: Sequence[Season], system: System | None) -> DateReading:
    """Return the day of a spreadsheet's day number.

    Where the system is not known, 1904 is meant only where 1900 is out of season.
    """
    first = EPOCH_1900 + timedelta(days=serial)
    second = first + timedelta(days=DAYS_1904)
    if system is not None:
        return DateReading(first if system == "1900" else second, "read as", "serial")
    if serial not in SERIALS:
        return _UNREADABLE
    if not seasons or _in_season(first, seasons):
        return DateReading(first, "read as", "serial")
    return DateReading(second, "read as", "serial") if _in_season(second, seasons) else _UNREADABLE


def _numeric(match: re.Match[str], order: str, seasons: Sequence[Season], settled_by: Settled) -> DateReading:
    """Return the day of three numbers: in the given order, or in the only one that gives a day in season."""
    days = _by_order(match, seasons, takes_year_first=order == "ymd")
    form: Form = "two digit year" if len(match[4]) == 2 else "ordered"
    how: How = "read as" if form == "two digit year" else "plain"
    if not days:
        return _UNREADABLE
    mine = next((day for of, day in days.items() if of == order), None)
    others = [day for day in days.values() if day != mine]
    if mine is not None and not others:
        return DateReading(mine, how, form)
    if mine is None and len(set(others)) == 1:
        return DateReading(others[0], "read as", form)
    inside = {day for day in days.values() if _in_season(day, seasons)}
    if len(inside) == 1 and mine not in inside:
        (day,) = inside
        return DateReading(day, "read as", form, mine or next(o for o in others if o != day), "season")
    if mine is None:
        return DateReading(others[0], "read as", form, others[1], "nothing")
    return DateReading(mine, how, form, others[0], settled_by)


def _by_order(
    match: re.Match[str], seasons: Sequence[Season], *, takes_year_first: bool
) -> dict[Order, date]:
    """Return the days that three numbers can be, by order.

    Two-digit numbers with dashes or points between them may have the year in front; that reading counts
    where the network writes so, or where it alone lies in season.
    """
    one, mark, two, three = match.groups()
    year = _year(three)
    days: dict[Order, date | None] = {
        "mdy": _day(year, int(one), int(two)),
        "dmy": _day(year, int(two), int(one)),
    }
    if len(three) == 2 and (takes_year_first or mark in "-."):
        front = _day(2000 + int(one), int(two), int(three))
        if takes_year_first or _in_season(front, seasons) or not any(days.values()):
            days["ymd"] = front
    return {order: day for order, day in days.items() if day is not None}


def only_order(text: str, seasons: Sequence[Season] = ()) -> Order | None:
    """Return the order of a day that can be read in one order only, or None where it says nothing of it."""
    match = _NUMERIC.fullmatch(_tidy(text))
    days = _by_order(match, seasons, takes_year_first=False) if match else {}
    if "ymd" in days:
        inside = {order: day for order, day in days.items() if _in_season(day, seasons)}
        days = inside or days
    return next(iter(days)) if len(days) == 1 else None


def settled_order(network: str, clear: Collection[str]) -> tuple[str, Settled]:
    """Return the order in which a file's unclear days are read, and what settles them.

    `clear` are the orders of the days that can be read in one order only. Where they agree they beat the
    network's order; where they do not, the order is the network's and nothing settles it.
    """
    if len(clear) == 1:
        (order,) = clear
        return order, "network" if order == network else "file"
    return network, "nothing" if clear else "network"


def _without_year(pairs: Sequence[tuple[int, int]], seasons: Sequence[Season]) -> DateReading:
    """Return a month and day without year: the only such day in season, the first pair before the second."""
    for month, day in pairs:
        years = {year for first, last in seasons for year in range(first.year, last.year + 1)}
        days = [found for year in sorted(years) if _in_season(found := _day(year, month, day), seasons)]
        if days:
            return _read(days[0] if len(days) == 1 else None, "read as", "no year")
    return _UNREADABLE


def _named(cell: str, seasons: Sequence[Season]) -> DateReading:
    month, day, year = _named_parts(cell)
    if month is None:
        return _UNREADABLE
    if year:
        form: Form = "month name" if len(year) == 4 else "two digit year"
        return _read(_day(_year(year), month, day), "read as", form)
    return _without_year([(month, day)], seasons)


def _named_parts(cell: str) -> tuple[int | None, int, str | None]:
    """Return month, day and year of a day with its month as a word; month None where it is none."""
    if match := _DAY_MONTH.fullmatch(cell):
        day, name, year = match.groups()
    elif match := _MONTH_DAY.fullmatch(cell):
        name, day, year = match.groups()
    else:
        return None, 0, None
    return _MONTHS.get(name), int(day), year
