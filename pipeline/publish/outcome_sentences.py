"""What the network says of an outcome in words that fit it: more fruits, higher survival, earlier picking.

A sentence is chosen by the interval alone, as in `sentences`. Ratios are said in percent, shares in points
out of 100, dates in days; English and Spanish have the same grammar.
"""

from dataclasses import dataclass
from types import MappingProxyType

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


@dataclass(frozen=True)
class Words:
    """How one outcome is said in one language.

    `is_clear` has {T}, {C}, {mid} with its unit, and {way}; `is_open` {T} and {C}; `ways` are the words for
    less and more; `units` follow one and several. `per` turns the outcome's number into the one that is said.
    """

    is_clear: str
    is_open: str
    ways: tuple[str, str]
    units: tuple[str, str]
    per: float = 1.0


def _ratio(verb: str, ask: str, noun: str, fewer: str = "less") -> Words:
    return Words(
        f"{{T}} {verb} about {{mid}} {{way}} {noun} than {{C}}.",
        f"We cannot tell yet if {{T}} {ask} more or {fewer} {noun} than {{C}}.",
        (fewer, "more"),
        ("percent", "percent"),
    )


def _razon(verb: str, ask: str, noun: str) -> Words:
    return Words(
        f"{{T}} {verb} cerca de {{mid}} {{way}} {noun} que {{C}}.",
        f"Todavía no se puede saber si {{T}} {ask} más o menos {noun} que {{C}}.",
        ("menos", "más"),
        ("por ciento", "por ciento"),
    )


def _share(thing: str) -> Words:
    return Words(
        f"With {{T}}, {thing} was about {{mid}} out of 100 {{way}} than with {{C}}.",
        f"We cannot tell yet if {thing} is higher or lower with {{T}} than with {{C}}.",
        ("lower", "higher"),
        ("point", "points"),
        100.0,
    )


def _parte(thing: str) -> Words:
    return Words(
        f"Con {{T}}, {thing} fue cerca de {{mid}} de cada 100 {{way}} que con {{C}}.",
        f"Todavía no se puede saber si {thing} es mayor o menor con {{T}} que con {{C}}.",
        ("menor", "mayor"),
        ("punto", "puntos"),
        100.0,
    )


#: Outcomes by language; weight per plant, which needs no noun, is not among them.
WORDS = MappingProxyType(
    {
        "en": {
            "marketable_kg_per_survivor": _ratio("gave", "gives", "weight per surviving plant"),
            "marketable_fruits_per_plant": _ratio("gave", "gives", "fruits per plant", "fewer"),
            "mean_fruit_mass_g": _ratio("had", "has", "weight per fruit"),
            "early_kg_per_plant": _ratio("gave", "gives", "early weight"),
            "height_cm": _ratio("had", "has", "height"),
            "marketable_share": _share("the marketable share"),
            "survival": _share("the share of plants alive"),
            "relative_audpc": _share("the share of leaf sick"),
            "days_to_first_harvest": Words(
                "With {T}, the first picking came about {mid} {way} than with {C}.",
                "We cannot tell yet if the first picking comes earlier or later with {T} than with {C}.",
                ("earlier", "later"),
                ("day", "days"),
            ),
        },
        "es": {
            "marketable_kg_per_survivor": _razon("dio", "da", "peso por planta viva"),
            "marketable_fruits_per_plant": _razon("dio", "da", "frutos por planta"),
            "mean_fruit_mass_g": _razon("tuvo", "tiene", "peso por fruto"),
            "early_kg_per_plant": _razon("dio", "da", "cosecha temprana"),
            "height_cm": _razon("tuvo", "tiene", "altura"),
            "marketable_share": _parte("la parte buena de la cosecha"),
            "survival": _parte("la parte de plantas vivas"),
            "relative_audpc": _parte("la parte enferma de la hoja"),
            "days_to_first_harvest": Words(
                "Con {T}, el primer corte llegó cerca de {mid} {way} que con {C}.",
                "Todavía no se puede saber si el primer corte llega más temprano o más tarde con {T} "
                "que con {C}.",
                ("más temprano", "más tarde"),
                ("día", "días"),
            ),
        },
    }
)

#: What a new garden should expect is said in percent only.
_PERCENT = (("percent", "percent"), ("por ciento", "por ciento"))
_RANGE = {
    "en": "The likely range is {low} to {high} {way} ({counts}).",
    "es": "El rango probable es de {low} a {high} {way} ({counts}).",
}
_COULD_BE = {
    "en": "It could be from {low} {less} to {high} {more} ({counts}).",
    "es": "Puede ser desde {low} {less} hasta {high} {more} ({counts}).",
}
_GAVE_NOTHING = {
    "en": "In {gardens} the control gave nothing, so there is no ratio and they are left out.",
    "es": "En {gardens} el testigo no dio nada; ahí no hay proporción y no entran.",
}
_GAVE_NOTHING_ONE = {
    "en": "In {gardens} the control gave nothing, so there is no ratio and it is left out.",
    "es": "En {gardens} el testigo no dio nada; ahí no hay proporción y no entra.",
}


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
    words = WORDS[language].get(outcome)
    if words is None:
        return network_sentence(treatment, control, likely, new_garden, gardens, plots, language, margin)
    if likely is None or gardens < TOO_FEW:
        return Sentence(no_range(gardens, language), "")
    counts = f"{count(gardens, 'garden', language)}, {count(plots, 'plot', language)}"
    low, middle, high = (words.per * value for value in (likely.low, likely.middle, likely.high))
    less, more = words.ways
    if low > 0 or high < 0:
        way = more if low > 0 else less
        near, far = sorted((abs(low), abs(high)))
        text = words.is_clear.format(T=treatment, C=control, mid=_amount(middle, words), way=way)
        span = {"low": number(near), "high": _amount(far, words), "way": way}
        sure = _RANGE[language].format(counts=counts, **span)
    else:
        text = words.is_open.format(T=treatment, C=control)
        span = {"low": _amount(low, words), "less": less, "high": _amount(high, words), "more": more}
        sure = _COULD_BE[language].format(counts=counts, **span)
    expected = new_garden_sentence(new_garden, language) if words.units in _PERCENT else ""
    return Sentence(begun(text), f"{sure} {expected}".strip())


def gave_nothing_sentence(gardens: int, language: str) -> str:
    """Return how many gardens a ratio had to leave out because the control gave nothing; blank for none."""
    if gardens == 0:
        return ""
    said = _GAVE_NOTHING_ONE if gardens == 1 else _GAVE_NOTHING
    return said[language].format(gardens=count(gardens, "garden", language))


def _amount(value: float, words: Words) -> str:
    said = number(value)
    return f"{said} {words.units[said != '1']}"
