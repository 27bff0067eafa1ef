"""What is said above a line along heat, rain or soil: where the gain is larger, and what nobody can tell."""

from types import MappingProxyType

from pipeline.publish.sentences import FEW_FOR_SLOPE, Sentence, count, directed
from pipeline.words import marked, translate

#: Axes that are estimated from weather stations near a garden, not measured in it.
ESTIMATED = frozenset(
    ("degree_days_c_per_day", "hot_days", "warm_nights", "rain_mm_per_day", "freeze_free_days")
)

#: What there is more of along an axis.
THINGS = MappingProxyType(
    {
        "degree_days_c_per_day": marked("where it is warmer"),
        "hot_days": marked("with more hot days"),
        "warm_nights": marked("with more warm nights"),
        "rain_mm_per_day": marked("with more rain"),
        "freeze_free_days": marked("with more days between freezes"),
        "elevation_m": marked("higher above the sea"),
        "ph": marked("where soil pH is higher"),
        "organic_matter_pct": marked("with more organic matter"),
    }
)


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
    if axis not in THINGS:
        return Sentence("", "")
    said = translate(language)
    thing, counts = said.gettext(THINGS[axis]), count(gardens, "garden", language)
    low, high = slope
    if low is None or high is None or low <= 0 <= high:
        text = said.gettext("We cannot tell yet if the gain is larger or smaller {thing} ({gardens}).")
        text = text.format(thing=thing, gardens=counts)
        if gardens < FEW_FOR_SLOPE:
            more_gardens = said.gettext("More gardens would help.")
            text = f"{text} {more_gardens}"
    else:
        least, most = (directed(end, language) for end in ends)
        larger, smaller = said.pgettext("the gain is", "larger"), said.pgettext("the gain is", "smaller")
        text = said.gettext(
            "The gain over {C} is {change} {thing}: from about {least} to {most} over these gardens "
            "({gardens})."
        )
        change = larger if low > 0 else smaller
        text = text.format(C=control, change=change, thing=thing, least=least, most=most, gardens=counts)
    cautions = [said.gettext("This is a pattern, not a cause.")]
    if axis in ESTIMATED:
        cautions.append(said.gettext("The weather is an estimate from stations near each garden."))
    if moves_together:
        cautions.append(
            said.gettext(
                "Other things change along with it here, so the line cannot tell which of them matters."
            )
        )
    return Sentence(text, " ".join(cautions))
