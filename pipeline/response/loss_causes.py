"""What a note about dead plants says took them: animals or people, disease, or something not told.

Plants that the treatment could not have kept, eaten or stolen, make their plot missing; plants lost to
disease are data. Words are common practice, no source; a note that fits neither list says nothing.
"""

import re
import unicodedata

import pandas as pd

#: Beginnings of words, without accents, by cause; English and Spanish.
_WORDS = {
    "animals": (
        *("animal", "deer", "rabbit", "gopher", "groundhog", "woodchuck", "squirrel", "raccoon", "vole"),
        *("mouse", "mice", "rat", "bird", "dog", "cat", "goat", "chicken", "cow", "eaten", "trampled"),
        *("venado", "conejo", "tuza", "ardilla", "mapache", "raton", "pajaro", "perro", "gato", "cabra"),
        *("gallina", "vaca", "comida por", "comidas por", "pisotead"),
    ),
    "people": (
        *("vandal", "stolen", "theft", "thief", "mowed", "mower", "mown", "weed eater", "sprayed by"),
        *("dug up", "pulled by", "robad", "robo", "ladron", "vandalism", "podadora", "arrancad"),
    ),
    "disease": (
        *("disease", "wilt", "blight", "rot", "rotten", "virus", "mildew", "fungus", "fusarium"),
        *("verticillium", "canker", "nematode", "enfermedad", "marchit", "tizon", "pudric", "hongo"),
        *("cenicilla", "nematodo", "cancro"),
    ),
}

#: Losses that make a plot missing, whatever its treatment.
NOT_THE_TREATMENT = ("animals", "people")

#: Words so short that they begin others; they count whole, or with a plural s.
_WHOLE = frozenset({"rat", "rot", "cat", "cow", "dog", "vole", "bird", "robo", "gato", "vaca"})


def _pattern(words: tuple[str, ...]) -> re.Pattern[str]:
    parts = (re.escape(word) + (r"s?\b" if word in _WHOLE else "") for word in words)
    return re.compile(rf"\b(?:{'|'.join(parts)})")


_PATTERNS = {cause: _pattern(words) for cause, words in _WORDS.items()}


def loss_cause(notes: pd.Series) -> pd.Series:
    """Return animals, people or disease for each note of a problem, blank where it names none of them.

    A note that names several is read in that order: a plot that deer ate is missing, sick or not.
    """
    return notes.fillna("").map(_cause).astype("str")


def _cause(note: str) -> str:
    folded = unicodedata.normalize("NFKD", note.lower())
    plain = "".join(letter for letter in folded if not unicodedata.combining(letter))
    return next((cause for cause, pattern in _PATTERNS.items() if pattern.search(plain)), "")
