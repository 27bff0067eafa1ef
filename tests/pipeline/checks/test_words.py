"""Messages are plain, quote little, and hold ready text in the reader's units."""

import re
from datetime import date

import pytest

from pipeline.checks.every import EVERY_CHECK, MADE_BY_READING, MADE_BY_STORE
from pipeline.checks.shown import shown, shown_length, shown_ounces
from pipeline.checks.words import catalogue_words, in_words, shown_date, shown_number, shown_weight, values_of

#: Words that a message never uses; the voice of the network.
NEVER = {
    "en": ("invalid", "illegal", "outlier", "error", "null", "anomaly", "failed", "wrong", "mistake"),
    "es": ("inválido", "ilegal", "atípico", "error", "nulo", "anomalía", "falló", "incorrecto", "equivocado"),
}
PARTS = ("message", "why", "remedy", "if_nothing")


@pytest.mark.parametrize("language", ["en", "es"])
def test_no_message_blames_or_talks_like_a_program(language):
    for words in catalogue_words().values():
        text = " ".join(words[f"{part}_{language}"] for part in PARTS).lower()
        assert [word for word in NEVER[language] if word in re.findall(r"\w+", text)] == []


def test_every_check_has_words_in_both_languages():
    for words in catalogue_words().values():
        assert all(words[f"{part}_{language}"] for part in PARTS for language in ("en", "es"))


def test_there_are_words_for_every_check_and_a_check_for_all_words():
    assert set(catalogue_words()) == set(EVERY_CHECK)


def test_every_check_says_what_its_words_need():
    of_row = {"file", "line", "column", "plot", "garden", "sent", "read"}
    of_file = {"limit", "sheet", "tab", "other", "nearest"}
    for name, check in EVERY_CHECK.items():
        known = of_row | set(check.say) | (of_file if name in MADE_BY_READING | MADE_BY_STORE else set())
        assert set(catalogue_words()[name]["placeholders"].split()) <= known, name


@pytest.mark.parametrize("language", ["en", "es"])
def test_words_name_their_placeholders(language):
    for name, words in catalogue_words().items():
        text = " ".join(words[f"{part}_{language}"] for part in PARTS)
        assert set(re.findall(r"\{(\w+)\}", text)) <= set(words["placeholders"].split()), name


def test_a_message_quotes_at_most_sixty_characters():
    values = values_of(None, {"sent": "x" * 500, "line": 3, "column": "marketable_weight"}, "en", "us")
    assert len(values["sent"]) == 60


def test_a_sentence_whose_value_is_missing_is_left_out():
    words = in_words("site-unknown", {"line": "3", "sent": "Qx", "nearest": ""})
    assert words.message == "Row 3: we do not know a garden called “Qx”."


@pytest.mark.parametrize(
    ("language", "remedy"),
    [
        ("en", "Look at the garden's short name on your map and write that."),
        ("es", "Busque el nombre corto del huerto en su mapa y escríbalo."),
    ],
)
def test_an_answer_to_a_sentence_that_is_left_out_stands_by_itself(language, remedy):
    assert in_words("site-unknown", {"line": "3", "sent": "Qx"}, language).remedy == remedy


def test_another_way_out_is_not_offered_beside_one_that_is_left_out():
    words = in_words("plot-turned-date", {"line": "3", "sent": "2-Jan"})
    assert words.remedy == "Set the column to text, write the plot again, and send the sheet."


def test_no_sentence_is_left_dangling_whichever_value_is_missing():
    for name, words in catalogue_words().items():
        every = dict.fromkeys(words["placeholders"].split(), "x")
        for missing in every:
            for language in ("en", "es"):
                said = in_words(name, every | {missing: ""}, language)
                for part in (said.message, said.why, said.remedy):
                    assert not re.match("If not,|Or |Si no,|O ", part), (name, missing, part)


def test_a_place_that_is_not_known_is_left_out_of_the_first_sentence():
    values = {"line": "3", "date": "July 4, 2024", "fruits": "8 fruits", "read": "3 lb", "each": "6 oz"}
    assert in_words("fruit-mass-odd", values).message.startswith(
        "Row 3, July 4, 2024: 8 fruits weighing 3 lb."
    )


