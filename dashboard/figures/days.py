"""A horizontal axis of days."""

from datetime import datetime, timedelta
from typing import Any

from dashboard.figures.template import Screen
from dashboard.numerals import day


def days_axis(first: datetime, last: datetime, air: timedelta, screen: Screen) -> dict[str, Any]:
    """Return the axis from the first day to the last with `air` at its ends.

    Both ends are written out, and wide the day midway too.
    """
    midway = (first + (last - first) / 2).replace(hour=0, minute=0, second=0, microsecond=0)
    ticks = [first, last] if screen.narrow else [first, midway, last]
    return {
        "range": [first - air, last + air],
        "tickvals": ticks,
        "ticktext": [day(tick) for tick in ticks],
        "showline": True,
    }
