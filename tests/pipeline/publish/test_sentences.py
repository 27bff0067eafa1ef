"""A sentence claims what its interval allows and no more."""

import math
from datetime import date
from pathlib import Path

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from pipeline import words
from pipeline.publish.sentences import (
    Interval,
    compare_sentence,
    gradient_sentence,
    network_sentence,
    number,
    so_far_sentence,
    steepest_flat,
    watch_sentence,
)

LIKELY = Interval(27.4, 18.0, 36.2)


def said(likely, new=None, gardens=20, plots=120, language="en"):
    return network_sentence("grafting", "own-root plants", likely, new, gardens, plots, language)


def test_a_clear_gain_is_said_with_its_range():
    found = said(LIKELY)
    assert found.sentence == "Grafting gave about 27 percent more than own-root plants."
    assert found.sure == "The likely range is 18 to 36 percent more (20 gardens, 120 plots)."


def test_a_clear_loss_is_said_with_its_range():
    found = said(Interval(-20.0, -31.0, -8.0))
    assert found.sentence == "Grafting gave about 20 percent less than own-root plants."
    assert found.sure == "The likely range is 8 to 31 percent less (20 gardens, 120 plots)."


def test_an_interval_with_zero_inside_cannot_tell():
    found = said(Interval(12.0, -3.0, 29.0))
    assert found.sentence == "We cannot tell yet if grafting gives more or less than own-root plants."
    assert found.sure == "It could be from 3 percent less to 29 percent more (20 gardens, 120 plots)."


def with_margin(likely, margin, language="en"):
    return network_sentence("grafting", "own-root plants", likely, None, 20, 120, language, margin)


def test_about_the_same_is_said_only_within_a_margin_that_the_network_set():
    narrow = Interval(0.5, -3.0, 4.0)
    found = with_margin(narrow, 5.0)
    assert found.sentence == "Grafting and own-root plants gave about the same."
    assert found.sure == "Any difference is likely under 5 percent (20 gardens, 120 plots)."
    assert with_margin(narrow, 5.0, "es").sentence == "Grafting y own-root plants dieron casi lo mismo."
    for margin in (None, 3.5, 4.0):
        assert "cannot tell" in with_margin(narrow, margin).sentence


def test_a_small_gain_within_the_margin_is_still_a_gain():
    assert "about 3 percent more" in with_margin(Interval(3.0, 1.0, 4.0), 5.0).sentence


@given(st.floats(-80, 80), st.floats(0.1, 60), st.floats(0.1, 60), st.none() | st.floats(0.1, 50))
def test_a_wide_interval_is_never_called_the_same(middle, below, above, margin):
    likely = Interval(middle, middle - below, middle + above)
    within = margin is not None and -margin < likely.low and likely.high < margin
    for language, same in (("en", "about the same"), ("es", "casi lo mismo")):
        assert (same in with_margin(likely, margin, language).sentence) == (
            within and likely.low <= 0 <= likely.high
        )


def test_a_gain_is_flat_only_within_the_margin_over_the_whole_row():
    flat = steepest_flat(5.0, 600.0)
    assert 600 * flat == pytest.approx(math.log(1.05))
    at_both_ends = "x", 10.0, 10.5, -flat * 0.9, flat * 0.9, 20
    assert gradient_sentence(*at_both_ends, "en", flat) == (
        "The gain is about the same from west to east (20 gardens)."
    )
    assert "cannot tell" in gradient_sentence(*at_both_ends, "en")
    assert "cannot tell" in gradient_sentence("x", 10.0, 10.5, -flat * 0.9, flat * 1.1, 20, "en", flat)
    assert steepest_flat(None, 600.0) is None


def test_gardens_that_agree_exactly_are_not_called_few():
    found = said(None, gardens=6)
    assert found.sentence.startswith("All 6 gardens show exactly the same, so we cannot tell")


@pytest.mark.parametrize(
    "word", ["no effect", "proves", "significant", "sin efecto", "demuestra", "significativ"]
)
def test_no_text_claims_more_than_an_interval_can(word):
    catalogue = Path(words.__file__).parent / "locale" / "es" / "LC_MESSAGES" / "longrow.po"
    assert word not in catalogue.read_text(encoding="utf-8").lower()


def test_fewer_than_four_gardens_are_too_few():
    assert (
        said(LIKELY, gardens=3).sentence
        == "Only 3 gardens so far. That is too few to speak for other gardens."
    )
    assert (
        said(None, gardens=1, language="es").sentence
        == "Hasta hoy solo 1 huerto. Es muy poco para hablar por otros huertos."
    )


def test_a_new_garden_may_see_something_else():
    found = said(LIKELY, new=Interval(27.0, -5.0, 70.0))
    assert found.sure.endswith(
        "A new garden like these could see from 5 percent less to 70 percent more. "
        "So it may help in one garden and not in the next."
    )


def test_spanish_has_the_same_grammar():
    assert (
        said(LIKELY, language="es").sentence == "Grafting dio cerca de 27 por ciento más que own-root plants."
    )


@given(st.floats(-90, 300), st.floats(0.1, 60), st.floats(0.1, 60))
def test_the_direction_follows_the_interval_and_never_the_middle(middle, below, above):
    likely = Interval(middle, middle - below, middle + above)
    assume(abs(likely.low) > 1e-6 and abs(likely.high) > 1e-6)
    text = said(likely).sentence
    assert ("cannot tell" in text) == (likely.low <= 0 <= likely.high)
    assert "no effect" not in text


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        (-0.002, -0.001, "gets smaller toward the east"),
        (0.001, 0.002, "gets larger toward the east"),
        (-0.001, 0.001, "cannot tell yet if the gain changes"),
    ],
)
def test_a_slope_is_claimed_only_where_its_interval_leaves_out_zero(low, high, words):
    assert words in gradient_sentence("own-root plants", 53.0, 10.0, low, high, 20, "en")


def test_few_gardens_call_for_more_where_no_slope_can_be_told():
    assert gradient_sentence("x", 1.0, 2.0, -1.0, 1.0, 8, "en").endswith("More gardens would help.")


def test_before_the_close_nothing_is_said_about_the_treatment():
    found = so_far_sentence(24, date(2025, 8, 20), date(2025, 10, 5), "en")
    assert "percent" not in found.sentence + found.sure
    assert "October 5, 2025" in found.sure


@pytest.mark.parametrize(
    ("value", "text"),
    [(0.31, "0.3"), (1.4, "1"), (23.8, "24"), (-23.8, "24"), (148.2, "150"), (1234.0, "1,230")],
)
def test_a_percentage_has_at_most_the_digits_that_matter(value, text):
    assert number(value) == text


def test_gardens_are_counted_by_what_they_need():
    said = watch_sentence({"in step": 17, "late": 3, "held": 0, "question": 1}, "en")
    assert said.sentence == "17 gardens in step; 3 gardens late; 1 garden with questions."


def test_gardens_ahead_are_counted_without_a_claim():
    said = compare_sentence("grafting", "own-root plants", 19, 20, "en")
    assert said.sentence == "Grafting gave more than own-root plants in 19 of 20 gardens."
    assert "small trial" in said.sure
