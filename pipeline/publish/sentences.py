"""The sentences above figures: what the interval allows to be said, and no more.

A sentence is chosen by the interval alone, never by the middle value. One that is not sure says so; none
says that there is no effect. English and Spanish have the same grammar.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

import numpy as np

from pipeline.checks.words import shown_date

LANGUAGES = ("en", "es")

#: Fewer gardens than this cannot speak for other gardens; common practice, no source.
TOO_FEW = 4
#: Fewer gardens than this call for more where no slope can be told (Cochrane Handbook, chapter 10.11,
#: from memory: about ten studies for each covariate).
FEW_FOR_SLOPE = 10


@dataclass(frozen=True)
class Sentence:
    """What stands above a figure: the finding, and how sure it is."""

    sentence: str
    sure: str


@dataclass(frozen=True)
class Interval:
    """A middle value with its likely range, in percent more than the control."""

    middle: float
    low: float
    high: float


def percent(log_ratio: float) -> float:
    """Return percent more than the control for a log ratio."""
    return float(np.expm1(log_ratio) * 100)


def network_sentence(
    treatment: str,
    control: str,
    likely: Interval | None,
    new_garden: Interval | None,
    gardens: int,
    plots: int,
    language: str,
) -> Sentence:
    """Return what the treatment gave over the network; intervals are None where there are too few gardens."""
    counts = f"{count(gardens, 'garden', language)}, {count(plots, 'plot', language)}"
    if likely is None or gardens < TOO_FEW:
        return Sentence(too_few(gardens, language), "")
    low, high = number(likely.low), number(likely.high)
    middle = number(likely.middle)
    if likely.low > 0 or likely.high < 0:
        more = _MORE[language][likely.low > 0]
        near, far = sorted((likely.low, likely.high), key=abs)
        text = _CLEAR[language].format(T=treatment, C=control, mid=middle, more=more)
        sure = _RANGE[language].format(low=number(near), high=number(far), more=more, counts=counts)
    else:
        text = _CANNOT_TELL[language].format(T=treatment, C=control)
        sure = _COULD_BE[language].format(low=low, high=high, counts=counts)
    return Sentence(begun(text), f"{sure} {new_garden_sentence(new_garden, language)}".strip())


def amount_sentence(
    treatment: str, control: str, likely: Interval | None, gardens: int, plots: int, language: str
) -> Sentence:
    """Return what the treatment gave in the outcome's own unit; `likely` is a difference and its interval."""
    counts = f"{count(gardens, 'garden', language)}, {count(plots, 'plot', language)}"
    if likely is None or gardens < TOO_FEW:
        return Sentence(too_few(gardens, language), "")
    if likely.low > 0 or likely.high < 0:
        more = _MORE[language][likely.low > 0]
        near, far = sorted((abs(likely.low), abs(likely.high)))
        text = _CLEAR_AMOUNT[language].format(
            T=treatment, C=control, mid=f"{abs(likely.middle):.3g}", more=more
        )
        sure = _AMOUNT_RANGE[language].format(low=f"{near:.3g}", high=f"{far:.3g}", more=more, counts=counts)
    else:
        text = _CANNOT_TELL[language].format(T=treatment, C=control)
        low, high = f"{abs(likely.low):.3g}", f"{likely.high:.3g}"
        sure = _AMOUNT_COULD_BE[language].format(low=low, high=high, counts=counts)
    return Sentence(begun(text), sure)


def new_garden_sentence(new_garden: Interval | None, language: str) -> str:
    """Return what a new garden should expect; blank where that is not known."""
    if new_garden is None:
        return ""
    low, high = directed(new_garden.low, language), directed(new_garden.high, language)
    text = _NEW_GARDEN[language].format(low=low, high=high)
    return f"{text} {_MAY_HELP[language]}" if new_garden.low <= 0 <= new_garden.high else text


