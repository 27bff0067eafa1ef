"""What the network says of an outcome in words that fit it: more fruits, higher survival, earlier picking.

A sentence is chosen by the interval alone, as in `sentences`. Ratios are said in percent, shares in points
out of 100, dates in days; English and Spanish have the same grammar.
"""

from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from pipeline.publish.sentences import (
    TOO_FEW,
    Interval,
    Sentence,
    begun,
    count,
    network_sentence,
    new_garden_sentence,
    no_range,
    number,
)
from pipeline.words import marked, translate

#: What a difference is counted in.
Unit = Literal["percent", "point", "day"]


@dataclass(frozen=True)
class Words:
    """How one outcome is said, in English; translations are looked up by it.

    `is_clear` has {T}, {C}, {mid} with its unit, and {way}; `is_open` {T} and {C}; `ways` are the words for
    less and more. `per` turns the outcome's number into the one that is said.
    """

    is_clear: str
    is_open: str
    ways: tuple[str, str]
    unit: Unit
    per: float = 1.0


_LESS_MORE = marked("less"), marked("more")
_FEWER_MORE = marked("fewer"), marked("more")
_LOWER_HIGHER = marked("lower"), marked("higher")
_EARLIER_LATER = marked("earlier"), marked("later")

#: Outcomes by name; weight per plant, which needs no noun, is not among them.
WORDS = MappingProxyType(
    {
        "marketable_kg_per_survivor": Words(
            marked("{T} gave about {mid} {way} weight per surviving plant than {C}."),
            marked("We cannot tell yet if {T} gives more or less weight per surviving plant than {C}."),
            _LESS_MORE,
            "percent",
        ),
        "marketable_fruits_per_plant": Words(
            marked("{T} gave about {mid} {way} fruits per plant than {C}."),
            marked("We cannot tell yet if {T} gives more or fewer fruits per plant than {C}."),
            _FEWER_MORE,
            "percent",
        ),
        "mean_fruit_mass_g": Words(
            marked("{T} had about {mid} {way} weight per fruit than {C}."),
            marked("We cannot tell yet if {T} has more or less weight per fruit than {C}."),
            _LESS_MORE,
            "percent",
        ),
        "early_kg_per_plant": Words(
            marked("{T} gave about {mid} {way} early weight than {C}."),
            marked("We cannot tell yet if {T} gives more or less early weight than {C}."),
            _LESS_MORE,
            "percent",
        ),
        "height_cm": Words(
            marked("{T} had about {mid} {way} height than {C}."),
            marked("We cannot tell yet if {T} has more or less height than {C}."),
            _LESS_MORE,
            "percent",
        ),
        "marketable_share": Words(
            marked("With {T}, the marketable share was about {mid} out of 100 {way} than with {C}."),
            marked("We cannot tell yet if the marketable share is higher or lower with {T} than with {C}."),
            _LOWER_HIGHER,
            "point",
            100.0,
        ),
        "survival": Words(
            marked("With {T}, the share of plants alive was about {mid} out of 100 {way} than with {C}."),
            marked(
                "We cannot tell yet if the share of plants alive is higher or lower with {T} than with {C}."
            ),
            _LOWER_HIGHER,
            "point",
            100.0,
        ),
        "relative_audpc": Words(
            marked("With {T}, the share of leaf sick was about {mid} out of 100 {way} than with {C}."),
            marked("We cannot tell yet if the share of leaf sick is higher or lower with {T} than with {C}."),
            _LOWER_HIGHER,
            "point",
            100.0,
        ),
        "days_to_first_harvest": Words(
            marked("With {T}, the first picking came about {mid} {way} than with {C}."),
            marked("We cannot tell yet if the first picking comes earlier or later with {T} than with {C}."),
            _EARLIER_LATER,
            "day",
        ),
    }
)


def outcome_sentence(
    outcome: str,
    treatment: str,
    control: str,
    likely: Interval | None,
    new_garden: Interval | None,
    gardens: int,
    plots: int,
    language: str,
    margin: float | None = None,
) -> Sentence:
    """Return what the treatment did to an outcome; intervals are None where there are too few gardens.

    Intervals are in percent for ratios, else in the outcome's own unit. An outcome without words of its own
    is said as weight per plant is; `margin` is of it.
    """
    words = WORDS.get(outcome)
    if words is None:
        return network_sentence(treatment, control, likely, new_garden, gardens, plots, language, margin)
    if likely is None or gardens < TOO_FEW:
        return Sentence(no_range(gardens, language), "")
    said = translate(language)
    counts = f"{count(gardens, 'garden', language)}, {count(plots, 'plot', language)}"
    low, middle, high = (words.per * value for value in (likely.low, likely.middle, likely.high))
    less, more = (said.gettext(way) for way in words.ways)
    if low > 0 or high < 0:
        way = more if low > 0 else less
        near, far = sorted((abs(low), abs(high)))
        mid = _amount(middle, words.unit, language)
        text = said.gettext(words.is_clear).format(T=treatment, C=control, mid=mid, way=way)
        span = {"low": number(near), "high": _amount(far, words.unit, language), "way": way}
        sure = said.gettext("The likely range is {low} to {high} {way} ({counts}).").format(
            counts=counts, **span
        )
    else:
        text = said.gettext(words.is_open).format(T=treatment, C=control)
        least, most = (_amount(end, words.unit, language) for end in (low, high))
        span = {"low": least, "less": less, "high": most, "more": more}
        sure = said.gettext("It could be from {low} {less} to {high} {more} ({counts}).").format(
            counts=counts, **span
        )
    expected = new_garden_sentence(new_garden, language) if words.unit == "percent" else ""
    return Sentence(begun(text), f"{sure} {expected}".strip())


def gave_nothing_sentence(gardens: int, language: str) -> str:
    """Return how many gardens a ratio had to leave out because the control gave nothing; blank for none."""
    if gardens == 0:
        return ""
    text = translate(language).ngettext(
        "In {gardens} the control gave nothing, so there is no ratio and it is left out.",
        "In {gardens} the control gave nothing, so there is no ratio and they are left out.",
        gardens,
    )
    return text.format(gardens=count(gardens, "garden", language))


def _amount(value: float, unit: Unit, language: str) -> str:
    said, size = translate(language), number(value)
    # What is read as 1 is one, whatever stands behind the point.
    several = 1 if size == "1" else 2
    text = {
        "percent": said.gettext("{n} percent"),
        "point": said.ngettext("{n} point", "{n} points", several),
        "day": said.ngettext("{n} day", "{n} days", several),
    }[unit]
    return text.format(n=size)