def test_one_of_something_has_its_own_words():
    several = {"n": "3", "plot": "2", "date": "a", "date_b": "b"}
    assert "3 days after" in in_words("first-picking-early", several).message
    assert "1 day after" in in_words("first-picking-early", several | {"n": "1"}).message
    assert in_words("value-revised", {"n": "1"}).message.startswith("1 row changed")


def test_text_that_was_sent_is_never_taken_for_a_placeholder():
    words = in_words("site-unknown", {"line": "3", "sent": "{garden}{0}", "nearest": "G01"})
    assert "“{garden}{0}”" in words.message


@pytest.mark.parametrize(
    ("kilograms", "units", "text"),
    [
        (0.45359237, "us", "1.0 lb"),
        (0.05, "us", "1.8 oz"),
        (0.4, "us", "14 oz"),
        (2.5, "si", "2.50 kg"),
        (0.25, "si", "250 g"),
        (0.0042, "si", "4.2 g"),
        (-0.3, "us", "−11 oz"),
    ],
)
def test_weights_are_shown_in_the_reader_s_units(kilograms, units, text):
    assert shown_weight(kilograms, units) == text


def test_a_weight_of_a_kitchen_scale_is_shown_in_pounds_and_ounces():
    # 2 lb 6 oz is 38 oz of 28.349523125 g (international avoirdupois pound, 1959).
    assert shown_ounces(38 * 0.028349523125) == "2 lb 6 oz"


@pytest.mark.parametrize(("units", "text"), [("us", "12 in"), ("si", "30.5 cm")])
def test_lengths_are_shown_in_the_reader_s_units(units, text):
    assert shown_length(30.48, units) == text


def test_days_are_shown_with_the_month_as_a_word():
    assert shown_date(date(2026, 7, 12)) == "July 12, 2026"
    assert shown_date(date(2026, 7, 12), "es") == "12 de julio de 2026"


def test_numbers_are_shown_with_the_digits_that_matter():
    assert [shown_number(value) for value in (1250.0, 2.5, 0.3333333)] == ["1,250", "2.5", "0.333"]


@pytest.mark.parametrize(
    ("value", "kind", "language", "text"),
    [
        (8.0, "percent", "es", "8 por ciento"),
        (1.0, "hours", "en", "1 hour"),
        (2.5, "hours", "es", "2.5 horas"),
        (5.0, "volunteers", "es", "5 personas voluntarias"),
        ({"n": 1.0, "en": "pod", "es": "vaina"}, "fruits", "es", "1 vaina"),
        ({"en": "above", "es": "por encima de"}, "word", "es", "por encima de"),
        ("marketable_weight", "column", "es", "peso de buenos"),
        ("harvest", "sheet", "es", "cosecha"),
        (
            {
                "reading_1": {"number": 40.0, "unit": "oz", "kg": 1.133980925},
                "reading_2": None,
                "reading_3": {"number": 40.0, "unit": "g", "kg": 0.04},
            },
            "choices",
            "es",
            "40 oz (2.5 lb) o 40 g (1.4 oz)",
        ),
        (None, "weight", "en", ""),
    ],
)
def test_values_come_as_ready_text_in_both_languages(value, kind, language, text):
    assert shown(value, kind, language, "us") == text


@pytest.mark.parametrize(
    ("check", "values", "message"),
    [
        ("weight-blank", {"line": "3", "plot": "2", "fruits": "8 fruits"}, "You counted 8 fruits"),
        (
            "plot-unknown",
            {"line": "3", "sent": "99", "garden": "Windmill Lot"},
            "Windmill Lot has no plot “99”.",
        ),
        ("file-header-only", {"file": "a: b.csv"}, "In a: b.csv we see the column names"),
    ],
)
def test_a_message_can_leave_out_the_row_that_the_page_has_named(check, values, message):
    assert in_words(check, values, names_place=False).message.startswith(message)
