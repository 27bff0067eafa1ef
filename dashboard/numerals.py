"""Numbers and dates as people read them. A number never parts from its unit."""

import math
from collections.abc import Sequence
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from pipeline.words import marked

MINUS = "\u2212"
NO_BREAK = "\u00a0"
#: What stands where nothing was measured: blank is not zero.
NOT_RECORDED = marked("not recorded")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def number(value: float, digits: int = 0) -> str:
    """Return `value` with `digits` decimals, a comma for thousands and a true minus; words where missing."""
    if value is None or not math.isfinite(value):
        return NOT_RECORDED
    text = f"{value:,.{digits}f}"
    if float(text.replace(",", "")) == 0:
        text = text.removeprefix("-")
    return text.replace("-", MINUS)


def with_unit(value: float, unit: str, digits: int = 0) -> str:
    """Return the number and its unit, kept on one line."""
    text = number(value, digits)
    if text == NOT_RECORDED or not unit:
        return text
    return f"{text}%" if unit == "%" else f"{text}{NO_BREAK}{unit}"


def small_percent(percent: float) -> str:
    """Return a percentage with one decimal; a gain with as many as tell it from nothing, three at most."""
    digits = next((digits for digits in (1, 2, 3) if round(percent, digits) > 0), 0)
    if percent > 0 and not digits:
        return "under 0.001%"
    return with_unit(percent, "%", digits or 1)


def more_or_less(percent: float, digits: int = 0) -> str:
    """Return 12% more, 3% less or the same, for what is compared with the control."""
    if not math.isfinite(percent):
        return NOT_RECORDED
    size = number(abs(percent), digits)
    if float(size.replace(",", "")) == 0:
        return "the same"
    return f"{size}%{NO_BREAK}{'more' if percent > 0 else 'less'}"


def signed(percent: float) -> str:
    """Return +12% or −3%, or 0%."""
    text = number(percent)
    if text == NOT_RECORDED:
        return text
    return f"{text}%" if text.startswith(MINUS) or text == "0" else f"+{text}%"


def between(low: float, high: float, digits: int = 0) -> str:
    """Return the two ends of an interval in percent, as in −3 to 12%."""
    return f"{number(low, digits)} to {number(high, digits)}%"


def p_value(value: float, digits: int = 3) -> str:
    """Return a p-value: two decimals where it is large, `digits` where it is small."""
    least = 10.0**-digits
    return f"under {least:.{digits}f}" if value < least else f"{value:.{digits if value < 0.1 else 2}f}"


def day(when: date) -> str:
    """Return a date short, the month as a word: Aug 12."""
    return f"{MONTHS[when.month - 1]}{NO_BREAK}{when.day}"


def long_day(when: date) -> str:
    """Return a date with its year: Aug 12, 2025."""
    return f"{day(when)}, {when.year}"


def moment(when: datetime, zone: str) -> str:
    """Return a UTC time on the reader's clock: 2:14 a.m., Tue Aug 12. Says UTC where the zone is unknown."""
    try:
        there = when.replace(tzinfo=UTC).astimezone(ZoneInfo(zone))
        suffix = f"{NO_BREAK}UTC" if zone == "UTC" else ""
    except (ZoneInfoNotFoundError, ValueError):
        there, suffix = when, f"{NO_BREAK}UTC"
    hour = f"{there.hour % 12 or 12}:{there.minute:02d}{NO_BREAK}{'a.m.' if there.hour < 12 else 'p.m.'}"
    return f"{hour}{suffix}, {there:%a} {day(there)}"


def some_of(names: Sequence[str], most: int = 12) -> str:
    """Return the names in a row; of many, the first and how many more there are."""
    shown = ", ".join(names[:most])
    return f"{shown} and {len(names) - most:,} more" if len(names) > most else shown


def count(how_many: int, one: str, many: str) -> str:
    """Return a counted noun: 1 garden, 24 gardens."""
    return f"{how_many:,}{NO_BREAK}{one if how_many == 1 else many}"
