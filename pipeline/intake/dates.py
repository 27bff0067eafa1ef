"""Days as people and spreadsheets write them.

A day such as 3/4/2025 can be read in two ways. The order of the network or of the file settles it; a
reading out of season gives way to one in season.
"""

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

How = Literal["plain", "blank", "read as", "two ways", "unreadable"]
Form = Literal["iso", "ordered", "other order", "month name", "serial", "two digit year"]

#: Day 0 of the 1900 date system of spreadsheets; its serial 60 is a day that never was.
EPOCH_1900 = date(1899, 12, 30)
#: Days between the 1900 and the 1904 date system.
DAYS_1904 = 1462
#: Serial numbers taken for days: 2009-07-06 to 2064-04-08. A plot count or a weight is far from these.
SERIALS = range(40_000, 60_001)

_MONTHS = {
    name: month
    for month, names in enumerate(
        [
            ("jan", "january", "ene", "enero"),
            ("feb", "february", "febrero"),
            ("mar", "march", "marzo"),
            ("apr", "april", "abr", "abril"),
            ("may", "mayo"),
            ("jun", "june", "junio"),
            ("jul", "july", "julio"),
            ("aug", "august", "ago", "agosto"),
            ("sep", "sept", "september", "set", "septiembre", "setiembre"),
            ("oct", "october", "octubre"),
            ("nov", "november", "noviembre"),
            ("dec", "december", "dic", "diciembre"),
        ],
        start=1,
    )
    for name in names
}
_ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})")
_YEAR_FIRST = re.compile(r"(\d{4})[/.](\d{1,2})[/.](\d{1,2})|(\d{4})(\d{2})(\d{2})")
_NUMERIC = re.compile(r"(\d{1,2})[/.\- ](\d{1,2})[/.\- ](\d{4}|\d{2})")
_NO_YEAR = re.compile(r"(\d{1,2})[/.\-](\d{1,2})")
# "mar" is left out: it is March as well as the Spanish Tuesday.
_DAY_NAME = re.compile(
    r"^(?:(?:mon|tues?|wed(?:nes)?|thu(?:rs?)?|fri|sat(?:ur)?|sun)(?:day)?"
    r"|lun(?:es)?|martes|mie(?:rcoles)?|jue(?:ves)?|vie(?:rnes)?|sab(?:ado)?|dom(?:ingo)?)\.?,?\s+"
)
_TIME = re.compile(r"(?:[T ]\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?(?:\s*[ap]\.?\s?m\.?)?Z?)$", re.I)
_DAY_MONTH = re.compile(
    r"(\d{1,2})(?:st|nd|rd|th|o|º)?[\s\-/.,]*(?:of |de )?([a-z]{3,})\.?(?:[\s\-/.,]*(?:de )?(\d{4}|\d{2}))?"
)
_MONTH_DAY = re.compile(r"([a-z]{3,})\.?[\s\-/.]*(\d{1,2})(?:st|nd|rd|th)?(?:[\s\-/.,]+(\d{4}|\d{2}))?")


@dataclass(frozen=True)
class DateReading:
    """What a cell says as a day. `other` is the second possible day, `form` how it was written."""

    value: date | None
    how: How
    form: Form | None = None
    other: date | None = None


_BLANK = DateReading(None, "blank")
_UNREADABLE = DateReading(None, "unreadable")


def read_date(text: str, order: str = "mdy", season: Sequence[date] | None = None) -> DateReading:
    """Return the day in a cell.

    `order` is mdy, dmy or ymd and settles a day that can be read in two ways; where only one of the two
    lies between the first and last day of `season`, that one is meant.
    """
    cell = _TIME.sub("", re.sub(r"\s+", " ", unicodedata.normalize("NFKC", text)).strip())
    if cell.casefold() in ("", "na", "n/a", "-", "--", "none", "–", "—"):
        return _BLANK
    if match := _ISO.fullmatch(cell):
        year, month, day = match.groups()
        return _of(year, month, day, form="iso")
    if match := _YEAR_FIRST.fullmatch(cell):
        year, month, day = (part for part in match.groups() if part)
        return _of(year, month, day, form="iso", how="read as")
    if re.fullmatch(r"\d{5}(?:\.\d+)?", cell):
        return _serial(int(float(cell)), season)
    if match := _NUMERIC.fullmatch(cell):
        return _numeric(match, order, season)
    if match := _NO_YEAR.fullmatch(cell):
        return _without_year(match, order, season)
    return _named(cell, season)


