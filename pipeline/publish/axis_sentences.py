"""What is said above a line along heat, rain or soil: where the gain is larger, and what nobody can tell."""

from types import MappingProxyType

from pipeline.publish.sentences import FEW_FOR_SLOPE, Sentence, count, directed

#: Axes that are estimated from weather stations near a garden, not measured in it.
ESTIMATED = frozenset(
    ("degree_days_c_per_day", "hot_days", "warm_nights", "rain_mm_per_day", "freeze_free_days")
)

#: What there is more of along an axis, by language.
THINGS = MappingProxyType(
    {
        "en": {
            "degree_days_c_per_day": "where it is warmer",
            "hot_days": "with more hot days",
            "warm_nights": "with more warm nights",
            "rain_mm_per_day": "with more rain",
            "freeze_free_days": "with more days between freezes",
            "elevation_m": "higher above the sea",
            "ph": "where soil pH is higher",
            "organic_matter_pct": "with more organic matter",
        },
        "es": {
            "degree_days_c_per_day": "donde hace más calor",
            "hot_days": "con más días calurosos",
            "warm_nights": "con más noches cálidas",
            "rain_mm_per_day": "con más lluvia",
            "freeze_free_days": "con más días entre heladas",
            "elevation_m": "a mayor altura sobre el mar",
            "ph": "donde el pH del suelo es más alto",
            "organic_matter_pct": "con más materia orgánica",
        },
    }
)

_CHANGES = {"en": {True: "larger", False: "smaller"}, "es": {True: "mayor", False: "menor"}}
_SLOPE = {
    "en": "The gain over {C} is {change} {thing}: from about {least} to {most} "
    "over these gardens ({gardens}).",
    "es": "La ventaja sobre {C} es {change} {thing}: de cerca de {least} a {most} "
    "en estos huertos ({gardens}).",
}
_NO_SLOPE = {
    "en": "We cannot tell yet if the gain is larger or smaller {thing} ({gardens}).",
    "es": "Todavía no se puede saber si la ventaja es mayor o menor {thing} ({gardens}).",
}
_MORE_GARDENS = {"en": "More gardens would help.", "es": "Ayudaría tener más huertos."}
_ESTIMATED = {
    "en": "The weather is an estimate from stations near each garden.",
    "es": "El clima es una estimación con estaciones cercanas a cada huerto.",
}
_TOGETHER = {
    "en": "Other things change along with it here, so the line cannot tell which of them matters.",
    "es": "Otras cosas cambian a la par; por eso la línea no dice cuál de ellas importa.",
}
_PATTERN = {"en": "This is a pattern, not a cause.", "es": "Es un patrón, no una causa."}


def axis_sentence(
    axis: str,
    control: str,
    ends: tuple[float, float],
    slope: tuple[float | None, float | None],
    gardens: int,
    language: str,
    *,
    moves_together: bool,
) -> Sentence:
    """Return how the gain changes along an axis; blank for one that has no words.

    `ends` are percent at the axis's least and most, `slope` the slope's interval, `moves_together` says that
    other axes go along with this one.
    """
    thing = THINGS[language].get(axis)
    if thing is None:
        return Sentence("", "")
    counts = count(gardens, "garden", language)
    low, high = slope
    if low is None or high is None or low <= 0 <= high:
        text = _NO_SLOPE[language].format(thing=thing, gardens=counts)
        more = f" {_MORE_GARDENS[language]}" if gardens < FEW_FOR_SLOPE else ""
        text = f"{text}{more}"
    else:
        least, most = (directed(end, language) for end in ends)
        change = _CHANGES[language][low > 0]
        span = {"least": least, "most": most, "gardens": counts}
        text = _SLOPE[language].format(C=control, change=change, thing=thing, **span)
    cautions = [_ESTIMATED[language]] * (axis in ESTIMATED) + [_TOGETHER[language]] * moves_together
    return Sentence(text, " ".join([_PATTERN[language], *cautions]))
