"""Above a line along heat, rain or soil stands what it shows and what it cannot tell."""

from pipeline.publish.axis_sentences import ESTIMATED, THINGS, axis_sentence
from pipeline.response.season_lines import AXES, ROW_AXIS
from pipeline.words import translate


def said(axis="rain_mm_per_day", slope=(0.01, 0.2), gardens=20, language="en", moves_together=False):
    return axis_sentence(
        axis, "bare soil", (8.0, 31.0), slope, gardens, language, moves_together=moves_together
    )


def test_a_change_is_told_where_the_slope_leaves_out_zero():
    assert said().sentence == (
        "The gain over bare soil is larger with more rain: from about 8 percent more to 31 percent more "
        "over these gardens (20 gardens)."
    )


def test_without_a_clear_slope_nothing_is_told():
    assert said(slope=(-0.1, 0.2)).sentence == (
        "We cannot tell yet if the gain is larger or smaller with more rain (20 gardens)."
    )
    assert said(slope=(None, None), gardens=5).sentence.endswith("More gardens would help.")


def test_weather_is_called_an_estimate_and_soil_is_not():
    assert "estimate from stations" in said().sure
    assert "estimate" not in said("ph").sure


def test_axes_that_move_together_are_a_caution():
    assert said(moves_together=True).sure.endswith("so the line cannot tell which of them matters.")


def test_spanish_says_the_same():
    found = said("hot_days", (-0.2, -0.01), language="es")
    assert found.sentence.startswith("La ventaja sobre bare soil es menor con más días calurosos")
    assert "estimación" in found.sure


def test_every_axis_but_the_row_itself_has_words_in_both_languages():
    assert set(AXES) - {ROW_AXIS} == set(THINGS)
    assert all(translate("es").gettext(thing) != thing for thing in THINGS.values())
    assert set(THINGS) > ESTIMATED


def test_the_row_of_gardens_has_its_own_sentence():
    assert said(ROW_AXIS).sentence == ""
