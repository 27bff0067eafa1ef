"""To a garden that sent nothing for weeks in picking season: a question how its plots are doing."""

from dataclasses import dataclass
from datetime import date

import pandas as pd

from pipeline.checks.shown import shown_date
from pipeline.messages.occasion import Night, Occasion
from pipeline.messages.reader import Reader
from pipeline.publish.sentences import count
from pipeline.settings import Messages
from pipeline.words import translate

#: Days up to tonight in which another garden's picking shows that picking goes on.
PICKING_NOW_DAYS = 7

#: Bands of the heat index from which the lines on heat go in.
HOT = ("heat-extreme-caution", "heat-danger", "heat-extreme-danger")


@dataclass(frozen=True)
class Silence:
    """Since when a garden has been silent, what it sent before, and what else is so tonight."""

    last_picking: date
    days: int
    pickings: int
    plots: int
    others_pick: bool
    is_hot: bool


def silences(night: Night) -> dict[str, Silence]:
    """Return the gardens that have been silent for long, by their names.

    A garden counts where it is late in every trial that it has running, and its newest picking is as many
    days ago as the setting says. One that never picked is asked about by the lead, not here.
    """
    states = night.running("garden_states")
    if states.empty:
        return {}
    states = states.assign(late=states["state"] == "late")
    by_site = states.groupby("site").agg(
        late=("late", "all"), last=("last_picking", "max"), days=("days_silent", "min")
    )
    quiet = by_site[by_site["late"] & (by_site["days"].fillna(0) >= night.settings.messages.silent_days)]
    picking = by_site.index[by_site["last"] > night.tonight - pd.Timedelta(days=PICKING_NOW_DAYS)]
    sent, hot = night.running("plot_curves"), _hot(night)
    found = {}
    for site, row in quiet.iterrows():
        own = sent[sent["site"] == site] if len(sent) else pd.DataFrame({"date": [], "plot": []})
        found[str(site)] = Silence(
            row["last"].date(),
            int(row["days"]),
            own["date"].nunique(),
            own["plot"].nunique(),
            others_pick=bool(picking.difference([site]).size),
            is_hot=site in hot,
        )
    return found


def silence_occasion(reader: Reader, silence: Silence, about: Messages) -> Occasion:
    """Return the question how the plots are doing, with answers to choose from."""
    said = translate(reader.language)
    last = said.ngettext(
        "The last picking we have from you is from {date}. That is {n} day ago.",
        "The last picking we have from you is from {date}. That is {n} days ago.",
        silence.days,
    ).format(date=shown_date(silence.last_picking, reader.language), n=silence.days)
    if silence.others_pick:
        last += " " + said.gettext("Other gardens are picking now.")
    choices = [
        said.gettext("We picked, and the sheet is coming."),
        said.gettext("Nothing is ripe yet."),
        said.gettext("We could not get to it."),
        said.gettext("Something happened to the plants."),
        said.gettext("We need a hand."),
    ]
    which = said.gettext("Which one fits best? Just reply.")
    if about.pages:
        which = said.gettext("Which one fits best? Tell us here: {link} Or just reply.").format(
            link=about.pages
        )
    parts = [
        _sent_so_far(silence, reader.language),
        last,
        which + "\n\n" + "\n".join(f"- {choice}" for choice in choices),
        said.gettext("If you have numbers on paper, you can send a few at a time."),
        said.gettext(
            "If we hear nothing, we leave these days blank. We never fill them with zero. "
            "Your earlier pickings still count."
        ),
    ]
    if silence.is_hot:
        parts.append(
            said.gettext(
                "It is hot these days. Pick early, drink water and rest in the shade. "
                "Follow your local heat advice."
            )
        )
    subject = said.gettext("{garden}: how are your plots doing?").format(garden=reader.name)
    return Occasion(f"silence since {silence.last_picking}", subject, "\n\n".join(parts))


def _sent_so_far(silence: Silence, language: str) -> str:
    said = translate(language)
    return said.gettext("Thank you for all you have sent so far: {pickings} from {plots}.").format(
        pickings=said.ngettext("{n} picking", "{n} pickings", silence.pickings).format(n=silence.pickings),
        plots=count(silence.plots, "plot", language),
    )


def _hot(night: Night) -> set[str]:
    """Return the gardens that had a day of a hot band within the last week."""
    notes = night.running("season_notes")
    if notes.empty:
        return set()
    since = night.tonight - pd.Timedelta(days=PICKING_NOW_DAYS)
    return set(notes.loc[notes["code"].isin(HOT) & (notes["from_date"] > since), "site"])
