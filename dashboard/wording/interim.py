"""Words of the interim analyses that a trial named before it began."""

from types import MappingProxyType

WORDS = MappingProxyType(
    {
        "title": "Interim analyses",
        "stamp": "INTERIM",
        "named": "This trial named {days} before it began: {dates}. Nothing else is compared before {close}.",
        "day_one": "one day",
        "days": "{n} days",
        "not_complete": "waits: not every garden’s early days were over on that day",
        "too_few": "too few gardens",
        "called": "crossed: a difference is called",
        "not_called": "not crossed: no difference is called yet",
        "limits": "Each look has a limit of its own, stricter the earlier it comes, so that all looks of the "
        "trial together call a difference that is not there in at most 5 of 100 trials (limits by "
        "O’Brien and Fleming, spent by the share of the season that has passed). The interval is as wide as "
        "that limit, so it is wider than one of 95%.",
        "yield": "Weight per plant is not complete before the close and waits for it.",
        "outcome": "Outcome",
        "date": "Date",
        "treatment": "Treatment",
        "difference": "Difference",
        "interval": "Interval of this look",
        "p": "p, and its limit",
        "verdict": "Limit",
        "p_of": "{p}, limit {level}",
    }
)
