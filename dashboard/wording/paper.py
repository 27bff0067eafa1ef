"""Words of the page where pictures of paper are typed in."""

from types import MappingProxyType

from dashboard.words import PageWords

PAPER = PageWords(
    "Paper",
    "Paper to type in",
    "No picture waits to be typed.",
    "Getting the pictures…",
    "We cannot show the pictures right now.",
)

WORDS = MappingProxyType(
    {
        "heading_one": "One picture waits to be typed.",
        "heading": "{n} pictures wait to be typed.",
        "sure": "Type what stands on the paper, cell by cell. The night checks the rows like any other.",
        "picture": "{file}, {day}, sent by {garden}",
        "unknown": "a garden not known",
        "alt": "Paper record of {day}, {file}",
        "not_shown": "This kind of picture ({kind}) is not shown by browsers. Open {file} with another "
        "program.",
        "garden": "Garden",
        "row": "Row {n}, {column}",
        "save": "Save these rows",
        "saved": "Saved. They are taken with the next night.",
        "other": "Other pictures",
        "questions": "Back to the questions",
    }
)
