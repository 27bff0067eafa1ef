"""Messages are plain, quote little, and hold ready text in the reader's units."""

from datetime import date

import pytest

from pipeline.checks.words import catalogue_words, in_words, shown_date, shown_number, shown_weight, values_of

#: Words that a message never uses; the voice of the network.
NEVER = ("invalid", "illegal", "outlier", "error", "null", "anomaly", "failed", "wrong", "mistake")


def test_no_message_blames_or_talks_like_a_program():
    for words in catalogue_words().values():
        text = " ".join(words[f"{part}_en"] for part in ("message", "why", "remedy", "if_nothing")).lower()
        assert [word for word in NEVER if word in text.split()] == []


def test_a_message_quotes_at_most_sixty_characters():
    values = values_of(None, {"sent": "x" * 500, "line": 3, "column": "marketable_weight"}, "en", "us")
    assert len(values["sent"]) == 60


def test_a_sentence_whose_value_is_missing_is_left_out():
    words = in_words("site-unknown", {"line": "3", "sent": "Qx", "nearest": ""})
    assert words.message == "Row 3: we do not know a garden called “Qx”."


def test_text_that_was_sent_is_never_taken_for_a_placeholder():
    words = in_words("site-unknown", {"line": "3", "sent": "{garden}{0}", "nearest": "G01"})
    assert "“{garden}{0}”" in words.message


@pytest.mark.parametrize(
    ("kilograms", "units", "text"),
    [(0.45359237, "us", "1.0 lb"), (0.05, "us", "1.8 oz"), (2.5, "si", "2.50 kg"), (0.25, "si", "250 g")],
)
def test_weights_are_shown_in_the_reader_s_units(kilograms, units, text):
    assert shown_weight(kilograms, units) == text


def test_days_are_shown_with_the_month_as_a_word():
    assert shown_date(date(2026, 7, 12)) == "July 12, 2026"
    assert shown_date(date(2026, 7, 12), "es") == "12 de julio de 2026"


def test_numbers_are_shown_with_the_digits_that_matter():
    assert [shown_number(value) for value in (1250.0, 2.5, 0.3333333)] == ["1,250", "2.5", "0.333"]
