"""Words of the interim analyses that a trial named before it began."""

from types import MappingProxyType

WORDS = MappingProxyType(
    {
        "title": "Interim analyses",
        "stamp": "INTERIM",
        "named": "This trial named {days} before it began: {dates}. Nothing else is compared before {close}.",
        "day_one": "one day",
        "days": "{n} days",
        "not_complete": "It waits: not every garden’s early days were over on that day.",
        "too_few": "Too few gardens for a comparison.",
        "called": "Limit crossed: a difference is called.",
        "not_called": "Limit not crossed: no difference is called yet.",
        "look": "{difference} in {gardens}, interval of this look {interval}; p\u00a0{p}, "
        "limit\u00a0{level}. So it stood on {day}; it is not the season’s answer.",
        "limits": "Each look has a limit of its own, stricter the earlier it comes, so that all looks of the "
        "trial together call a difference that is not there in at most 5 of 100 trials (limits by "
        "O’Brien and Fleming, spent by the share of the season that has passed). The interval is as wide as "
        "that limit, so it is wider than one of 95%.",
        "yield": "Weight per plant is not complete before the close and waits for it.",
    }
)
