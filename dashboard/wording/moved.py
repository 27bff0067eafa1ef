"""Words of what moved the answer since the page before, and of what is new on a page."""

from types import MappingProxyType

WORDS = MappingProxyType(
    {
        "title": "Why the answer moved",
        "closed": "What became of each garden {since}, and by how many points of percent it alone moved the "
        "answer.",
        "running": "How far, never which way, until {close}: little is under a quarter of a percent point, "
        "far a whole point or more. Treatments are named by the codes on their tags.",
        "answer": "{treatment} lies {now} against {control}, {before} before",
        "answer_new": "{treatment} lies {now} against {control}; there was no answer before",
        "answer_gone": "{treatment} has no answer against {control} any more, {before} before",
        "none": "Nothing new moved the answer {since}.",
        "first": "This is the first night, so there is no earlier answer that could have moved.",
        "seen_closed": "{garden} moved it most, by {points}",
        "seen_running": "{gardens} moved the answer {since}: {sizes}",
        "far": "far",
        "some": "some",
        "little": "little",
        "unknown": "cannot tell yet how far",
        "garden": "Garden",
        "code": "Code",
        "size": "Moved the answer",
        "own": "By itself",
        "own_words": "{treatment}: {now}, {before} before",
        "no_value": "no value",
        "up": "{points} up",
        "down": "{points} down",
        "more": "{n} more in the table.",
        "since": "since the page published {moment}",
        "since_before": "since the page before this one",
        "since_start": "with the first night",
    }
)
