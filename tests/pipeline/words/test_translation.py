"""Every text that people read has its translation, with the same placeholders and the right plurals."""

import ast
import re
from io import BytesIO

import pytest
from babel.messages.pofile import read_po

from pipeline.words import LANGUAGES, marked, translate
from pipeline.words.collect import KEYWORDS, ROOMS, ROOT, fresh, path_of
from pipeline.words.translation import CATALOGUES

OTHERS = LANGUAGES[1:]

#: Words that a message never uses; the voice of the network.
NEVER = {
    "en": ("invalid", "illegal", "outlier", "error", "null", "anomaly", "failed", "wrong", "mistake"),
    "es": ("inválido", "ilegal", "atípico", "error", "nulo", "anomalía", "falló", "incorrecto", "equivocado"),
}


def messages(language, name):
    """Return pairs of texts and translations, each a tuple of forms."""
    found = read_po(BytesIO(path_of(language, name).read_bytes()))
    return [(forms(each.id), forms(each.string)) for each in found if each.id]


def forms(text):
    return (text,) if isinstance(text, str) else tuple(text)


def placeholders(text):
    return set(re.findall(r"\{(\w*)[^}]*\}", text))


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("name", CATALOGUES)
def test_no_catalogue_is_behind_the_code(language, name):
    assert path_of(language, name).read_text(encoding="utf-8") == fresh(language)[name], "run: make words"


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("name", CATALOGUES)
def test_no_text_lacks_its_translation(language, name):
    assert [text for text, said in messages(language, name) if not all(said)] == []


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("name", CATALOGUES)
def test_translations_hold_the_placeholders_of_their_text(language, name):
    apart = [
        (text, said)
        for text, said in messages(language, name)
        # The form for one may write the number out.
        if placeholders(text[-1]) != placeholders(said[-1])
        or not placeholders(said[0]) <= placeholders(text[-1])
    ]
    assert apart == []


@pytest.mark.parametrize("language", OTHERS)
def test_no_translation_blames_or_talks_like_a_program(language):
    for texts in messages(language, "longrow"):
        for spoken, text in zip(("en", language), texts, strict=True):
            words = set(re.findall(r"\w+", " ".join(text).lower()))
            assert words.isdisjoint(NEVER[spoken]), text


@pytest.mark.parametrize("language", OTHERS)
def test_every_counted_text_has_as_many_forms_as_its_language_has(language):
    for name in CATALOGUES:
        catalogue = read_po(BytesIO(path_of(language, name).read_bytes()))
        for message in catalogue:
            if message.pluralizable:
                assert len(message.string) == catalogue.num_plurals


# The plural rules of English and Spanish for whole numbers (Unicode CLDR, cardinal rules: one is n = 1).
@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("en", ["0 gardens", "1 garden", "2 gardens", "21 gardens"]),
        ("es", ["0 huertos", "1 huerto", "2 huertos", "21 huertos"]),
    ],
)
def test_counts_take_the_form_of_their_language(language, said):
    text = translate(language)
    counts = (0, 1, 2, 21)
    assert [text.ngettext("{n} garden", "{n} gardens", n).format(n=n) for n in counts] == said


def test_a_language_without_a_catalogue_reads_english():
    assert translate("xx").ngettext("{n} plot", "{n} plots", 2) == "{n} plots"
    assert translate("xx").pgettext("column", "plot") == "plot"


def test_a_text_without_a_translation_is_read_in_english():
    assert translate("es").gettext("nobody has translated this") == "nobody has translated this"


def test_one_text_may_be_said_in_two_ways_by_its_place():
    said = translate("es")
    assert said.pgettext("the gain gets", "larger") == "crece"
    assert said.gettext("larger") == "larger"


def test_a_marked_text_stays_as_it_is():
    assert marked("planting") == "planting"


@pytest.mark.parametrize("room", ROOMS)
def test_no_text_is_translated_inside_a_formatted_string_where_nobody_collects_it(room):
    """Babel reads calls in code and none inside an f-string, so such a text would stay English unseen."""
    hidden = [
        f"{module.relative_to(ROOT)}:{call.lineno}"
        for module in (ROOT / room).rglob("*.py")
        for string in ast.walk(ast.parse(module.read_text(encoding="utf-8")))
        if isinstance(string, ast.JoinedStr)
        for call in ast.walk(string)
        if isinstance(call, ast.Call)
        and isinstance(call.func, ast.Attribute)
        and call.func.attr in KEYWORDS
        and isinstance(call.args[0], ast.Constant)
    ]
    assert hidden == []