def gradient_sentence(
    control: str,
    west: float,
    east: float,
    slope_low: float | None,
    slope_high: float | None,
    gardens: int,
    language: str,
) -> str:
    """Return how the gain changes from west to east; `west` and `east` are percent at the two ends."""
    counts = count(gardens, "garden", language)
    if slope_low is None or slope_high is None or slope_low <= 0 <= slope_high:
        text = _NO_SLOPE[language].format(gardens=counts)
        return f"{text} {_MORE_GARDENS[language]}" if gardens < FEW_FOR_SLOPE else text
    change = _CHANGES[language][slope_low > 0]
    return _SLOPE[language].format(
        C=control, change=change, west=directed(west, language), east=directed(east, language), gardens=counts
    )


def pattern_not_cause(language: str) -> str:
    """Return what always stands under a west-to-east figure."""
    return _PATTERN[language]


def so_far_sentence(gardens: int, today: date, close: date, language: str) -> Sentence:
    """Return what may be said before a trial closes: how far it is, and nothing about the treatment."""
    counts = count(gardens, "garden", language)
    text = _SO_FAR[language].format(gardens=counts)
    sure = _UNTIL[language].format(date=shown_date(today, language), close=shown_date(close, language))
    return Sentence(text, sure)


def over_seasons_sentence(seasons: int, gardens: int, garden_seasons: int, language: str) -> str:
    """Return over how many seasons an answer is, and that gardens which came back count once."""
    came_back = _CAME_BACK[language] if garden_seasons > gardens else ""
    return f"{_OVER[language].format(seasons=count(seasons, 'season', language))} {came_back}".strip()


def compare_sentence(treatment: str, control: str, ahead: int, gardens: int, language: str) -> Sentence:
    """Return in how many gardens the treatment gave more, as a count and not as a claim."""
    counts = count(gardens, "garden", language)
    text = _AHEAD[language].format(T=treatment, C=control, ahead=ahead, gardens=counts)
    return Sentence(begun(text), _ONE_GARDEN_IS_SMALL[language])


def watch_sentence(states: Mapping[str, int], language: str) -> Sentence:
    """Return how many gardens are in step tonight and what the others need; `states` counts them by state."""
    said = [
        _STATES[language][state].format(gardens=count(gardens, "garden", language))
        for state, gardens in states.items()
        if gardens and state in _STATES[language]
    ]
    return Sentence(begun("; ".join(said)) + ".", "") if said else Sentence("", "")


def number(value: float) -> str:
    """Return the size of a percentage with at most two digits that matter."""
    size = abs(value)
    if size >= 100:
        return f"{round(size, -1):,.0f}"
    return f"{size:.0f}" if size >= 0.95 else f"{size:.1f}"


def directed(value: float, language: str) -> str:
    """Return a percentage with its direction in words."""
    return f"{number(value)} {_PERCENT[language]} {_MORE[language][value >= 0]}"


def begun(sentence: str) -> str:
    """Return the sentence with a capital letter, whatever a treatment is called."""
    return sentence[:1].upper() + sentence[1:]


def too_few(gardens: int, language: str) -> str:
    """Return that so few gardens cannot speak for others."""
    counts = count(gardens, "garden", language)
    if language == "es":
        few = "Es muy poco" if gardens == 1 else "Son muy pocos"
        return f"Hasta hoy solo {counts}. {few} para hablar por otros huertos."
    return f"Only {counts} so far. That is too few to speak for other gardens."


_NOUNS = {
    ("garden", "en"): ("garden", "gardens"),
    ("plot", "en"): ("plot", "plots"),
    ("garden", "es"): ("huerto", "huertos"),
    ("plot", "es"): ("parcela", "parcelas"),
    ("season", "en"): ("season", "seasons"),
    ("season", "es"): ("temporada", "temporadas"),
}


def count(value: int, noun: str, language: str) -> str:
    """Return a number of gardens, plots or seasons with its noun."""
    singular, plural = _NOUNS[noun, language]
    return f"{value:,} {singular if value == 1 else plural}"


