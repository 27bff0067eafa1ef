"""Bring the catalogues up to the code: `make words` writes them, a test fails where they are behind.

`longrow.po` holds the texts found in the code; what a translator wrote there is kept, a new text is added
with a blank, one that is gone is dropped. `findings.po` is made whole from `checks/words.csv` and
`checks/column_names.csv`, where both languages are reviewed side by side.
"""

import csv
import sys
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path

from babel.messages.catalog import Catalog, Message
from babel.messages.extract import extract_from_dir
from babel.messages.pofile import read_po, write_po

from pipeline.words.translation import LANGUAGES

ROOT = Path(__file__).parents[2]
ROOMS = ("pipeline", "dashboard")
LOCALE = Path(__file__).parent / "locale"
CHECKS = ROOT / "pipeline" / "checks"

#: Calls whose first arguments are texts: which of them, and which is the context ("c").
KEYWORDS = {
    "gettext": None,
    "ngettext": (1, 2),
    "pgettext": ((1, "c"), 2),
    "npgettext": ((1, "c"), 2, 3),
    "marked": None,
}

#: The four parts of what a check says.
PARTS = ("message", "why", "remedy", "if_nothing")

#: Width of lines: long enough that sentences stay whole and a change touches one line.
WIDTH = 110


def path_of(language: str, name: str) -> Path:
    """Return where a catalogue lies."""
    return LOCALE / language / "LC_MESSAGES" / f"{name}.po"


def fresh(language: str) -> dict[str, str]:
    """Return the text of each catalogue of a language as it should be, by name."""
    return {"longrow": _written(_of_code(language)), "findings": _written(_of_checks(language))}


def _of_code(language: str) -> Catalog:
    place = path_of(language, "longrow")
    known = read_po(BytesIO(place.read_bytes())) if place.exists() else Catalog()
    catalogue = Catalog(locale=language, charset="utf-8")
    for room in ROOMS:
        found = sorted(
            extract_from_dir(ROOT / room, [("**.py", "python")], keywords=KEYWORDS), key=lambda at: at[0]
        )
        for name, _, message, _, context in found:
            before = known.get(message, context=context)
            string = before.string if before is not None else ""
            catalogue.add(message, string, locations=[(f"{room}/{name}", 0)], context=context)
    return catalogue


def _of_checks(language: str) -> Catalog:
    catalogue = Catalog(locale=language, charset="utf-8")
    for row in _rows("words.csv"):
        for part in PARTS:
            one = row["message_one_en"] if part == "message" else ""
            english, other = row[f"{part}_en"], row[f"{part}_{language}"]
            context = f"{row['check']} {part}"
            if one:
                both = (row[f"message_one_{language}"], other)
                catalogue.add((one, english), both, context=context)
            else:
                catalogue.add(english, other, context=context)
    for row in _rows("column_names.csv"):
        catalogue.add(row["en"], row[language], context="column")
    return catalogue


def _rows(name: str) -> Iterator[dict[str, str]]:
    with (CHECKS / name).open(encoding="utf-8") as lines:
        yield from csv.DictReader(lines)


def _written(catalogue: Catalog) -> str:
    """Return a catalogue as text, without anything that differs from one machine or day to the next."""
    header = {
        "Content-Type": "text/plain; charset=UTF-8",
        "Language": str(catalogue.locale),
        "Plural-Forms": catalogue.plural_forms,
    }
    head = "".join(f'"{name}: {value}\\n"\n' for name, value in header.items())
    body = BytesIO()
    write_po(body, catalogue, width=WIDTH, omit_header=True, sort_output=True, include_lineno=False)
    return f'msgid ""\nmsgstr ""\n{head}\n{body.getvalue().decode("utf-8").strip()}\n'


def main() -> None:
    """Write the catalogues of every language but English, and name the texts that lack a translation."""
    for language in LANGUAGES[1:]:
        for name, text in fresh(language).items():
            place = path_of(language, name)
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_text(text, encoding="utf-8")
        catalogue = read_po(BytesIO(path_of(language, "longrow").read_bytes()))
        for message in catalogue:
            if message.id and not _is_translated(message):
                sys.stdout.write(f"{language}: not translated yet: {message.id}\n")


def _is_translated(message: Message) -> bool:
    strings = message.string if message.pluralizable else (message.string,)
    return strings is not None and all(strings)


if __name__ == "__main__":
    main()
