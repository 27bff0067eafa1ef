"""Words of the newer parts of the watch page, and of the visit lists."""

from types import MappingProxyType

from dashboard.words import PageWords

VISITS = PageWords(
    "Visits",
    "Visit lists",
    "No garden has an open question, so nothing needs a visit.",
    "Getting the lists…",
    "We cannot show the visit lists right now.",
)

WORDS = MappingProxyType(
    {
        "ran": "The night ran at {moment}.",
        "ran_nothing_new": "The night ran at {moment} and found nothing new since this page was published.",
        "runs": "A night is running since {moment}; this page stands until it is done.",
        "not_run": "No night has run since {moment}.",
        "not_finished": "The night of {moment} did not finish.",
        "stands": "This page stands as it was published {published}. Nothing that was sent is lost: the next "
        "night takes it up. Look at the machine that runs `longrow nightly`.",
        "weather": "Weather of the week",
        "weather_none": "No freeze and no day too hot to set fruit in the last seven days.",
        "freeze": "Freeze",
        "heat": "Too hot to set fruit",
        "event": "{count} of {gardens}. {extreme} at {site} {name}.",
        "lowest": "Down to {value}",
        "highest": "Up to {value}",
        "planting": "Planting",
        "planting_all": "All {gardens} have planted every plot.",
        "planting_some": "{done} of {gardens} have planted every plot.",
        "planting_show": "Garden by garden",
        "not_yet": "not yet",
        "agreement": "Two people, one plot",
        "agreement_none": "No plot has been scored by two people on one day yet.",
        "pairs": "{pairs} scored by two people: {mean} apart on average, {largest} at most.",
        "concordance": "Concordance {value}; 1 is always the same.",
        "close_pairs": "Gardens close to each other",
        "close_why": "Each pair shares much of its weather and soil, so it counts for less than two gardens "
        "along the row.",
        "close_more": "{count} more; the page of each garden names its own",
        "places": "Places to mend",
        "places_mend": "Correct them in registry/gardens.csv; the next night takes it up.",
        "visits": "Visit lists to print",
        "visit_note": "For {site}, from its open questions as of {night}. Tick what you have seen.",
        "visit_seen": "Seen:",
        "visit_heading": "{gardens} with open questions, west to east.",
        "late": "It is late: {reason}.",
    }
)
#: What is scored, in words.
MEASURES = MappingProxyType(
    {"severity_pct": "Sick part of the leaf", "height_cm": "Height", "alive": "Plants alive"}
)
