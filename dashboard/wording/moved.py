"""Words of what moved the answer since the page before, and of what is new on a page."""

from types import MappingProxyType

WORDS = MappingProxyType(
    {
        "title": "Why the answer moved",
        "closed": "What the sheets since then changed in each garden, and by how many points of percent that "
        "garden alone moved the answer.",
        "running": "How far, never which way, until {close}: little is under a quarter of a percent point, "
        "far a whole point or more. Treatments are named by the codes on their tags.",
        "answer": "{treatment}: {before} than {control} before, {now} than {control} now",
        "answer_new": "{treatment}: no answer before, {now} than {control} now",
        "answer_gone": "{treatment}: {before} than {control} before, no answer now",
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
        "treatment": "Treatment",
        "size": "Moved the answer",
        "own_before": "Itself, before",
        "own_now": "Itself, now",
        "points": "Moved the answer, points",
        "no_value": "no value",
        "up": "{points} up",
        "down": "{points} down",
        "more": "{n} more in the table.",
        "since": "since the page published {moment}",
        "since_before": "since the page before this one",
        "since_start": "with the first night",
    }
)
