"""The words of volunteers' pages stand in both languages and keep to the network's voice."""

import re
import string

from dashboard.sending.words import WORDS, say
from pipeline.words import translate

SPANISH = {english: translate("es").gettext(english) for english in WORDS.values()}

#: Words that blame or frighten, in both languages; the network's own voice, no source.
NEVER = re.compile(
    r"\b(invalid\w*|illegal|outliers?|errors?|null|anomal\w+|fail\w*|wrong|mistakes?|must|"
    r"inválid\w+|ilegal\w*|atípic\w+|nul[oa]s?|fall[oóa]\w*|incorrect\w+|equivocad\w+|"
    r"bienvenid[oa])\b",
    re.IGNORECASE,
)
#: Forms of tú, where the voice is usted.
FAMILIAR = re.compile(r"\b(tu|tus|tú|ti|contigo|puedes|tienes|escribe tus|elige|envía tu)\b", re.IGNORECASE)


def placeholders(text: str) -> set[str]:
    return {name for _, name, _, _ in string.Formatter().parse(text) if name}


def test_both_languages_say_something_with_the_same_values():
    for english, spanish in SPANISH.items():
        assert english.strip()
        assert spanish.strip()
        assert placeholders(english) == placeholders(spanish)


def test_no_words_blame_or_frighten():
    assert [text for pair in SPANISH.items() for text in pair if NEVER.search(text)] == []


def test_spanish_says_usted():
    assert [spanish for spanish in SPANISH.values() if FAMILIAR.search(spanish)] == []


def test_the_guards_see_what_they_look_for():
    assert NEVER.search("This row is invalid.")
    assert FAMILIAR.search("Revisa tu hoja")


def test_words_are_filled_in():
    assert say("part", "es", used="46", n="48", held="2").startswith("¡Gracias! Ya entraron 46 de 48 filas.")