_MORE = {"en": {True: "more", False: "less"}, "es": {True: "más", False: "menos"}}
_PERCENT = {"en": "percent", "es": "por ciento"}
_CHANGES = {"en": {True: "larger", False: "smaller"}, "es": {True: "crece", False: "baja"}}
_CLEAR = {
    "en": "{T} gave about {mid} percent {more} than {C}.",
    "es": "{T} dio cerca de {mid} por ciento {more} que {C}.",
}
_RANGE = {
    "en": "The likely range is {low} to {high} percent {more} ({counts}).",
    "es": "El rango probable es de {low} a {high} por ciento {more} ({counts}).",
}
_CLEAR_AMOUNT = {
    "en": "{T} gave about {mid} {more} than {C}.",
    "es": "{T} dio cerca de {mid} {more} que {C}.",
}
_AMOUNT_RANGE = {
    "en": "The likely range is {low} to {high} {more} ({counts}).",
    "es": "El rango probable es de {low} a {high} {more} ({counts}).",
}
_AMOUNT_COULD_BE = {
    "en": "It could be from {low} less to {high} more ({counts}).",
    "es": "Puede ser desde {low} menos hasta {high} más ({counts}).",
}
_CANNOT_TELL = {
    "en": "We cannot tell yet if {T} gives more or less than {C}.",
    "es": "Todavía no se puede saber si {T} da más o menos que {C}.",
}
_COULD_BE = {
    "en": "It could be from {low} percent less to {high} percent more ({counts}).",
    "es": "Puede ser desde {low} por ciento menos hasta {high} por ciento más ({counts}).",
}
_NEW_GARDEN = {
    "en": "A new garden like these could see from {low} to {high}.",
    "es": "Un huerto nuevo como estos podría ver desde {low} hasta {high}.",
}
_MAY_HELP = {
    "en": "So it may help in one garden and not in the next.",
    "es": "Así que puede ayudar en un huerto y en otro no.",
}
_SLOPE = {
    "en": "The gain over {C} gets {change} toward the east: about {west} at the western end and {east} "
    "at the eastern end ({gardens}).",
    "es": "La ventaja sobre {C} {change} hacia el este: cerca de {west} en el extremo oeste y {east} "
    "en el extremo este ({gardens}).",
}
_NO_SLOPE = {
    "en": "We cannot tell yet if the gain changes from west to east ({gardens}).",
    "es": "Todavía no se puede saber si la ventaja cambia de oeste a este ({gardens}).",
}
_MORE_GARDENS = {"en": "More gardens would help.", "es": "Ayudaría tener más huertos."}
_PATTERN = {
    "en": "This is a pattern, not a cause. Heat, rain and soil change along the same line.",
    "es": "Es un patrón, no una causa. El calor, la lluvia y el suelo cambian en la misma línea.",
}
_AHEAD = {
    "en": "{T} gave more than {C} in {ahead} of {gardens}.",
    "es": "{T} dio más que {C} en {ahead} de {gardens}.",
}
_ONE_GARDEN_IS_SMALL = {
    "en": "A garden alone is a small trial: read one column as a hint, the whole row as an answer.",
    "es": "Un huerto solo es una prueba pequeña: una columna es una pista; toda la fila, la respuesta.",
}
_OVER = {"en": "This is over {seasons}.", "es": "Esto es de {seasons}."}
_CAME_BACK = {
    "en": "A garden that came back counts as one garden.",
    "es": "Un huerto que regresó cuenta como uno solo.",
}
_STATES = {
    "en": {
        "in step": "{gardens} in step",
        "late": "{gardens} late",
        "held": "{gardens} with rows on hold",
        "question": "{gardens} with questions",
        "not yet picked": "{gardens} not yet picked",
        "resting": "{gardens} resting",
        "closed": "{gardens} closed for the season",
    },
    "es": {
        "in step": "{gardens} al corriente",
        "late": "{gardens} con retraso",
        "held": "{gardens} con filas en espera",
        "question": "{gardens} con preguntas",
        "not yet picked": "{gardens} sin cortes todavía",
        "resting": "{gardens} en descanso",
        "closed": "{gardens} con la temporada cerrada",
    },
}
_SO_FAR = {
    "en": "So far {gardens} sent pickings.",
    "es": "Por ahora {gardens} enviaron cortes.",
}
_UNTIL = {
    "en": "Up to {date}; this can still change until {close}. A plot that ripens later looks worse until it "
    "catches up, so we do not compare yet.",
    "es": "Hasta el {date}; puede cambiar hasta el {close}. Una parcela que madura más tarde se ve peor "
    "hasta que alcanza a las demás; por eso todavía no comparamos.",
}
