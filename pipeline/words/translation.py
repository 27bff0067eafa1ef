"""Texts in the reader's language, through GNU gettext.

English is written in the code and is what a translation is looked up by. `translate("es")` gives an object
with `gettext`, `ngettext`, `pgettext` and `npgettext`; a language without a catalogue reads English. The
catalogues are text files that a translator can edit, and are made ready in memory: no compiled file can be
out of date.
"""

from functools import cache
from gettext import GNUTranslations, NullTranslations
from importlib.resources import files
from io import BytesIO

#: Languages of messages and pages; English is the one in the code.
LANGUAGES = ("en", "es")

#: Catalogues of a language: texts in the code, and what checks say, which is made from `checks/words.csv`.
CATALOGUES = ("longrow", "findings")


def marked(text: str) -> str:
    """Return the text as it is; tells `make words` that it is translated where it is used."""
    return text


@cache
def translate(language: str) -> NullTranslations:
    """Return the translations into a language; unknown ones read English."""
    said = NullTranslations()
    for name in CATALOGUES:
        place = files("pipeline.words") / "locale" / language / "LC_MESSAGES" / f"{name}.po"
        if place.is_file():
            said.add_fallback(_compiled(place.read_bytes()))
    return said


def _compiled(catalogue: bytes) -> GNUTranslations:
    # English readers, most command lines among them, never wait for Babel.
    from babel.messages.mofile import write_mo
    from babel.messages.pofile import read_po

    compiled = BytesIO()
    write_mo(compiled, read_po(BytesIO(catalogue)))
    compiled.seek(0)
    return GNUTranslations(compiled)
