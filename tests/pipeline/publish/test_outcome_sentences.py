"""Each outcome is said in words that fit it, and no sentence claims more than its interval."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.publish.outcome_sentences import WORDS, gave_nothing_sentence, outcome_sentence
from pipeline.publish.sentences import Interval, network_sentence, over_seasons_sentence
from pipeline.words import translate


def said(outcome, likely, language="en", gardens=12, new=None):
    return outcome_sentence(outcome, "straw", "bare soil", likely, new, gardens, 72, language)


@pytest.mark.parametrize(
    ("outcome", "likely", "sentence"),
    [
        (
            "marketable_fruits_per_plant",
            Interval(-20, -31, -8),
            "Straw gave about 20 percent fewer fruits per plant than bare soil.",
        ),
        (
            "survival",
            Interval(0.06, 0.02, 0.1),
            "With straw, the share of plants alive was about 6 points out of 100 higher than with bare soil.",
        ),
        (
            "days_to_first_harvest",
            Interval(-1.1, -2.0, -0.2),
            "With straw, the first picking came about 1 day earlier than with bare soil.",
        ),
        (
            "relative_audpc",
            Interval(0.0, -0.1, 0.1),
            "We cannot tell yet if the share of leaf sick is higher or lower with straw than with bare soil.",
        ),
        (
            "mean_fruit_mass_g",
            Interval(3, -1, 8),
            "We cannot tell yet if straw has more or less weight per fruit than bare soil.",
        ),
    ],
)
def test_an_outcome_is_said_in_its_own_words(outcome, likely, sentence):
    assert said(outcome, likely).sentence == sentence


def test_the_range_is_said_in_the_same_unit():
    assert said("survival", Interval(0.06, 0.02, 0.1)).sure == (
        "The likely range is 2 to 10 points higher (12 gardens, 72 plots)."
    )
    assert said("days_to_first_harvest", Interval(0.5, -1, 2)).sure == (
        "It could be from 1 day earlier to 2 days later (12 gardens, 72 plots)."
    )


def test_spanish_says_the_same():
    found = said("survival", Interval(0.06, 0.02, 0.1), "es")
    assert found.sentence == (
        "Con straw, la parte de plantas vivas fue cerca de 6 puntos de cada 100 mayor que con bare soil."
    )
    assert found.sure == "El rango probable es de 2 a 10 puntos mayor (12 huertos, 72 parcelas)."


@pytest.mark.parametrize("outcome", sorted(WORDS))
def test_every_outcome_is_said_in_spanish_too(outcome):
    words = WORDS[outcome]
    for text in (words.is_clear, words.is_open, *words.ways):
        assert translate("es").gettext(text) != text


def test_weight_per_plant_needs_no_noun():
    likely = Interval(20, 5, 40)
    assert said("marketable_kg_per_plant", likely) == network_sentence(
        "straw", "bare soil", likely, None, 12, 72, "en"
    )


def test_few_gardens_are_too_few_for_any_outcome():
    assert said("survival", Interval(0.06, 0.02, 0.1), gardens=3).sentence.startswith("Only 3 gardens")


@given(
    st.sampled_from(sorted(WORDS)),
    st.floats(-0.9, 0.9),
    st.floats(0.001, 0.9),
    st.floats(0.001, 0.9),
    st.sampled_from(["en", "es"]),
)
def test_a_direction_is_claimed_only_where_the_interval_leaves_out_zero(
    outcome, middle, below, above, language
):
    found = said(outcome, Interval(middle, middle - below, middle + above), language)
    is_open = found.sentence.startswith(("We cannot tell", "Todavía no se puede saber"))
    assert is_open == (middle - below <= 0 <= middle + above)
    assert not any(word in found.sentence for word in ("no effect", "sin efecto", "significant", "proves"))


def test_gardens_whose_control_gave_nothing_are_counted():
    assert gave_nothing_sentence(0, "en") == ""
    assert gave_nothing_sentence(1, "en").startswith("In 1 garden the control gave nothing")
    assert gave_nothing_sentence(3, "es").startswith("En 3 huertos el testigo no dio nada")


def test_seasons_are_counted_and_gardens_that_came_back_are_one():
    assert over_seasons_sentence(2, 10, 10, "en") == "This is over 2 seasons."
    assert over_seasons_sentence(3, 10, 24, "en") == (
        "This is over 3 seasons. A garden that came back counts as one garden."
    )
