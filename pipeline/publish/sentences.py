"""The sentences above figures: what the interval allows to be said, and no more.

A sentence is chosen by the interval alone, never by the middle value. One that is not sure says so; none
says that there is no effect. English and Spanish have the same grammar.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

import numpy as np

from pipeline.checks.words import shown_date
from pipeline.words import marked, translate

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
    margin: float | None = None,
) -> Sentence:
    """Return what the treatment gave over the network; intervals are None where there are too few gardens.

    Only where the network set a `margin`, in percent, and the whole interval lies within it, are treatment
    and control said to give about the same.
    """
    said, counts = translate(language), _gardens_and_plots(gardens, plots, language)
    if likely is None or gardens < TOO_FEW:
        return Sentence(no_range(gardens, language), "")
    if likely.low > 0 or likely.high < 0:
        more = _more(likely.low > 0, language)
        near, far = sorted((likely.low, likely.high), key=abs)
        text = said.gettext("{T} gave about {mid} percent {more} than {C}.")
        text = text.format(T=treatment, C=control, mid=number(likely.middle), more=more)
        sure = said.gettext("The likely range is {low} to {high} percent {more} ({counts}).")
        sure = sure.format(low=number(near), high=number(far), more=more, counts=counts)
    elif margin is not None and -margin < likely.low and likely.high < margin:
        text = said.gettext("{T} and {C} gave about the same.").format(T=treatment, C=control)
        sure = said.gettext("Any difference is likely under {margin} percent ({counts}).")
        sure = sure.format(margin=number(margin), counts=counts)
    else:
        text = _cannot_tell(treatment, control, language)
        sure = said.gettext("It could be from {low} percent less to {high} percent more ({counts}).")
        sure = sure.format(low=number(likely.low), high=number(likely.high), counts=counts)
    return Sentence(begun(text), f"{sure} {new_garden_sentence(new_garden, language)}".strip())


def amount_sentence(
    treatment: str, control: str, likely: Interval | None, gardens: int, plots: int, language: str
) -> Sentence:
    """Return what the treatment gave in the outcome's own unit; `likely` is a difference and its interval."""
    said, counts = translate(language), _gardens_and_plots(gardens, plots, language)
    if likely is None or gardens < TOO_FEW:
        return Sentence(no_range(gardens, language), "")
    if likely.low > 0 or likely.high < 0:
        more = _more(likely.low > 0, language)
        near, far = sorted((abs(likely.low), abs(likely.high)))
        text = said.gettext("{T} gave about {mid} {more} than {C}.")
        text = text.format(T=treatment, C=control, mid=f"{abs(likely.middle):.3g}", more=more)
        sure = said.gettext("The likely range is {low} to {high} {more} ({counts}).")
        sure = sure.format(low=f"{near:.3g}", high=f"{far:.3g}", more=more, counts=counts)
    else:
        text = _cannot_tell(treatment, control, language)
        sure = said.gettext("It could be from {low} less to {high} more ({counts}).")
        sure = sure.format(low=f"{abs(likely.low):.3g}", high=f"{likely.high:.3g}", counts=counts)
    return Sentence(begun(text), sure)


def new_garden_sentence(new_garden: Interval | None, language: str) -> str:
    """Return what a new garden should expect; blank where that is not known."""
    if new_garden is None:
        return ""
    said = translate(language)
    low, high = directed(new_garden.low, language), directed(new_garden.high, language)
    text = said.gettext("A new garden like these could see from {low} to {high}.").format(low=low, high=high)
    may_help = said.gettext("So it may help in one garden and not in the next.")
    return f"{text} {may_help}" if new_garden.low <= 0 <= new_garden.high else text


def gradient_sentence(
    control: str,
    west: float,
    east: float,
    slope_low: float | None,
    slope_high: float | None,
    gardens: int,
    language: str,
    flat_below: float | None = None,
) -> str:
    """Return how the gain changes from west to east; `west` and `east` are percent at the two ends.

    Only where `flat_below` is given, and the whole interval of the slope lies within it on both sides, is the
    gain said to be about the same everywhere.
    """
    said, counts = translate(language), gardens_text(gardens, language)
    if slope_low is None or slope_high is None or slope_low <= 0 <= slope_high:
        if flat_below is not None and _steepest(slope_low, slope_high) < flat_below:
            text = said.gettext("The gain is about the same from west to east ({gardens}).")
            return text.format(gardens=counts)
        text = said.gettext("We cannot tell yet if the gain changes from west to east ({gardens}).")
        text = text.format(gardens=counts)
        more_gardens = said.gettext("More gardens would help.")
        return f"{text} {more_gardens}" if gardens < FEW_FOR_SLOPE else text
    larger, smaller = said.pgettext("the gain gets", "larger"), said.pgettext("the gain gets", "smaller")
    return said.gettext(
        "The gain over {C} gets {change} toward the east: about {west} at the western end and {east} "
        "at the eastern end ({gardens})."
    ).format(
        C=control,
        change=larger if slope_low > 0 else smaller,
        west=directed(west, language),
        east=directed(east, language),
        gardens=counts,
    )


def pattern_not_cause(language: str) -> str:
    """Return what always stands under a west-to-east figure."""
    return translate(language).gettext(
        "This is a pattern, not a cause. Heat, rain and soil change along the same line."
    )


