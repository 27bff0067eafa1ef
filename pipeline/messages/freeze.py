"""To a garden before the first freezes of fall: how often one came by now, and what to do before it."""

from datetime import date

import pandas as pd

from pipeline.checks.shown import shown_date
from pipeline.messages.occasion import Night, Occasion
from pipeline.messages.reader import Reader
from pipeline.settings import Messages
from pipeline.words import translate

#: Days before the date of one year in ten from which gardens are written to: time for a last picking on a
#: weekend (common practice, no source).
AHEAD_DAYS = 8


def freezes_to_come(night: Night) -> dict[str, tuple[date, str]]:
    """Return for each garden the date before which one year in ten froze, with the season it belongs to.

    From some days before that date until the date of even odds, while a trial runs there, and only where the
    record of this year has no freeze yet. There is no forecast in it.
    """
    place = night.running("attributes")
    if place.empty:
        return {}
    near = (place["first_freeze_10"] <= night.tonight + pd.Timedelta(days=AHEAD_DAYS)) & (
        place["first_freeze_50"] >= night.tonight
    )
    due = place[near & place["first_freeze"].isna()].drop_duplicates("site")
    return {str(row.site): (row.first_freeze_10.date(), str(row.season)) for row in due.itertuples()}


def freeze_occasion(reader: Reader, early: date, season: str, about: Messages) -> Occasion:
    """Return what past years say of the first freeze, and the steps of the trial before it."""
    said = translate(reader.language)
    first = said.gettext(
        "In 1 of 10 years the first freeze near you comes before {date}. Low spots can be colder. "
        "Please watch your local forecast."
    ).format(date=shown_date(early, reader.language))
    steps = about.freeze_steps or (
        said.gettext("Pick every plot of the trial on the same day, good fruit and culls."),
        said.gettext("Full-sized green fruit: weigh it by itself and write “mature” as the stage."),
        said.gettext("Nothing left on a plot? Write 0, do not leave it blank."),
        said.gettext("Send your sheet."),
    )
    going = said.gettext("Work in daylight and in pairs. If you cannot go, that is fine.")
    if about.pages:
        going += " " + said.gettext("Just tell us: {link}").format(link=about.pages)
    parts = [
        first,
        said.gettext("If you can, before a freeze:")
        + "\n\n"
        + "\n".join(f"{at}. {step}" for at, step in enumerate(steps, start=1)),
        said.gettext(
            "If you would rather cover the plants, cover all plots the same way and write it in the note."
        ),
        going,
        said.gettext("Giving food away? The pantry and your health department decide what they take."),
    ]
    subject = said.gettext("{garden}: freezes can come soon").format(garden=reader.name)
    return Occasion(f"freeze {season}", subject, "\n\n".join(parts))