def _day(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None


def _of(year: str, month: str, day: str, form: Form, how: How = "plain") -> DateReading:
    value = _day(_year(year), int(month), int(day))
    return _UNREADABLE if value is None else DateReading(value, how, form)


def _year(text: str) -> int:
    return int(text) if len(text) == 4 else 2000 + int(text)


def _within(day: date | None, season: Sequence[date] | None) -> bool:
    return day is not None and season is not None and season[0] <= day <= season[1]


def _serial(serial: int, season: Sequence[date] | None) -> DateReading:
    """Return the day of a spreadsheet's day number: by the 1904 system only where 1900 is out of season."""
    if serial not in SERIALS:
        return _UNREADABLE
    first = EPOCH_1900 + timedelta(days=serial)
    second = first + timedelta(days=DAYS_1904)
    if season is not None and not _within(first, season):
        return DateReading(second, "read as", "serial") if _within(second, season) else _UNREADABLE
    return DateReading(first, "read as", "serial")


def _numeric(match: re.Match[str], order: str, season: Sequence[date] | None) -> DateReading:
    one, two, year_text = match.groups()
    year = _year(year_text)
    form: Form = "two digit year" if len(year_text) == 2 else "ordered"
    month_first, day_first = _day(year, int(one), int(two)), _day(year, int(two), int(one))
    mine, other = (day_first, month_first) if order == "dmy" else (month_first, day_first)
    how: How = "read as" if form == "two digit year" else "plain"
    if mine is None or other is None or mine == other:
        if (only := mine or other) is None:
            return _UNREADABLE
        turned = mine is None and other is not None
        return DateReading(only, "read as" if turned else how, "other order" if turned else form)
    if _within(other, season) and not _within(mine, season):
        return DateReading(other, "read as", "other order", mine)
    return DateReading(mine, how, form, other)


def _without_year(match: re.Match[str], order: str, season: Sequence[date] | None) -> DateReading:
    """Return a day without its year: the season's, where it has exactly one such day."""
    if season is None:
        return _UNREADABLE
    one, two = (int(part) for part in match.groups())
    pairs = [(two, one), (one, two)] if order == "dmy" else [(one, two), (two, one)]
    years = range(season[0].year, season[1].year + 1)
    days = [day for pair in pairs for year in years if (day := _day(year, *pair)) and _within(day, season)]
    return DateReading(days[0], "read as", "two digit year") if days else _UNREADABLE


def _named(cell: str, season: Sequence[date] | None) -> DateReading:
    letters = unicodedata.normalize("NFKD", cell.casefold())
    plain = _DAY_NAME.sub("", "".join(letter for letter in letters if not unicodedata.combining(letter)))
    if match := _DAY_MONTH.fullmatch(plain):
        day, name, year_text = match.groups()
    elif match := _MONTH_DAY.fullmatch(plain):
        name, day, year_text = match.groups()
    else:
        return _UNREADABLE
    month = _MONTHS.get(name)
    if month is None:
        return _UNREADABLE
    if year_text:
        return _of(year_text, str(month), day, form="month name", how="read as")
    return _without_year_named(month, int(day), season)


def _without_year_named(month: int, day: int, season: Sequence[date] | None) -> DateReading:
    if season is None:
        return _UNREADABLE
    years = range(season[0].year, season[1].year + 1)
    days = [found for year in years if (found := _day(year, month, day)) and _within(found, season)]
    return DateReading(days[0], "read as", "month name") if days else _UNREADABLE