def so_far_sentence(gardens: int, today: date, close: date, language: str) -> Sentence:
    """Return what may be said before a trial closes: how far it is, and nothing about the treatment."""
    said = translate(language)
    text = said.gettext("So far {gardens} sent pickings.").format(gardens=gardens_text(gardens, language))
    sure = said.gettext(
        "Up to {date}; this can still change until {close}. A plot that ripens later looks worse until it "
        "catches up, so we do not compare yet."
    )
    sure = sure.format(date=shown_date(today, language), close=shown_date(close, language))
    return Sentence(text, sure)


def over_seasons_sentence(seasons: int, gardens: int, garden_seasons: int, language: str) -> str:
    """Return over how many seasons an answer is, and that gardens which came back count once."""
    said = translate(language)
    over = said.gettext("This is over {seasons}.").format(seasons=count(seasons, "season", language))
    came_back = said.gettext("A garden that came back counts as one garden.")
    return f"{over} {came_back}" if garden_seasons > gardens else over


def compare_sentence(treatment: str, control: str, ahead: int, gardens: int, language: str) -> Sentence:
    """Return in how many gardens the treatment gave more, as a count and not as a claim."""
    said = translate(language)
    text = said.gettext("{T} gave more than {C} in {ahead} of {gardens}.")
    text = text.format(T=treatment, C=control, ahead=ahead, gardens=gardens_text(gardens, language))
    small = said.gettext(
        "A garden alone is a small trial: read one column as a hint, the whole row as an answer."
    )
    return Sentence(begun(text), small)


def watch_sentence(states: Mapping[str, int], language: str) -> Sentence:
    """Return how many gardens are in step tonight and what the others need; `states` counts them by state."""
    words = [
        translate(language).gettext(_STATES[state]).format(gardens=gardens_text(gardens, language))
        for state, gardens in states.items()
        if gardens and state in _STATES
    ]
    return Sentence(begun("; ".join(words)) + ".", "") if words else Sentence("", "")


def number(value: float) -> str:
    """Return the size of a percentage with at most two digits that matter."""
    size = abs(value)
    if size >= 100:
        return f"{round(size, -1):,.0f}"
    return f"{size:.0f}" if size >= 0.95 else f"{size:.1f}"


def directed(value: float, language: str) -> str:
    """Return a percentage with its direction in words."""
    percentage = translate(language).gettext("{n} percent").format(n=number(value))
    return f"{percentage} {_more(value >= 0, language)}"


def count(value: int, noun: str, language: str) -> str:
    """Return a number of gardens, plots or seasons with its noun."""
    said = translate(language)
    text = {
        "garden": said.ngettext("{n} garden", "{n} gardens", value),
        "plot": said.ngettext("{n} plot", "{n} plots", value),
        "season": said.ngettext("{n} season", "{n} seasons", value),
    }[noun]
    return text.format(n=f"{value:,}")


def gardens_text(gardens: int, language: str) -> str:
    """Return a number of gardens in words."""
    return count(gardens, "garden", language)


def _gardens_and_plots(gardens: int, plots: int, language: str) -> str:
    return f"{gardens_text(gardens, language)}, {count(plots, 'plot', language)}"


def begun(sentence: str) -> str:
    """Return the sentence with a capital letter, whatever a treatment is called."""
    return sentence[:1].upper() + sentence[1:]


def _more(is_more: bool, language: str) -> str:
    said = translate(language)
    return said.gettext("more") if is_more else said.gettext("less")


def _cannot_tell(treatment: str, control: str, language: str) -> str:
    text = translate(language).gettext("We cannot tell yet if {T} gives more or less than {C}.")
    return text.format(T=treatment, C=control)


def _steepest(low: float | None, high: float | None) -> float:
    return float("inf") if low is None or high is None else max(abs(low), abs(high))


def steepest_flat(margin: float | None, length: float) -> float | None:
    """Return the slope of log ratios at which the gain changes by `margin` percent over the row's length."""
    return None if margin is None or length <= 0 else float(np.log1p(margin / 100) / length)


def no_range(gardens: int, language: str) -> str:
    """Return why there is no likely range: few gardens, or gardens that leave nothing to tell chance by."""
    if gardens < TOO_FEW:
        return too_few(gardens, language)
    return (
        translate(language)
        .gettext(
            "All {gardens} show exactly the same, so we cannot tell what chance does and how sure this is."
        )
        .format(gardens=gardens_text(gardens, language))
    )


def too_few(gardens: int, language: str) -> str:
    """Return that so few gardens cannot speak for others."""
    text = translate(language).ngettext(
        "Only {n} garden so far. That is too few to speak for other gardens.",
        "Only {n} gardens so far. That is too few to speak for other gardens.",
        gardens,
    )
    return text.format(n=f"{gardens:,}")


#: What the gardens of a state are said to be.
_STATES = {
    "in step": marked("{gardens} in step"),
    "late": marked("{gardens} late"),
    "held": marked("{gardens} with rows on hold"),
    "question": marked("{gardens} with questions"),
    "not yet picked": marked("{gardens} not yet picked"),
    "resting": marked("{gardens} resting"),
    "closed": marked("{gardens} closed for the season"),
}
